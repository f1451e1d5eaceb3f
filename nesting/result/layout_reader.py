"""Reading a layout file. What is wrong with the layout itself is the check's business, not the reader's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from hides.errors import InputError
from hides.fields import Fields, told
from hides.hide import Hide, Point, Ring
from hides.hide_file import hide_from_data
from hides.json_text import read_json
from hides.units import FILE_UNITS, LARGEST, LENGTH_UNITS, finite
from nesting.model.layout import Areas, BegunProduct, HideLayout, Layout, Placement, ProductCount
from nesting.model.product import Piece, Product
from nesting.model.settings import EFFORTS
from nesting.model.straight import StraightPlan
from nesting.project.measures import Measures
from nesting.project.piece_reader import PIECE_FIELDS, described
from nesting.project.shapes import PieceShape, simple_ring
from nesting.result.making_data import making_from_data
from nesting.result.straight_file import straight_from_data

FORMAT = "hideplan-layout-1"
FIELDS = ("format", "units", "products", "gap", "seed", "effort", "stopped", "pieces", "making", "hides")
NOT_HERE = ("shape", "when", "fold", "rows", "belt_holes", "slots", "buckle_slots", "notches", "allowances", "splice")
"""What a project file says otherwise than a layout, which has everything worked out."""
PIECE = (*(name for name in PIECE_FIELDS if name not in NOT_HERE), "product", "outline", "cutouts")
COUNT = ("name", "complete", "at_most", "told_by", "next")
PLACEMENT = ("piece", "product", "number", "x", "y", "angle", "mirrored", "outline", "keep")
AREAS = ("hide", "usable", "pieces", "edge", "flaws", "offcuts", "scrap")
LARGEST_FILE = 200_000_000


def read_layout(path: Path | str) -> Layout:
    """The layout in a file. `products` holds only those whose pieces the file describes.

    No example: it reads a file that `write_layout` wrote.
    """
    return layout_from_data(read_json(path, LARGEST_FILE), str(path))


def layout_from_data(data: object, where: str = "") -> Layout:
    """The layout that a layout file's content describes; `where` names the file in messages."""
    fields = Fields.of_format(data, FORMAT, FIELDS, where, f'a layout file says "{FORMAT}"')
    units = fields.choice("units", FILE_UNITS, "mm")
    measures = Measures(units)
    factor = LENGTH_UNITS[units]
    return Layout(
        counts=_counts(fields),
        products=_products(fields, measures),
        gap=fields.number("gap", 0.0, low=0, high=1000) * factor,
        seed=fields.whole("seed", 1, low=0, high=2**63),
        effort=fields.choice("effort", EFFORTS, "normal"),
        hides=tuple(_hide(each, index, units, where) for index, each in enumerate(fields.items("hides"))),
        stopped=fields.flag("stopped", False),
    )


def _counts(fields: Fields) -> tuple[ProductCount, ...]:
    found: list[ProductCount] = []
    for index, each in enumerate(fields.items("products")):
        table = Fields.of(each, COUNT, fields.where, f"products[{index}]")
        complete, most = table.whole("complete"), table.whole("at_most", high=10**9)
        by = table.text("told_by", "")
        found.append(ProductCount(table.text("name"), complete, most, _next(table), by))
        if len({count.name for count in found}) < len(found):
            raise table.wrong("name", f"two products are named {told(found[-1].name)}")
    return tuple(found)


def _next(table: Fields) -> BegunProduct | None:
    if not table.has("next"):
        return None
    more = Fields.of(table.data["next"], ("laid", "of", "missing"), table.where, f"{table.path}.next")
    told = more.required("missing")
    missing = Fields.of(told, told if isinstance(told, dict) else (), more.where, f"{more.path}.missing")
    lacking = tuple((name, missing.whole(name)) for name in missing.data)
    return BegunProduct(more.whole("laid"), more.whole("of"), lacking)


def _products(fields: Fields, measures: Measures) -> tuple[Product, ...]:
    kinds: dict[str, list[Piece]] = {}
    for index, each in enumerate(fields.items("pieces", ())):
        table = Fields.of(each, PIECE, fields.where, f"pieces[{index}]")
        of = kinds.setdefault(table.text("product"), [])
        of.append(described(table, measures, _shape(table, measures)))
        if any(piece.name == of[-1].name for piece in of[:-1]):
            raise table.wrong("name", f"two pieces of one product are named {told(of[-1].name)}")
    return tuple(_with_making(fields, {name: Product(name, tuple(of)) for name, of in kinds.items()}).values())


def _with_making(fields: Fields, products: dict[str, Product]) -> dict[str, Product]:
    for index, each in enumerate(fields.items("making", ())):
        path = f"making[{index}]"
        name, units, ounces, making = making_from_data(each, fields.where, path)
        if name not in products:
            raise InputError(f"no piece belongs to {told(name)}", where=fields.where, field=f"{path}.product")
        products[name] = replace(products[name], making=making, units=units, ounces=ounces)
    return products


def _shape(table: Fields, measures: Measures) -> PieceShape:
    with table.reading("outline") as value:
        outline = simple_ring(measures.points(value), measures.unit)
    cutouts = []
    for index, each in enumerate(table.items("cutouts", ())):
        with Fields({"ring": each}, table.where, f"{table.path}.cutouts[{index}]").reading("ring") as value:
            cutouts.append(simple_ring(measures.points(value), measures.unit))
    finished = None
    if table.has("finished"):
        with table.reading("finished") as value:
            finished = simple_ring(measures.points(value), measures.unit)
    return PieceShape(outline, tuple(cutouts), finished=finished)


OF_THE_LAYOUT = ("placements", "areas", "offcuts", "tidiness", "straight")
"""What of a layout's hide is not the leather's own."""


def _hide(data: object, index: int, units: str, where: str) -> HideLayout:
    path = f"hides[{index}]"
    if not isinstance(data, dict):
        raise InputError(f"is {told(data)}, not a table of fields", where=where, field=path)
    own = {name: value for name, value in data.items() if name not in OF_THE_LAYOUT}
    fields = Fields(data, where, path)
    factor = LENGTH_UNITS[units]
    return HideLayout(
        hide=_leather(own, units, where, path),
        placements=tuple(
            _placement(each, f"{path}.placements[{i}]", factor, where)
            for i, each in enumerate(fields.items("placements"))
        ),
        areas=_areas(fields.required("areas"), where, f"{path}.areas"),
        offcuts=tuple(
            _offcut(each, f"{path}.offcuts[{i}]", factor, where) for i, each in enumerate(fields.items("offcuts", ()))
        ),
        offcut_areas=tuple(
            _offcut_area(each, f"{path}.offcuts[{i}]", where) for i, each in enumerate(fields.items("offcuts", ()))
        ),
        straight=_straight(data, factor, where, f"{path}.straight"),
    )


def _straight(data: dict[str, Any], factor: float, where: str, path: str) -> StraightPlan | None:
    return straight_from_data(data["straight"], factor, where, path) if "straight" in data else None


def _leather(data: dict[str, Any], units: str, where: str, path: str) -> Hide:
    try:
        return hide_from_data({"format": "hideplan-hide-1", "units": units, **data}, "")
    except InputError as error:
        raise error.within(where, path) from error


def _placement(data: object, path: str, factor: float, where: str) -> Placement:
    fields = Fields.of(data, PLACEMENT, where, path)
    return Placement(
        piece=fields.text("piece"),
        product=fields.text("product"),
        number=fields.whole("number"),
        x=fields.number("x") * factor,
        y=fields.number("y") * factor,
        angle=fields.number("angle", low=-36000, high=36000),
        mirrored=fields.flag("mirrored", False),
        outline=_ring(fields, factor),
        keep=fields.flag("keep", False),
    )


def _offcut(data: object, path: str, factor: float, where: str) -> Ring:
    return _ring(Fields.of(data, ("outline", "area"), where, path), factor)


def _offcut_area(data: object, path: str, where: str) -> float | None:
    fields = Fields.of(data, ("outline", "area"), where, path)
    return fields.number("area") if fields.has("area") else None


def _areas(data: object, where: str, path: str) -> Areas:
    fields = Fields.of(data, AREAS, where, path)
    return Areas(**{name: fields.number(name) for name in AREAS})


def _ring(fields: Fields, factor: float) -> Ring:
    """A ring of finite points, counter-clockwise, not closed; whether it is simple the check says."""
    with fields.reading("outline") as value:
        if not isinstance(value, list):
            raise InputError(f"is {told(value)}, not a list of points", remedy="write [[x, y], [x, y], ...]")
        points = [_point(each, factor) for each in value]
        if len(points) > 1 and points[0] == points[-1]:
            points.pop()
        if len(points) < 3:
            raise InputError("has fewer than three different points")
    return tuple(points) if _twice_area(points) >= 0 else tuple(reversed(points))


def _point(value: object, factor: float) -> Point:
    if not isinstance(value, list) or len(value) != 2:
        raise InputError(f"{told(value)} is no point", remedy="write [x, y]")
    x, y = finite(value[0]) * factor, finite(value[1]) * factor
    if max(abs(x), abs(y)) > LARGEST:
        raise InputError(f"{told(value)} is more than a kilometre away", remedy="look at the file's units")
    return x, y


def _twice_area(points: Sequence[Point]) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, (*points[1:], points[0]), strict=True))
