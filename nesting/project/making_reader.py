"""The tables of a project's making, read strictly: `[[joint]]`, `[[fastener]]`, `[[material]]`, `[labour]`,
`[price]` and `[care]` (described in nesting/FORMATS.md).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from hides.errors import InputError
from hides.fields import Fields, told
from nesting.model.choice import Choice
from nesting.model.making import Care, Labour, Making, Material, Overhead, Pricing
from nesting.model.product import Piece, ProductLeather
from nesting.project.choices import taken
from nesting.project.edge_reader import read_edge_work
from nesting.project.fastener_reader import read_fastener
from nesting.project.joint_reader import read_joint, refuse_overuse
from nesting.project.leather_reader import with_own_thickness
from nesting.project.measures import Measures
from nesting.project.named import refuse_unknown_piece

TABLES = ("joint", "fastener", "material", "labour", "price", "care", "edge")
"""The names of the tables in a project file."""
VARYING = ("joint", "material")
"""Tables whose rows may have a `when`."""
MOST_ROWS = 500
T = TypeVar("T")


def read_making(
    data: dict[str, Any],
    measures: Measures,
    pieces: Sequence[Piece],
    where: str,
    choices: Sequence[Choice] = (),
    leathers: Sequence[ProductLeather] = (),
) -> Making:
    """The making that these tables describe, for a product of those pieces; joints and materials may have a `when`.

    Raises InputError that names the table, the field and what would be right; NeedsThickness where a length uses
    `t` and the leather's is not known.
    """
    fields = Fields.of({name: _there(table, choices, where, name) for name, table in data.items()}, TABLES, where)
    fasteners = _rows(fields, "fastener", lambda row, i: read_fastener(row, i, measures, where))
    _refuse_doubles(fields, "fastener", [each.name for each in fasteners])
    joints = _rows(fields, "joint", lambda row, i: read_joint(row, i, measures, pieces, fasteners, where))
    _refuse_doubles(fields, "joint", [each.name for each in joints])
    joints = [with_own_thickness(joint, pieces, leathers) for joint in joints]
    refuse_overuse(joints, pieces, where)
    materials = _rows(fields, "material", lambda row, i: _material(row, i, measures, where))
    _refuse_doubles(fields, "material", [each.name for each in materials])
    labour = _labour(fields, measures, pieces) if fields.has("labour") else None
    pricing = _pricing(fields) if fields.has("price") else Pricing()
    _refuse_nameless_money(fields, labour, pricing)
    care = _care(fields) if fields.has("care") else Care()
    edges = tuple(_rows(fields, "edge", lambda row, i: read_edge_work(row, i, measures, pieces, where)))
    return Making(tuple(joints), tuple(fasteners), tuple(materials), labour, pricing, care, edges=edges)


def _there(rows: Any, choices: Sequence[Choice], where: str, name: str) -> Any:
    """The rows of a table that this variant has; None where it has none of them."""
    if name not in VARYING or not isinstance(rows, list):
        return rows
    kept = [row for i, row in enumerate(rows, 1) if _taken(row, choices, Fields({}, where, f"{name} {i}"))]
    return kept if kept or not rows else None


def _taken(row: Any, choices: Sequence[Choice], told_as: Fields) -> bool:
    return not isinstance(row, dict) or taken(choices, Fields(row, told_as.where, told_as.path))


def _rows(fields: Fields, name: str, read: Callable[[object, int], T]) -> list[T]:
    if not fields.has(name):
        return []
    rows = fields.items(name)
    if not 0 < len(rows) <= MOST_ROWS:
        raise fields.wrong(name, f"holds {len(rows)} tables", f"write [[{name}]] tables, or leave it out")
    return [read(row, index) for index, row in enumerate(rows, 1)]


def _refuse_doubles(fields: Fields, name: str, names: Sequence[str]) -> None:
    for each in names:
        if names.count(each) > 1:
            raise fields.wrong(name, f"two are named {told(each)}", "give each its own name")


def _material(row: object, index: int, measures: Measures, where: str) -> Material:
    known = ("name", "amount", "unit", "price", "weight", "spare", "when")
    fields = Fields.of(row, known, where, f"material {index}")
    name = fields.text("name")
    fields = Fields(fields.data, where, f"material “{name}”")
    return Material(
        name=name,
        amount=measures.amount(fields, "amount", 1e-6, 1e6),
        unit=fields.text("unit", "piece"),
        price=fields.number("price", 0.0, low=0, high=1e6),
        weight=fields.number("weight", 0.0, low=0, high=1e6),
        spare=fields.number("spare", 0.0, low=0, high=5),
    )


def _labour(whole: Fields, measures: Measures, pieces: Sequence[Piece]) -> Labour:
    known = ("rate", "cut", "edge", "edges", "sewing", "hole", "fastener", "assembly", "setup")
    fields = Fields.of(whole.required("labour"), known, whole.where, "labour")
    return Labour(
        rate=fields.number("rate", low=0, high=1e7),
        cut=_speed(fields, "cut", measures),
        edge=_speed(fields, "edge", measures),
        edges=_piece_names(fields, pieces),
        sewing=_speed(fields, "sewing", measures),
        hole=fields.number("hole", 0.0, low=0, high=1000),
        fastener=fields.number("fastener", 0.0, low=0, high=1000),
        assembly=fields.number("assembly", 0.0, low=0, high=100_000),
        setup=fields.number("setup", 0.0, low=0, high=100_000),
    )


def _speed(fields: Fields, name: str, measures: Measures) -> float | None:
    """A length worked in one minute."""
    if not fields.has(name):
        return None
    with fields.reading(name) as value:
        return measures.size(value)


def _piece_names(fields: Fields, pieces: Sequence[Piece]) -> tuple[str, ...] | None:
    if not fields.has("edges"):
        return None
    known = [piece.name for piece in pieces]
    for name in fields.items("edges"):
        refuse_unknown_piece(fields, name, known, "edges")
    return tuple(fields.items("edges"))


def _pricing(whole: Fields) -> Pricing:
    known = ("currency", "overhead", "wholesale", "retail")
    fields = Fields.of(whole.required("price"), known, whole.where, "price")
    overhead = Overhead()
    if fields.has("overhead"):
        table = Fields.of(
            fields.required("overhead"), ("per_product", "per_hour", "share"), whole.where, "price.overhead"
        )
        overhead = Overhead(
            table.number("per_product", 0.0, low=0, high=1e7),
            table.number("per_hour", 0.0, low=0, high=1e7),
            table.number("share", 0.0, low=0, high=10),
        )
    return Pricing(fields.text("currency"), overhead, _multiplier(fields, "wholesale"), _multiplier(fields, "retail"))


def _multiplier(fields: Fields, name: str) -> float | None:
    return fields.number(name, low=1, high=100) if fields.has(name) else None


def _refuse_nameless_money(fields: Fields, labour: Labour | None, pricing: Pricing) -> None:
    """Money without a currency cannot be added to the leather's."""
    priced = [name for name in ("fastener", "material") if any(_has_price(row) for row in fields.items(name, ()))]
    if labour is not None and labour.rate:
        priced.append("labour")
    if priced and not pricing.currency:
        raise InputError(
            "has prices, but no currency is named",
            where=fields.where,
            field=priced[0],
            remedy='add [price] with currency = "EUR"',
        )


def _has_price(row: Any) -> bool:
    return bool(row.get("price")) or any(size.get("price") for size in row.get("sizes", ()))


def _care(whole: Fields) -> Care:
    fields = Fields.of(whole.required("care"), ("hangs",), whole.where, "care")
    return Care(fields.flag("hangs", False))
