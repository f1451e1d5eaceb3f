"""The `shape` table of a piece: which shape, its lengths, the drawing it stands in."""

from __future__ import annotations

from pathlib import Path

from hides.errors import InputError
from hides.fields import Fields, told
from hides.finding import Finding
from nesting.project.measures import Measures
from nesting.project.shapes import ENDS, FOLDS, PieceShape, circle, folded, rectangle, strap

KINDS = {
    "rectangle": ("corner",),
    "strap": ("ends",),
    "circle": (),
    "polygon": ("fold",),
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
        return PieceShape(_ring(kind, value, fields, measures))


def _ring(kind: str, value: object, fields: Fields, measures: Measures) -> tuple[tuple[float, float], ...]:
    if kind == "circle":
        return circle(measures.size(value))
    if kind == "polygon":
        return folded(measures.points(value), fields.choice("fold", FOLDS, "none"), measures.unit)
    width, length = (measures.size(each) for each in measures.pair(value, "[width, length]"))
    if kind == "strap":
        return strap(width, length, _ends(fields))
    return rectangle(width, length, _corner(fields, measures))


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
