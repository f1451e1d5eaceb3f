"""The project file (TOML): one product, its pieces, and what its making takes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from hides.fields import Fields
from hides.finding import Finding
from hides.hide import Hide
from hides.units import FILE_UNITS
from nesting.model.choice import Choice
from nesting.model.product import Piece, Product, ProductLeather
from nesting.project.choices import Chosen, counted, read_choices, variant
from nesting.project.contour import Contour
from nesting.project.course import Course
from nesting.project.leather_reader import leathers_for, measures_of, of_leather, read_product_leathers
from nesting.project.making_reader import TABLES as MAKING_TABLES
from nesting.project.making_reader import read_making
from nesting.project.measures import Measures
from nesting.project.named import unknown_piece
from nesting.project.piece_reader import MOST_PIECES, finished_shape, read_piece, refuse_doubles, refuse_lonely
from nesting.project.row_reader import named_line
from nesting.project.seam_reader import SeamLengths, read_seams, refuse_beside_line, seam_course, stem, with_seams
from nesting.project.toml_file import read_toml

FORMAT = "hideplan-project-1"
FIELDS = ("format", "name", "units", "choices", "lengths", "leather", "piece", "seam", *MAKING_TABLES)
MOST_KINDS = 200


def read_product(
    path: Path | str,
    t: float | None = None,
    findings: list[Finding] | None = None,
    chosen: Chosen | None = None,
    leather: str = "",
) -> Product:
    """The product that a project file describes, in leather `t` mm thick, as `chosen` of its choices.

    Where it is made of several leathers, `t` is the thickness of the one called `leather`, the others having what the
    file states; without a name `t` is that of all, and where no `t` is given either, all have what the file states.

    `findings` takes what had to be mended in drawings of pieces.

    Raises InputError for a file that cannot be used, and its kind NeedsThickness where a length uses `t` and none
    is given.

    >>> from importlib.resources import files
    >>> rack = read_product(str(files("nesting") / "scenario" / "map-rack.toml"), t=4.0)
    >>> rack.name, len(rack.pieces)
    ('Map rack', 6)
    """
    path = Path(path)
    return product_of(read_toml(path, "a project file"), path, t, findings, chosen, leather)


def project_fields(data: dict[str, Any], where: str) -> tuple[Fields, str]:
    """The tables of a project file, and the units of its plain numbers. Raises InputError where it is none."""
    fields = Fields.of_format(data, FORMAT, FIELDS, where, f'a project file says "{FORMAT}"')
    return fields, fields.choice("units", FILE_UNITS, "mm")


def product_of(
    data: dict[str, Any],
    path: Path,
    t: float | None = None,
    findings: list[Finding] | None = None,
    chosen: Chosen | None = None,
    leather: str = "",
    contours: dict[str, Contour] | None = None,
) -> Product:
    """The product that the content of a project file describes; drawings are sought beside `path`.

    `contours` takes the finished outline of each piece as named edges.
    """
    fields, units = project_fields(data, str(path))
    choices = read_choices(fields, units, chosen)
    leathers = read_product_leathers(fields, t, leather)
    measures = named_measures(fields, units, t, choices, leathers)
    contours = {} if contours is None else contours
    own = own_measures(fields, measures, leathers)
    pieces = of_leather(_pieces(fields, own, choices, findings, contours), leathers)
    tables = {name: fields.data[name] for name in MAKING_TABLES if fields.has(name)}
    making = read_making(tables, measures, pieces, str(path), choices, leathers)
    making = with_seams(making, read_seams(fields, measures, pieces, contours, choices), measures, pieces, leathers)
    name, ounces = variant(fields.text("name", path.stem), choices), _says_ounces(data)
    return Product(name, pieces, str(path), making, choices, leathers, units, ounces)


def _says_ounces(data: object) -> bool:
    """Whether any thickness in the file is told in ounces."""
    if isinstance(data, dict):
        own = data.get("thickness")
        return (isinstance(own, str) and "oz" in own) or any(map(_says_ounces, data.values()))
    return isinstance(data, list) and any(map(_says_ounces, data))


def product_for(
    path: Path | str,
    hide: Hide,
    findings: list[Finding] | None = None,
    chosen: Chosen | None = None,
    leathers: Sequence[str] = (),
) -> Product:
    """What of a product is cut from a hide: all of it, or the leathers asked for, or those that the hide is called.

    The hide's thickness is that of the leather that is laid. Raises InputError as `read_product` and `leathers_for` do.
    """
    t = hide.thickness.middle if hide.thickness else None
    names = leather_names(path)
    if not names and not leathers:
        return read_product(path, t, findings, chosen)
    of = leathers_for(names, hide, leathers, str(path))
    return read_product(path, t, findings, chosen, of[0] if len(of) == 1 else "").of(of)


def leather_names(path: Path | str) -> tuple[ProductLeather, ...]:
    """The leathers that a project names."""
    fields, _ = project_fields(read_toml(Path(path), "a project file"), str(path))
    return read_product_leathers(fields, None, "")


def named_measures(
    fields: Fields,
    units: str,
    t: float | None,
    choices: tuple[Choice, ...],
    leathers: Sequence[ProductLeather] = (),
) -> Measures:
    """The lengths of a project in leather `t` mm thick."""
    named = Fields.of(fields.data.get("lengths", {}), fields.data.get("lengths", {}), fields.where, "lengths").data
    measures = Measures(units, t, named, {each.name: counted(each) for each in choices})
    measures.leather_t = {each.name: each.t for each in leathers}
    measures.check_names(fields.where)
    return measures


def _pieces(
    fields: Fields,
    own: Callable[[object], Measures],
    choices: tuple[Choice, ...],
    findings: list[Finding] | None,
    contours: dict[str, Contour],
) -> tuple[Piece, ...]:
    tables = fields.items("piece")
    if not 0 < len(tables) <= MOST_KINDS:
        raise fields.wrong("piece", f"there are {len(tables)} kinds of pieces", f"give from 1 to {MOST_KINDS}")
    read = [
        read_piece(table, index, own(table), fields.where, choices, findings, contours)
        for index, table in enumerate(tables, 1)
    ]
    pieces = tuple(piece for made in read for piece in made)
    refuse_doubles(pieces, fields.where)
    refuse_lonely(pieces, fields.where)
    if not pieces:
        raise fields.wrong("piece", "this variant has no piece at all", "look at the counts and at when")
    if sum(piece.count for piece in pieces) > MOST_PIECES:
        raise fields.wrong("piece", f"one product takes more than {MOST_PIECES} pieces", "look at the counts")
    return pieces


def own_measures(
    fields: Fields, measures: Measures, leathers: Sequence[ProductLeather]
) -> Callable[[object], Measures]:
    """The lengths of each piece: those of the project with its leather's thickness, and the lengths of seams."""
    by_name = {str(table.get("name")): table for table in fields.items("piece") if isinstance(table, dict)}

    def course_of(side: Fields, asking: Measures) -> Course:
        name = side.text("piece")
        table = next((by_name[each] for each in (name, stem(name)) if each in by_name), None)
        if table is None:
            raise unknown_piece(side, name, by_name)
        other = Fields(table, fields.where, f"piece “{stem(name)}”")
        shape = finished_shape(other, own(table), fields.where, None)
        if not side.has("line"):
            return seam_course(side, asking, shape.edges)
        refuse_beside_line(side)
        with side.reading("line"):
            return named_line(other, side.text("line"), own(table), shape)

    def own(table: object) -> Measures:
        made = measures_of(leathers, table, measures, fields.where)
        name = str(table.get("name")) if isinstance(table, dict) else ""
        made.seam_length = lambda seam: lengths.length(seam, name, made)
        return made

    lengths = SeamLengths(fields.items("seam", ()), fields.where, course_of)
    return own
