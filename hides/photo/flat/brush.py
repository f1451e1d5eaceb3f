"""Two brushes, leather and not leather: the outline follows what is painted.

A stroke says of the pixels under it what they are. Round it, as far as its reach, the outline is sought anew by a
random walk (`walker`) from all strokes there; the old outline holds the more, the farther from the new stroke, and the
colours learned from strokes and outline pull where they tell leather from floor. Beyond the reach nothing changes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from contourpy import FillType, contour_generator
from scipy import ndimage
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from hides.errors import InputError
from hides.hide import Point as Place
from hides.photo.flat.colours import likelihood
from hides.photo.flat.picture import FlatPicture, Window, parts
from hides.photo.flat.walker import KNOWN, conductances, walk
from hides.photo.floor import Mask
from hides.photo.plan_view import Pixels

MOST = 60_000
"""Pixels of the window that is worked on: what can be solved in a tenth of a second."""
MOST_WHOLE = 240_000
"""The same where the whole picture is."""
LEAST_REACH, MOST_REACH = 40.0, 450.0
FIXED = 0.2
"""The outer share of the reach in which the old outline holds entirely."""
SHARPNESS = 1.0
COLOUR_PULL = 0.03
OLD_PULL = 0.004
TOLERANCE = 1.0
"""How far the new stretch may be simplified, mm."""
LEAST_HOLE = 30.0
"""Holes narrower than this, mm, come of noise, unless they were painted."""
HAIR = 0.1
"""Half the width of slits and spikes that are taken away, mm: they would touch themselves when rounded."""
_GRID = 1e-3


@dataclass(frozen=True)
class Stroke:
    """A stroke of a brush on the flat photo: whether it says leather, its line and half its width, mm."""

    leather: bool
    line: tuple[Place, ...]
    radius: float

    @property
    def shape(self) -> BaseGeometry:
        """What it covers."""
        return self._path.buffer(self.radius, quad_segs=8)

    @property
    def reach(self) -> float:
        """How far from its line the outline may change, mm: some of its widths, and half its own extent."""
        x0, y0, x1, y1 = self._path.bounds
        return min(MOST_REACH, max(LEAST_REACH, 4 * self.radius) + 0.6 * float(np.hypot(x1 - x0, y1 - y0)))

    @property
    def zone(self) -> BaseGeometry:
        """Where the outline may change."""
        return self._path.buffer(self.reach, quad_segs=16)

    @property
    def _path(self) -> BaseGeometry:
        return LineString(self.line) if len(self.line) > 1 else Point(self.line[0])


def follow(flat: FlatPicture, hide: Polygon, strokes: Sequence[Stroke]) -> Polygon:
    """The hide (with its holes) after the last of the strokes; those before it are remembered as what they said.

    Of several parts the one that has most of the old hide stays. An empty `hide` is sought in the whole picture, once
    there are strokes of both kinds. Raises InputError where nothing is left, or where what was painted as leather does
    not join the hide.
    """
    last = strokes[-1]
    if hide.is_empty:
        return _body(_from_nothing(flat, strokes), hide, strokes)
    window = flat.window(last.zone.bounds, MOST)
    zone = last.zone.intersection(shapely.box(*window.box))
    if min(window.shape) < 4 or zone.is_empty:
        raise InputError("the stroke lies outside the photo", field="strokes", remedy="paint on the photo")
    away = np.minimum(_away(window, last) / last.reach, 1)
    held = np.clip((away - (1 - FIXED)) / FIXED, 0, 1)
    found = _found(window, window.share(hide), OLD_PULL * (0.1 + away**2), held, strokes)
    beyond = shapely.difference(hide, zone, grid_size=_GRID)
    within = shapely.intersection(found, zone, grid_size=_GRID)
    return _body(shapely.union(beyond, within, grid_size=_GRID), hide, strokes)


def _from_nothing(flat: FlatPicture, strokes: Sequence[Stroke]) -> BaseGeometry:
    if len({stroke.leather for stroke in strokes}) < 2:
        remedy = "paint a stroke of leather and one of what is not, then the edge between them is found"
        raise InputError("there is no outline yet", field="strokes", remedy=remedy)
    window = flat.window(flat.box, MOST_WHOLE)
    nothing = np.zeros(window.shape, np.float32)
    return _found(window, nothing, nothing, nothing, strokes)


def _found(window: Window, old: Pixels, old_pull: Pixels, held: Pixels, strokes: Sequence[Stroke]) -> BaseGeometry:
    """The hide in the window as polygons, mm. `old`: its share of each pixel before; where `held` is 1 it stays so."""
    known = _known(window, strokes)
    lab = ndimage.gaussian_filter(window.lab, (0.7, 0.7, 0))
    down, right = conductances(lab, SHARPNESS)
    chance = old
    for turn in range(2):  # the colours are learned again from what was found with those of the old outline
        coloured = likelihood(lab, *_samples(lab, chance, known, turn == 0))
        sure = COLOUR_PULL * np.square(2 * coloured - 1)
        pull = sure + old_pull + 1e-6
        likely = (sure * coloured + old_pull * (old > 0.5)) / pull
        for where, value in ((held >= 1, old > 0.5), (known == 1, 1.0), (known == 0, 0.0)):
            pull, likely = np.where(where, KNOWN, pull), np.where(where, value, likely)
        chance = walk(down, right, likely.astype(np.float32), pull.astype(np.float32))
    shapes = outlines(window, held * old + (1 - held) * chance)
    return shapely.make_valid(shapely.unary_union(shapes).simplify(TOLERANCE))


def _samples(lab: Pixels, chance: Pixels, known: Pixels, first: bool) -> tuple[Pixels, Pixels]:
    """Weights of the pixels as samples of leather and of floor."""
    leather, floor = (chance > 0.5) & (known < 0), (chance <= 0.5) & (known < 0)
    painted = [(known == value).astype(np.float32) for value in (1, 0)]
    made = []
    for mask, own, other in ((leather, *painted), (floor, *painted[::-1])):
        weight = mask.astype(np.float32)
        if first and other.any():
            # What looks like a stroke of the other kind is in doubt, whatever the old outline says.
            alike = likelihood(lab, weight + own, other * max(1.0, float(weight.sum()) / float(other.sum())))
            weight *= alike
        made.append(weight + own * max(1.0, 0.3 * float(weight.sum()) / max(1.0, float(own.sum()))))
    return made[0], made[1]


def _known(window: Window, strokes: Sequence[Stroke]) -> Pixels:
    """1 where a stroke says leather, 0 where it says floor (the later one counts), −1 elsewhere."""
    known = np.full(window.shape, -1, np.float32)
    for stroke in strokes:
        shape = stroke.shape
        if shape.intersects(shapely.box(*window.box)):
            known[_at_least_a_pixel(window, stroke, shape)] = float(stroke.leather)
    return known


def _at_least_a_pixel(window: Window, stroke: Stroke, shape: BaseGeometry) -> Mask:
    return window.covers(shape if stroke.radius >= window.step else shape.buffer(window.step - stroke.radius))


def _away(window: Window, stroke: Stroke) -> Pixels:
    """Distance of each pixel from the stroke's line, mm."""
    thin = Stroke(stroke.leather, stroke.line, window.step)
    return np.asarray(ndimage.distance_transform_edt(~window.covers(thin.shape)) * window.step, np.float32)


def outlines(window: Window, chance: Pixels) -> list[Polygon]:
    """Where the chance is more than one half, as polygons, mm."""
    rim = np.pad(np.pad(chance, 1, mode="edge"), 1)
    shapes = []
    filled = contour_generator(z=rim, fill_type=FillType.OuterOffset).filled(0.5, 2.0)
    for points, offsets in zip(*filled, strict=True):
        rings = [window.to_mm(points[a:b] - 2) for a, b in pairwise(offsets)]
        shapes.append(Polygon(rings[0], rings[1:]))
    return shapes


def _body(whole: BaseGeometry, old: Polygon, strokes: Sequence[Stroke]) -> Polygon:
    """The part that has most of the old hide, without specks."""
    pieces = parts(whole)
    if not pieces:
        raise InputError("nothing is left of the hide", field="strokes", remedy="paint less, or undo")
    body = max(pieces, key=lambda part: (float(part.intersection(old).area), float(part.area)))
    if strokes[-1].leather and not body.intersects(strokes[-1].shape):
        remedy = "paint on until the stroke reaches the hide"
        raise InputError("what was painted as leather does not join the hide", field="strokes", remedy=remedy)
    said = [stroke.shape for stroke in strokes if not stroke.leather]
    body = _without_hairs(body)
    rings = [Polygon(hole) for hole in body.interiors]
    holes = [hole for hole in rings if _is_meant(hole, said)]
    return Polygon(body.exterior, [hole.exterior.coords for hole in holes])


def _without_hairs(body: Polygon) -> Polygon:
    """The polygon without slits and spikes of a hair's breadth, as a cut along the reach may leave them."""
    clean = body
    for by in (HAIR, -2 * HAIR, HAIR):
        clean = max(parts(clean.buffer(by, join_style="mitre")), key=lambda part: float(part.area), default=body)
    return clean


def _is_meant(hole: Polygon, said: Sequence[BaseGeometry]) -> bool:
    """Whether a hole is painted, or wide enough to be none of noise."""
    return not hole.buffer(-LEAST_HOLE / 2).is_empty or any(hole.intersects(shape) for shape in said)
