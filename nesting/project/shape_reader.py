"""The `shape` table of a piece: which shape, its lengths, the drawing it stands in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from hides.errors import InputError
from hides.fields import Fields, told
from hides.finding import Finding
from nesting.project.contour import Contour, plain_contour
from nesting.project.measures import Measures
from nesting.project.outline_reader import is_plain, not_below, read_contour, read_cut
from nesting.project.shapes import (
    ENDS,
    FOLD_AXES,
    FOLDS,
    PieceShape,
    circle,
    circle_contour,
    folded,
    rectangle,
    refuse_across,
    simple_ring,
    strap,
    strap_contour,
)

KINDS = {
    "rectangle": ("corner", "corners"),
    "strap": ("ends",),
    "circle": (),
    "polygon": ("fold",),
    "path": (),
    "drawing": ("block",),
}
"""The field that names each shape, and the further fields it takes."""


def read_shape(fields: Fields, measures: Measures, folder: Path, findings: list[Finding] | None = None) -> PieceShape:
    """The shape that a piece's `shape` table describes; drawings are sought from `folder`.

    `findings` takes what had to be mended in a drawing.
    """
    kinds = [kind for kind in KINDS if fields.has(kind)]
    if len(kinds) != 1:
        problem = "names no shape" if not kinds else f"names {len(kinds)} shapes at once ({', '.join(kinds)})"
        raise InputError(problem, remedy=f"give one of {', '.join(KINDS)}").within(fields.where, fields.path)
    kind = kinds[0]
    for name in fields.data:
        if name not in (kind, *KINDS[kind]):
            raise fields.wrong(name, f"does not go with a {kind}", "leave it out")
    if kind == "drawing":
        return _drawing(fields, measures, folder, findings)
    with fields.reading(kind) as value:
        return _SHAPES[kind](value, fields, measures)


def _circle(value: object, fields: Fields, measures: Measures) -> PieceShape:
    diameter = measures.size(value)
    return PieceShape(circle(diameter), contour=circle_contour(diameter))


def _polygon(value: object, fields: Fields, measures: Measures) -> PieceShape:
    fold = fields.choice("fold", FOLDS, "none")
    if is_plain(value):
        points = measures.points(value)
        drawn = PieceShape(simple_ring(points, measures.unit), contour=plain_contour(points))
        return replace(drawn, outline=folded(points, fold, measures.unit), contour=_folded(drawn, fold))
    assert isinstance(value, (list, tuple))
    contour = read_contour(value, measures)
    for axis in FOLD_AXES[fold]:
        refuse_across(contour.points, axis)
        contour = contour.folded(axis)
    return PieceShape(contour.ring(), contour=contour)


def _folded(drawn: PieceShape, fold: str) -> Contour:
    contour = drawn.edges
    for axis in FOLD_AXES[fold]:
        contour = contour.folded(axis)
    return contour


def _path(value: object, fields: Fields, measures: Measures) -> PieceShape:
    from nesting.project.path_reader import path_shape  # it brings ezdxf, which most projects can do without

    return path_shape(value, measures.unit)


def _sides(value: object, measures: Measures) -> tuple[float, float]:
    width, length = (measures.size(each) for each in measures.pair(value, "[width, length]"))
    return width, length


def _strap(value: object, fields: Fields, measures: Measures) -> PieceShape:
    width, length = _sides(value, measures)
    ends = _ends(fields)
    return PieceShape(strap(width, length, ends), contour=strap_contour(width, length, ends))


def _rectangle(value: object, fields: Fields, measures: Measures) -> PieceShape:
    width, length = _sides(value, measures)
    if fields.has("corners"):
        if fields.has("corner"):
            raise fields.wrong("corners", "cannot stand beside corner", "leave one of them out")
        contour = _box(width, length, _corners(fields, measures))
        return PieceShape(contour.ring(), contour=contour)
    corner = _corner(fields, measures)
    ring = rectangle(width, length, corner)
    return PieceShape(ring, contour=_box(width, length, [{"round": corner} if corner else {}] * 4))


def _box(width: float, length: float, corners: Sequence[dict[str, object]]) -> Contour:
    """A rectangle with something done to its corners, counter-clockwise from (0, 0); its edges are bottom, right, top
    and left.
    """
    places = [[0.0, 0.0], [width, 0.0], [width, length], [0.0, length]]
    names = ("left", "bottom", "right", "top")
    steps = [{"at": at, "edge": name, **corner} for at, name, corner in zip(places, names, corners, strict=True)]
    return read_contour(steps, Measures())


def _corners(fields: Fields, measures: Measures) -> list[dict[str, object]]:
    """The four corners in turn, in millimetres: a length rounds, a table says `round` or `cut`."""
    given = fields.items("corners")
    if len(given) != 4:
        remedy = "give four, counter-clockwise from (0, 0): [8, 8, 0, { cut = 5 }]"
        raise fields.wrong("corners", f"holds {len(given)} corners", remedy)
    found: list[dict[str, object]] = []
    for index, value in enumerate(given):
        table = value if isinstance(value, dict) else {"round": value}
        corner = Fields.of(table, ("round", "cut"), fields.where, f"{fields.path}.corners[{index}]")
        if len(corner.data) != 1:
            raise corner.wrong("", "says neither or both of round and cut", "write a length, or { cut = 5 }")
        if corner.has("round"):
            with corner.reading("round") as size:
                mm = not_below(measures.length(size))
                found.append({"round": mm} if mm else {})
        else:
            with corner.reading("cut") as size:
                found.append({"cut": list(read_cut(size, measures))})
    return found


_SHAPES = {"circle": _circle, "polygon": _polygon, "path": _path, "strap": _strap, "rectangle": _rectangle}


def _corner(fields: Fields, measures: Measures) -> float:
    if not fields.has("corner"):
        return 0.0
    with fields.reading("corner") as value:
        return measures.length(value)


def _ends(fields: Fields) -> tuple[str, str]:
    value = fields.data.get("ends", "square")
    ends = [value, value] if isinstance(value, str) else value
    if not isinstance(ends, list) or len(ends) != 2 or any(end not in ENDS for end in ends):
        raise fields.wrong(
            "ends", f"is {told(value)}", 'write "square", "round" or "point", or one for each end: ["round", "point"]'
        )
    return ends[0], ends[1]


def _drawing(fields: Fields, measures: Measures, folder: Path, findings: list[Finding] | None) -> PieceShape:
    from nesting.project.drawn_shape import drawn_shape  # it brings ezdxf, which most projects can do without

    path = folder / fields.text("drawing")
    block = fields.text("block") if fields.has("block") else None
    try:
        return drawn_shape(path, block, measures.units, findings)
    except InputError as error:
        told_where = InputError(
            f"{path.name} {error.field and f'({error.field}) '}{error.problem}", remedy=error.remedy
        )
        raise told_where.within(field="drawing").within(fields.where, fields.path) from error
