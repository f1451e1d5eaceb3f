"""Where on the hide pieces may lie by their own wish: off the backbone, in named regions, near each other, in pairs."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon

from hides.hide import Grade, Hide, Point
from nesting.check.depth import overstep
from nesting.check.fault import ROUNDING, TOLERANCE, Fault, title
from nesting.model.layout import HideLayout, Placement
from nesting.model.product import Piece

PAIR_ANGLE = 10.0
"""Degrees by which the directions of a pair may differ once one is mirrored (ours)."""
PAIR_THICKNESS = 0.4
"""Millimetres by which the leather under a pair may differ (ours: an ounce)."""
Pieces = Mapping[tuple[str, str], Piece]


def misplaced_by_wish(hide: Hide, placement: Placement, lies: Polygon, piece: Piece) -> Iterator[Fault]:
    """What one piece asks of its own place."""
    name = title(placement)
    if piece.off_backbone > 0:
        if hide.backbone is None:
            text = f"{name} keeps off the backbone, and the hide states none"
            yield Fault("backbone", text, hide.name, (name,))
        else:
            near = piece.off_backbone - _from_backbone(hide, lies)
            if near > TOLERANCE + ROUNDING:
                text = f"{name} is {near:.3f} mm too near the backbone, to be kept {piece.off_backbone:g} mm off"
                yield Fault("off backbone", text, hide.name, (name,), _middle(placement), near)
    zones = _regions(hide, piece)
    met = overstep(lies, zones) if zones is not None else None
    if met:
        text = f"{name} reaches {met[0]:.3f} mm out of {' and '.join(piece.regions)}, where it is to come from"
        yield Fault("region", text, hide.name, (name,), met[1], met[0])


def unknown_regions(hide: Hide, pieces: Pieces, laid: Sequence[Placement]) -> list[str]:
    """Wishes for regions that the hide does not name, in plain sentences."""
    there = {(each.product, each.piece) for each in laid}
    asked = {key: piece for key, piece in pieces.items() if key in there and piece.regions}
    return [
        f"hide “{hide.name}” names no {' or '.join(piece.regions)}, so where “{name}” lies was not checked"
        for (_, name), piece in sorted(asked.items())
        if hide.cut.casefold() not in _folded(piece) and _regions(hide, piece) is None
    ]


def apart(layout: HideLayout, pieces: Pieces) -> Iterator[Fault]:
    """Pieces of one product that are to lie near each other, or mirrored, and do not."""
    sets: dict[tuple[str, int], dict[str, list[Placement]]] = defaultdict(lambda: defaultdict(list))
    for placement in layout.placements:
        if placement.number:
            sets[placement.product, placement.number][placement.piece].append(placement)
    for (product, _), own in sorted(sets.items()):
        for name, laid in sorted(own.items()):
            piece = pieces.get((product, name))
            if piece is None:
                continue
            yield from _far(layout.hide, laid, own, piece)
            other = name.removesuffix(" left") + " right"
            if piece.hand == "left" and piece.pair_within is not None and (product, other) in pieces:
                yield from _unpaired(layout.hide, laid, own.get(other, []), piece)


def _far(
    hide: Hide, laid: Sequence[Placement], own: Mapping[str, Sequence[Placement]], piece: Piece
) -> Iterator[Fault]:
    for near in piece.near:
        others = [_middle(each) for each in own.get(near.piece, ())]
        for placement in laid if others else ():
            away = min(math.dist(_middle(placement), other) for other in others)
            if away > near.within + TOLERANCE + ROUNDING:
                name = title(placement)
                text = f"{name} lies {away:.1f} mm from its “{near.piece}”, and is to lie within {near.within:g} mm"
                yield Fault("near", text, hide.name, (name,), _middle(placement), away - near.within)


def _unpaired(hide: Hide, lefts: Sequence[Placement], rights: Sequence[Placement], piece: Piece) -> Iterator[Fault]:
    """Lefts that have no right of their own in their mirrored place, on like leather."""
    if hide.backbone is None:
        name = title(lefts[0])
        yield Fault(
            "backbone", f"{name} is one of a mirrored pair, and the hide states no backbone", hide.name, (name,)
        )
        return
    within = piece.pair_within or 0.0
    fits = np.array([[_like(hide, left, right, within) for right in rights] for left in lefts], dtype=float)
    matched: set[int] = set()
    if rights:
        from scipy.optimize import linear_sum_assignment  # heavy: only where it is needed

        rows, columns = linear_sum_assignment(-fits)
        matched = {int(row) for row, column in zip(rows, columns, strict=True) if fits[row, column]}
    for index, left in enumerate(lefts):
        if index not in matched:
            name = title(left)
            text = (
                f"{name} has no partner within {within:g} mm of its mirrored place about the backbone, "
                "in like direction, on leather of like grade and thickness"
            )
            yield Fault("pair", text, hide.name, (name,), _middle(left))


def _like(hide: Hide, left: Placement, right: Placement, within: float) -> bool:
    assert hide.backbone is not None
    (ax, ay), (bx, by) = hide.backbone
    bearing = math.degrees(math.atan2(by - ay, bx - ax))
    turned = (left.angle - bearing + right.angle - bearing) % 180
    like_way = min(turned, 180 - turned) <= PAIR_ANGLE
    near = math.dist(_mirrored(_middle(left), (ax, ay), (bx, by)), _middle(right)) <= within + TOLERANCE + ROUNDING
    return near and like_way and _like_leather(hide, Polygon(left.outline), Polygon(right.outline))


def _like_leather(hide: Hide, one: Polygon, other: Polygon) -> bool:
    first, second = _thickness(hide, one), _thickness(hide, other)
    if _worst(hide, one) != _worst(hide, other) or (first is None) != (second is None):
        return False
    return first is None or second is None or abs(first - second) <= PAIR_THICKNESS


def _worst(hide: Hide, lies: Polygon) -> Grade:
    """The worst leather under a piece."""
    flaws = [flaw.grade for flaw in hide.flaws if _overlaps(Polygon(flaw.outline), lies)]
    zones = [zone.grade for zone in hide.zones if _overlaps(Polygon(zone.outline), lies)]
    return max([hide.grade, *flaws, *zones])


def _thickness(hide: Hide, lies: Polygon) -> float | None:
    """The mean of the stated thickness under a piece, by area; None where none is stated."""
    zones = [(z.thickness.middle, Polygon(z.outline).intersection(lies).area) for z in hide.zones if z.thickness]
    rest = lies.area - sum(area for _, area in zones)
    if rest > lies.area * 1e-6:
        if hide.thickness is None:
            return None
        zones.append((hide.thickness.middle, rest))
    return float(sum(t * area for t, area in zones) / sum(area for _, area in zones))


def _overlaps(area: Polygon, lies: Polygon) -> bool:
    """More than the hair's breadth by which a layout may be off."""
    return bool(area.intersects(lies)) and area.intersection(lies).area > TOLERANCE * lies.length


def _from_backbone(hide: Hide, lies: Polygon) -> float:
    assert hide.backbone is not None
    (ax, ay), (bx, by) = hide.backbone
    long = math.dist((ax, ay), (bx, by))
    sides = [((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / long for x, y in lies.exterior.coords]
    return 0.0 if min(sides) < 0 < max(sides) else min(abs(side) for side in sides)


def _regions(hide: Hide, piece: Piece) -> shapely.Geometry | None:
    """The named regions together; None where nothing is asked, the hide is such a cut itself, or has no such zone."""
    wanted = _folded(piece)
    if not wanted or hide.cut.casefold() in wanted:
        return None
    zones = [Polygon(zone.outline) for zone in hide.zones if zone.name.casefold() in wanted]
    return shapely.union_all(zones) if zones else None


def _folded(piece: Piece) -> set[str]:
    return {name.casefold() for name in piece.regions}


def _middle(placement: Placement) -> Point:
    at = Polygon(placement.outline).centroid
    return at.x, at.y


def _mirrored(point: Point, a: Point, b: Point) -> Point:
    """A point mirrored in the line through a and b."""
    ux, uy = b[0] - a[0], b[1] - a[1]
    share = ((point[0] - a[0]) * ux + (point[1] - a[1]) * uy) / (ux * ux + uy * uy)
    foot = a[0] + share * ux, a[1] + share * uy
    return 2 * foot[0] - point[0], 2 * foot[1] - point[1]
