"""Where one hide's leather goes, measured anew, and whether the layout says the same.

What is measured are the outlines as they lie, so no area may be off by more than `ROUNDED`, with one exception: the
border of a strip or of a clearance is round at corners, and may be drawn as the arc that it is or as chords of a
circle of `CHORDS` corners. Pieces may be counted as they are drawn, without what lies off the leather or under another
piece by a hair, or as they are described.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Grade, Hide
from nesting.check.depth import solid
from nesting.check.fault import Fault
from nesting.model.layout import HideLayout
from nesting.model.product import Piece

ROUNDED = 1.0
"""Square millimetres by which an area may be off; sums of rounded numbers are."""

CHORDS = 64
FINE = 1024
"""Corners of the circle that stands for an arc: its area is short by less than 7 millionths."""


@dataclass(frozen=True)
class CheckedGround:
    """A hide's leather, what of it the edge strip leaves, and what of it is of no use, by circles of some corners."""

    leather: BaseGeometry
    inner: BaseGeometry
    bad: BaseGeometry

    def areas(self, taken: BaseGeometry) -> dict[str, float]:
        """`usable`, and of what nothing has taken `edge` and `flaws`, mm²."""
        left = solid(shapely.difference(self.leather, taken))
        within = _within(left, self.inner)
        usable = shapely.difference(solid(shapely.intersection(self.leather, self.inner)), self.bad)
        return {
            "usable": float(usable.area),
            "edge": float(shapely.area(left) - shapely.area(within)),
            "flaws": float(shapely.area(shapely.intersection(within, self.bad))),
        }


def misreckoned(layout: HideLayout, lie: Sequence[Polygon], pieces: Sequence[Piece | None]) -> Iterator[Fault]:
    """Areas of one hide that do not add up or do not agree with the outlines; `pieces` describe what lies."""
    areas, hide = layout.areas, layout.hide
    for name, value in vars(areas).items():
        if not math.isfinite(value) or value < -ROUNDED:
            yield Fault("areas", f"areas.{name} is {value:g} mm²", hide.name)
            return
    total = areas.pieces + areas.edge + areas.flaws + areas.offcuts + areas.scrap
    if abs(total - areas.hide) > ROUNDED:
        text = f"pieces, edge, flaws, offcuts and scrap make {total:.1f} mm², and the hide is {areas.hide:.1f} mm²"
        yield Fault("areas", text, hide.name)
    yield from _against_outlines(layout, lie, pieces)


def _against_outlines(layout: HideLayout, lie: Sequence[Polygon], pieces: Sequence[Piece | None]) -> Iterator[Fault]:
    """A hide's area may be stated with or without its holes."""
    hide, stated = layout.hide, vars(layout.areas)
    whole = Polygon(hide.outline)
    plain = ground(hide, CHORDS)
    covered = solid(shapely.union_all(lie))
    drawn = sum(each.area for each in lie)
    described = sum(p.area if p else q.area for p, q in zip(pieces, lie, strict=True))
    kept = sum(Polygon(ring).area for ring in layout.offcuts)
    spans = {
        "hide": (hide.measured_area, whole.area),
        "pieces": (min(shapely.area(shapely.intersection(covered, plain.leather)), described), max(drawn, described)),
        "offcuts": (kept, kept),
    }
    taken = solid(shapely.union_all([covered, *(Polygon(ring) for ring in layout.offcuts)]))
    spans |= {name: (value, value) for name, value in plain.areas(taken).items()}
    if _off(spans, stated) & {"usable", "edge", "flaws"}:
        arcs = ground(hide, FINE).areas(taken)
        spans |= {name: (min(value, spans[name][0]), max(value, spans[name][1])) for name, value in arcs.items()}
    for name in sorted(_off(spans, stated)):
        low, high = spans[name]
        made = low if stated[name] < low else high
        text = f"areas.{name} is stated as {stated[name]:.1f} mm², and the outlines make {made:.1f} mm²"
        yield Fault("areas", text, hide.name)


def _off(spans: Mapping[str, tuple[float, float]], stated: Mapping[str, float]) -> set[str]:
    """Names whose stated area lies outside its span by more than rounding makes."""
    return {name for name, (low, high) in spans.items() if not low - ROUNDED <= stated[name] <= high + ROUNDED}


def ground(hide: Hide, corners: int) -> CheckedGround:
    """A hide's ground, arcs drawn with so many corners a circle."""
    outline = Polygon(hide.outline)
    leather = solid(shapely.difference(outline, solid(shapely.union_all([_valid(Polygon(h)) for h in hide.holes]))))
    inner = _grown(outline, -hide.edge, corners)
    if hide.grade is Grade.NONE:
        return CheckedGround(leather, inner, outline)
    flaws = [_grown(_valid(Polygon(f.outline)), f.clearance, corners) for f in hide.flaws if f.grade is Grade.NONE]
    zones = [_valid(Polygon(z.outline)) for z in hide.zones if z.grade is Grade.NONE]
    return CheckedGround(leather, solid(inner), solid(shapely.union_all([*flaws, *zones])))


def _within(shape: BaseGeometry, ground: BaseGeometry) -> BaseGeometry:
    """What of a shape lies in a ground. Where borders touch by a rounding, the engine may take what lies outside for
    inside: what it says of both must make the whole, else it is asked on a grid."""
    inside = solid(shapely.intersection(shape, ground))
    outside = shapely.area(shapely.difference(shape, ground))
    if abs(shapely.area(inside) + outside - shapely.area(shape)) < ROUNDED / 10:
        return inside
    return solid(shapely.intersection(shape, ground, grid_size=1e-6))


def _grown(shape: BaseGeometry, by: float, corners: int) -> BaseGeometry:
    """A distance under a micrometre changes no area by as much as rounding, and the engine cannot be asked for it."""
    return shape.buffer(by, quad_segs=corners // 4) if abs(by) > 1e-3 else shape


def _valid(shape: Polygon) -> BaseGeometry:
    return shape if shape.is_valid else shapely.make_valid(shape)
