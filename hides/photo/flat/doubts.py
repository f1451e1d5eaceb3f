"""Which stretches of an outline the photo does not bear out.

Along the outline the colours inside and outside are compared, a few millimetres and a few centimetres from the line.
A stretch is in doubt where they overlap, where the change is soft or runs beside the line, where the outline is a
narrow spike, and where floor seems to lie within it near the edge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import ndimage
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Point as Place
from hides.photo.flat.colours import likelihood
from hides.photo.flat.picture import FlatPicture, parts
from hides.photo.floor import linear_light, to_lab
from hides.photo.homography import Floats
from hides.photo.plan_view import Pixels

STATION = 8.0
"""Distance between the places along the outline that are looked at, mm."""
OFFSETS = np.arange(-32.0, 33.0, 4.0)
"""Where across the outline the colours are read, mm, outside positive."""
ALONG = 3
"""Stations on each side that are read together."""
LEAST_CONTRAST = 2.2
"""Colours nearer than so many of their spreads overlap."""
LEAST_SHARP = 0.36
"""Less of the whole change than this at the line is soft: sharp edges were seen to keep 0.41 and more."""
SHORTEST, GAP = 40.0, 40.0
NARROW = 22.0
"""Half the width below which a part that sticks out is a spike."""
LEAST_SPIKE = 45.0
DEEP = 70.0
"""Floor within the outline counts so far from the edge, mm."""
LEAST_FLOOR = 1500.0
"""and from this area on, mm²."""
MOST = 150_000

ALIKE, SOFT, SPIKE, BAY = "alike", "soft", "spike", "bay"
WORDS = {
    ALIKE: "hide and floor look alike here",
    SOFT: "the edge is soft here, or runs beside the line",
    SPIKE: "a narrow spike: a tape, a cord or a shadow?",
    BAY: "floor seems to lie inside: is a bay closed here?",
}
"""What each reason means, for a person."""


@dataclass(frozen=True)
class Doubt:
    """A stretch of the outline (a line, mm) and why it is in doubt: a key of `WORDS`."""

    line: tuple[Place, ...]
    why: str

    @property
    def length(self) -> float:
        """Its length, mm."""
        return float(LineString(self.line).length)

    @property
    def words(self) -> str:
        """Why, for a person."""
        return WORDS[self.why]


def doubts_of(flat: FlatPicture, hide: Polygon) -> tuple[Doubt, ...]:
    """The stretches in doubt, the plainest reasons first; none for an outline with less than three stations."""
    ring = shapely.set_precision(hide.exterior, 0)
    count = int(ring.length // STATION)
    if count < 3:
        return ()
    at = np.arange(count) * ring.length / count
    reasons = np.full(count, "", object)
    contrast, sharp = _across(flat, hide, at)
    reasons[sharp < LEAST_SHARP] = SOFT
    reasons[contrast < LEAST_CONTRAST] = ALIKE
    places = shapely.line_interpolate_point(ring, at)
    for why, areas, near in ((BAY, _floor_within(flat, hide), DEEP), (SPIKE, _spikes(hide), 2.0)):
        if areas:
            reasons[shapely.distance(shapely.union_all(areas), places) <= near] = why
    return tuple(_run(ring, at, run, why) for why in WORDS for run in _runs(reasons == why, ring.length / count))


def confidence_left(doubts: Sequence[Doubt], length: float) -> float:
    """What share of confidence an outline of that length may keep: 1 without doubts, at most ½ with a spike or bay."""
    left = max(0.0, 1 - 2 * sum(doubt.length for doubt in doubts) / length)
    return min(left, 0.5) if any(doubt.why in (SPIKE, BAY) for doubt in doubts) else left


def doubtful(doubts: Sequence[Doubt]) -> list[str]:
    """A sentence for each reason to doubt."""
    told = []
    for why, words in WORDS.items():
        lengths = [doubt.length for doubt in doubts if doubt.why == why]
        if lengths:
            stretches = "1 stretch" if len(lengths) == 1 else f"{len(lengths)} stretches"
            told.append(f"{stretches} in doubt, {sum(lengths):.0f} mm in all: {words}")
    return told


def _across(flat: FlatPicture, hide: Polygon, at: Floats) -> tuple[Floats, Floats]:
    """Contrast of the colours inside and outside at each station, and how much of the change lies at the line."""
    ring = hide.exterior
    ahead, behind = (
        shapely.get_coordinates(shapely.line_interpolate_point(ring, (at + step) % ring.length)) for step in (6, -6)
    )
    here = shapely.get_coordinates(shapely.line_interpolate_point(ring, at))
    along = (ahead - behind) / np.maximum(np.linalg.norm(ahead - behind, axis=1, keepdims=True), 1e-9)
    out = np.c_[along[:, 1], -along[:, 0]] * (1 if ring.is_ccw else -1)
    read = _lab_at(flat, here[:, None, :] + OFFSETS[None, :, None] * out[:, None, :])
    mean = ndimage.uniform_filter1d(read, 2 * ALONG + 1, axis=0, mode="wrap")
    spread = ndimage.uniform_filter1d(np.square(read - mean), 2 * ALONG + 1, axis=0, mode="wrap")
    inner, outer = (OFFSETS <= -8) & (OFFSETS >= -24), (OFFSETS >= 8) & (OFFSETS <= 24)
    apart = np.linalg.norm(mean[:, inner].mean(axis=1) - mean[:, outer].mean(axis=1), axis=-1)
    wide = np.sqrt(sum(spread[:, band].mean(axis=1).sum(axis=-1) for band in (inner, outer)) / 2 + 1.0)
    step = np.linalg.norm(mean[:, 2:] - mean[:, :-2], axis=-1)  # change over 8 mm
    middle = np.abs(OFFSETS[1:-1]) <= 8
    whole = np.linalg.norm(mean[:, :3].mean(axis=1) - mean[:, -3:].mean(axis=1), axis=-1)
    return apart / wide, step[:, middle].max(axis=1) / np.maximum(np.maximum(step.max(axis=1), whole), 1e-6)


def _lab_at(flat: FlatPicture, places: Floats) -> Pixels:
    """Colours (… × 3, L*a*b*) at places (… × 2, mm), a blurred pixel each; what lies outside is as the rim."""
    x0, _, _, y1 = flat.box
    rows, columns = (y1 - places[..., 1]) / flat.step - 0.5, (places[..., 0] - x0) / flat.step - 0.5
    high, wide = flat.pixels.shape[:2]
    y, x = (np.clip(np.round(v).astype(int), 1, most - 2) for v, most in ((rows, high), (columns, wide)))
    seen = sum(flat.pixels[y + dy, x + dx].astype(np.float32) for dy in (-1, 0, 1) for dx in (-1, 0, 1))
    return to_lab(linear_light(np.asarray(seen, np.float32) / np.float32(9 * 255)))


def _spikes(hide: Polygon) -> list[BaseGeometry]:
    """Parts that stick out of the hide and are narrow all along."""
    body = hide.buffer(-NARROW).buffer(NARROW + 1)
    rest = parts(hide.difference(body))
    return [part for part in rest if _sticks_out(part, body)]


def _sticks_out(part: Polygon, body: BaseGeometry) -> bool:
    return bool(max(body.distance(shapely.Point(place)) for place in part.exterior.coords) >= LEAST_SPIKE)


def _floor_within(flat: FlatPicture, hide: Polygon) -> list[BaseGeometry]:
    """Places near the edge within the outline that have the floor's colours and not the hide's."""
    x0, y0, x1, y1 = hide.bounds
    window = flat.window((x0 - 120, y0 - 120, x1 + 120, y1 + 120), MOST)
    inside = window.covers(hide)
    away = ndimage.distance_transform_edt(inside) * window.step
    beyond = ndimage.distance_transform_edt(~inside) * window.step
    near_floor = (beyond > 15) & (beyond < 120)
    lab = ndimage.gaussian_filter(window.lab, (1, 1, 0))
    like = likelihood(lab, (away > 15).astype(np.float32), near_floor.astype(np.float32))
    floor = ndimage.binary_opening((like < 0.35) & (away > 6), iterations=max(1, round(6 / window.step)))
    label, count = ndimage.label(floor)
    found: list[BaseGeometry] = []
    for number in range(1, count + 1):
        rows, columns = np.nonzero(label == number)
        if len(rows) * window.step**2 >= LEAST_FLOOR and away[rows, columns].min() < DEEP:
            places = window.to_mm(np.c_[columns, rows])
            found.append(shapely.MultiPoint(places))
    return found


def _runs(marked: NDArray[np.bool_], step: float) -> list[tuple[int, int]]:
    """First and last station (it may lie beyond the end, going round) of each run, short gaps closed."""
    if marked.all():
        return [(0, len(marked))]
    closed = ndimage.binary_closing(np.tile(marked, 3), np.ones(2 * round(GAP / step / 2) + 1))[len(marked) :]
    start = int(np.argmin(closed[: len(marked)]))  # a station that is in no run
    turn = closed[start : start + len(marked)]
    label, count = ndimage.label(turn)
    runs = [np.flatnonzero(label == number) + start for number in range(1, count + 1)]
    return [(int(run[0]), int(run[-1])) for run in runs if (run[-1] - run[0] + 1) * step >= SHORTEST]


def _run(ring: BaseGeometry, at: Floats, run: tuple[int, int], why: str) -> Doubt:
    stations = np.arange(run[0], run[1] + 1) % len(at)
    places = shapely.get_coordinates(shapely.line_interpolate_point(ring, at[stations]))
    return Doubt(tuple((float(x), float(y)) for x, y in places), why)
