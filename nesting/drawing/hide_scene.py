"""A hide with the pieces on it as a scene, in the hide's own coordinates and millimetres."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Flaw, Grade, Hide, Point, Ring
from nesting.drawing.hatch import hatch
from nesting.drawing.inner_lines import inner_lines
from nesting.drawing.labels import Label, box_place, inside, long_way
from nesting.drawing.leader_labels import FreeGround
from nesting.drawing.mark_points import is_circle
from nesting.drawing.marks import carried, datum_of, marks
from nesting.drawing.names import LaidName, named
from nesting.drawing.rulers import frame_of, kept_free, rulers
from nesting.drawing.scene import Area, Circle, Item, Line, Scene, turned_by
from nesting.model.layout import HideLayout, Layout
from nesting.model.product import Along
from nesting.model.straight import StraightPlan
from nesting.result.areas import grown, inside_edge, unusable
from nesting.result.wording import area_text

NAME_SIZES = (2.8, 2.3)
CODE_SIZES = (2.6, 2.2, 1.8)
BESIDE_SIZE = 2.0
SMALLEST = 1.8
"""Sizes of lettering on paper, mm; nothing is written smaller than the last."""


def hide_scene(layout: Layout, each: HideLayout, k: float = 8.0, units: str = "mm", on_photo: bool = False) -> Scene:
    """One hide of a layout drawn whole.

    `k` is how many mm of the drawing one mm of lettering is worth: the scale's denominator on a cut sheet, so
    that words come out at their size on paper. `on_photo`: a photo of the leather lies under it and shows through.
    """
    hide, laid, datum = each.hide, named(layout, each), datum_of(each.hide)
    pieces = shapely.union_all([Polygon(p.outline) for p in each.placements])
    rim = Polygon(hide.outline).exterior.simplify(0.1 * k).buffer(0.4 * k)
    ground = FreeGround(frame_of(hide, k), shapely.union_all([pieces, rim, kept_free(hide, datum, k)]), 0.5 * k)
    words = [*_piece_names(laid, ground, k), *_other_names(each, ground, pieces, k, units)]
    over = " on photo" if on_photo else ""
    return (
        *_leather(hide, k, on_photo),
        *(Area(f"offcut{over}", (ring,)) for ring in each.offcuts),
        *_zones(hide),
        *(item for one in laid for item in _piece(one, k, f"piece{over}")),
        *(item for flaw in hide.flaws for item in _flaw(flaw, hide, k)),
        *rulers(hide, datum, k, units),
        *(item for one in laid for item in _marks(one, k)),
        *words,
    )


def upright(each: HideLayout) -> HideLayout:
    """The same hide turned so that its backbone lies level, as sheets show it."""
    by = upright_turn(each.hide)
    return turned(each, by) if by else each


def upright_turn(hide: Hide) -> float:
    """The degrees by which sheets turn a hide, counter-clockwise about the origin."""
    by = 0.0 if hide.direction is None else -((hide.direction + 90) % 180 - 90)
    return by if abs(by) > 1e-9 else 0.0


def turned(each: HideLayout, by: float) -> HideLayout:
    """The hide and all that lies on it turned about the origin, degrees counter-clockwise."""

    def ring(points: Iterable[tuple[float, float]]) -> Ring:
        return tuple(turned_by(point, by) for point in points)

    moved = turned_hide(each.hide, by)
    placements = []
    for p in each.placements:
        x, y = turned_by((p.x, p.y), by)
        placements.append(replace(p, x=x, y=y, angle=p.angle + by, outline=ring(p.outline)))
    straight = each.straight and _plan_turned(each.straight, by)
    return replace(
        each, hide=moved, placements=tuple(placements), offcuts=tuple(map(ring, each.offcuts)), straight=straight
    )


def turned_hide(hide: Hide, by: float) -> Hide:
    """The leather alone turned about the origin, degrees counter-clockwise."""

    def ring(points: Iterable[tuple[float, float]]) -> Ring:
        return tuple(turned_by(point, by) for point in points)

    a, b = ring(hide.backbone) if hide.backbone else ((0.0, 0.0), (0.0, 0.0))
    return replace(
        hide,
        outline=ring(hide.outline),
        holes=tuple(map(ring, hide.holes)),
        backbone=(a, b) if hide.backbone else None,
        flaws=tuple(replace(flaw, outline=ring(flaw.outline)) for flaw in hide.flaws),
        zones=tuple(replace(zone, outline=ring(zone.outline)) for zone in hide.zones),
    )


def _plan_turned(plan: StraightPlan, by: float) -> StraightPlan:
    one, two = (turned_by(point, by) for point in plan.line)
    beside = tuple(_plan_turned(other, by) for other in plan.beside)
    return replace(plan, line=(one, two), angle=plan.angle + by, beside=beside)


def _leather(hide: Hide, k: float, on_photo: bool) -> list[Item]:
    whole = Area("hide", (hide.outline, *hide.holes))
    items: list[Item] = [Line("hide", (*hide.outline, hide.outline[0]))] if on_photo else [whole]
    items += [Area("hole", (ring,)) for ring in hide.holes]
    inner = inside_edge(hide)
    if hide.edge > 0 and not inner.is_empty:
        items += hatch("edge hatch", hide.polygon.difference(inner), 1.5 * k, 45)
        items += _outlines("edge", inner)
    return items


def _zones(hide: Hide) -> list[Item]:
    """The zones' outlines as far as there is leather."""
    shapes = [Polygon(zone.outline).intersection(hide.polygon) for zone in hide.zones]
    return [item for shape in shapes for item in _outlines("zone", shape)]


def _piece(one: LaidName, k: float, layer: str) -> list[Item]:
    placement, piece = one.placement, one.piece
    items: list[Item] = [Area(layer, (placement.outline,), one.index)]
    items += [Area("cover", (_carried(cover.outline, one),), one.index) for cover in piece.covered]
    items += [Area("cutout", (_carried(ring, one),)) for ring in piece.cutouts]
    if not _tiny(one, k):
        items += [Circle("punch", carried(hole.at, placement), hole.diameter) for hole in piece.holes]
    return items + inner_lines(piece, lambda point: carried(point, placement))


def _tiny(one: LaidName, k: float, most: float = 16) -> bool:
    """Whether a piece is a circle so small on paper (mm around) that marks would hide its number."""
    return is_circle(one.piece.outline) and one.piece.polygon.length < most * k


def _carried(ring: Ring, one: LaidName) -> Ring:
    return tuple(carried(point, one.placement) for point in ring)


def _flaw(flaw: Flaw, hide: Hide, k: float) -> list[Item]:
    shape = Polygon(flaw.outline).intersection(hide.polygon)
    items: list[Item] = [*hatch("flaw hatch", shape, 0.9 * k, 45)]
    if flaw.grade is Grade.NONE:
        items += hatch("flaw hatch", shape, 0.9 * k, 135)
    items += _outlines("flaw", shape)
    if flaw.clearance > 0:
        items += _outlines("clearance", grown(Polygon(flaw.outline), flaw.clearance).intersection(hide.polygon))
    return items


def _outlines(layer: str, shape: BaseGeometry) -> list[Item]:
    return [Line(layer, tuple((x, y) for x, y in part.exterior.coords)) for part in _parts(shape)]


def _marks(one: LaidName, k: float) -> list[Item]:
    points = () if _tiny(one, k, 40) else marks(one.piece, one.placement)
    layers = ("mark", "second mark", "third mark")
    return [Circle(layer, point, 0.8 * k) for layer, point in zip(layers, points, strict=False)]


def _piece_names(laid: Sequence[LaidName], ground: FreeGround, k: float) -> list[Item]:
    """Names inside their pieces where they fit, else beside them; and grain arrows where there is room."""
    items: list[Item] = []
    outside = []
    for one in laid:
        shape = Polygon(one.placement.outline)
        open_ground = shape.difference(_marked(one, k))
        label = _own_label(one, shape, open_ground, k)
        if label is None:
            outside.append((one, shape))
        else:
            items.append(label.text("name"))
            ground.take(label.box())
            open_ground = open_ground.difference(label.box(0.4 * k))
        items += _arrow(one, open_ground, k)
    for one, shape in outside:
        found = ground.beside(shape, one.name, BESIDE_SIZE * k, 60 * k)
        if found:
            items += _with_leader(found, "name")
        else:
            items.append(Label(one.code, _middle(shape), SMALLEST * k).text("name"))
    return items


def _middle(shape: Polygon) -> Point:
    at = shape.representative_point()
    return float(at.x), float(at.y)


def _own_label(one: LaidName, shape: Polygon, free: BaseGeometry, k: float) -> Label | None:
    """A piece's name on itself: off its punch marks, or, on a small piece, over them."""
    angles = _angles(shape)
    small = SMALLEST * k
    return (
        inside(free, _ideas(one, k), angles, 0.25 * k)
        or inside(free, [(one.name, small)], angles, 0.1 * k, bold=False)
        or inside(shape, [(one.name, small)], angles, 0.0, bold=False)
        or (inside(shape, [(one.code, small)], [0.0], 0.0) if is_circle(one.piece.outline) else None)
    )


def _marked(one: LaidName, k: float) -> BaseGeometry:
    """What names and arrows of a piece must leave free: punch marks, cutouts and the maker's marks."""
    spots = [
        shapely.Point(carried(hole.at, one.placement)).buffer(hole.diameter / 2 + 0.2 * k) for hole in one.piece.holes
    ]
    if not _tiny(one, k, 40):
        spots += [shapely.Point(point).buffer(0.6 * k) for point in marks(one.piece, one.placement)]
    spots += [Polygon(_carried(cover.outline, one)).exterior.buffer(0.15 * k) for cover in one.piece.covered]
    return shapely.union_all([*spots, *(Polygon(_carried(ring, one)) for ring in one.piece.cutouts)])


def _ideas(one: LaidName, k: float) -> list[tuple[str, float]]:
    full = f"{one.name} {one.piece.name}"
    return [(full, size * k) for size in NAME_SIZES] + [(one.name, size * k) for size in CODE_SIZES]


def _angles(shape: Polygon) -> list[float]:
    way = long_way(shape)
    return [way] if abs(way) < 1e-6 else [0.0, way]


def _arrow(one: LaidName, ground: BaseGeometry, k: float) -> list[Item]:
    """An arrow along the piece's grain line, for pieces that may not lie any way round."""
    if one.piece.along is Along.ANY and one.piece.angles is None:
        return []
    angle = one.placement.angle + 90
    height = one.piece.polygon.bounds[3] - one.piece.polygon.bounds[1]
    for length in (min(0.5 * height, 16 * k), 0.3 * height, 6 * k, 4 * k, 3 * k):
        middle = box_place(ground, length + k, 1.4 * k, angle) if 3 * k <= length < height else None
        if middle:
            return _arrow_lines(middle, length, angle, k)
    return []


def _arrow_lines(middle: tuple[float, float], length: float, angle: float, k: float) -> list[Item]:
    def at(x: float, y: float) -> tuple[float, float]:
        dx, dy = turned_by((x, y), angle)
        return middle[0] + dx, middle[1] + dy

    tip = length / 2
    head = (at(tip - 1.5 * k, 0.5 * k), at(tip, 0), at(tip - 1.5 * k, -0.5 * k))
    return [Line("grain", (at(-tip, 0), at(tip, 0))), Line("grain", head)]


def _other_names(each: HideLayout, ground: FreeGround, pieces: BaseGeometry, k: float, units: str) -> list[Item]:
    items: list[Item] = []
    hide = each.hide
    sore = shapely.union_all([Polygon(flaw.outline) for flaw in hide.flaws]).buffer(0.3 * k)
    for number, ring in enumerate(each.offcuts, 1):
        words = f"offcut {number}: {area_text(Polygon(ring).area, units)}"
        items += _in_the_open(
            Polygon(ring).difference(sore).difference(pieces), words, (2.6, 2.2), "offcut name", ground, k
        )
    for flaw in hide.flaws:
        words = flaw.kind if flaw.grade is Grade.NONE else f"{flaw.kind} {flaw.grade.label}"
        found = ground.beside(Polygon(flaw.outline).intersection(hide.polygon), words, SMALLEST * k, 16 * k, tidy=True)
        items += _with_leader(found, "flaw name") if found else []
    free = inside_edge(hide).difference(shapely.union_all([pieces, sore, unusable(hide)]))
    for zone in hide.zones:
        words = f"{zone.name}, grade {zone.grade.label}"
        items += _in_the_open(free.intersection(Polygon(zone.outline)), words, (2.6, 2.0), "zone name", ground, k)
    return items


def _in_the_open(
    shape: BaseGeometry, words: str, sizes: Sequence[float], layer: str, ground: FreeGround, k: float
) -> list[Item]:
    """Words on a stretch of leather that holds nothing else, or nothing where there is none."""
    free = shape.difference(ground.taken().buffer(0.4 * k))
    for part in sorted(_parts(free), key=lambda each: -each.area)[:4]:
        label = inside(part, [(words, size * k) for size in sizes], _angles(part), 0.6 * k)
        if label:
            ground.take(label.box())
            return [label.text(layer)]
    return []


def _with_leader(found: tuple[Label, Line | None], layer: str) -> list[Item]:
    label, leader = found
    return [label.text(layer), leader] if leader else [label.text(layer)]


def _parts(shape: BaseGeometry) -> list[Polygon]:
    parts = getattr(shape, "geoms", [shape])
    return [part for part in parts if isinstance(part, Polygon) and not part.is_empty]
