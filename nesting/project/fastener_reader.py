"""The `[[fastener]]` tables of a project file."""

from __future__ import annotations

from hides.errors import InputError
from hides.fields import Fields, told
from nesting.model.making import KINDS, Fastener, Size
from nesting.project.measures import Measures

OWN_FIELDS = {"post": ("share",), "rivet": ("proud",), "snap": (), "thread": ("tail",)}
MOST_SIZES = 200


def read_fastener(row: object, index: int, measures: Measures, where: str) -> Fastener:
    """One fastener with the sizes kept of it."""
    own = tuple(name for names in OWN_FIELDS.values() for name in names)
    fields = Fields.of(row, ("name", "kind", "sizes", "hole", "spare", "edge", *own), where, f"fastener {index}")
    name = fields.text("name")
    fields = Fields(fields.data, where, f"fastener “{name}”")
    kind = fields.choice("kind", KINDS)
    _refuse_others(fields, kind, own)
    return Fastener(
        name=name,
        kind=kind,
        sizes=_sizes(fields, kind, measures),
        share=_share(fields),
        proud=_length(fields, "proud", measures) or Fastener.proud,
        hole=_length(fields, "hole", measures),
        spare=fields.number("spare", 0.0, low=0, high=5),
        tail=_length(fields, "tail", measures) or 0.0,
        edge=_length(fields, "edge", measures),
    )


def _refuse_others(fields: Fields, kind: str, own: tuple[str, ...]) -> None:
    for name in own:
        if fields.has(name) and name not in OWN_FIELDS[kind]:
            owner = next(k for k, names in OWN_FIELDS.items() if name in names)
            raise fields.wrong(name, f"belongs to a {owner}, and this is a {kind}", "leave it out")


def _length(fields: Fields, name: str, measures: Measures) -> float | None:
    if not fields.has(name):
        return None
    with fields.reading(name) as value:
        return measures.size(value)


def _share(fields: Fields) -> tuple[float, float] | None:
    if not fields.has("share"):
        return None
    low, high = _pair(fields, "share")
    if not 0 < low <= high <= 1:
        raise fields.wrong("share", f"is {told([low, high])}", "give two shares of the stack: [0.6, 0.85]")
    return low, high


def _pair(fields: Fields, name: str) -> tuple[float, float]:
    values = fields.items(name)
    if len(values) != 2:
        raise fields.wrong(name, f"holds {len(values)} numbers", "give two: the least and the most")
    each = Fields(dict(zip(("[0]", "[1]"), values, strict=True)), fields.where, f"{fields.path}.{name}")
    return each.number("[0]"), each.number("[1]")


def _sizes(fields: Fields, kind: str, measures: Measures) -> tuple[Size, ...]:
    rows = fields.items("sizes")
    if not 0 < len(rows) <= MOST_SIZES:
        raise fields.wrong("sizes", f"holds {len(rows)} sizes", f"give from 1 to {MOST_SIZES}")
    if kind == "thread" and len(rows) > 1:
        raise fields.wrong("sizes", "holds several, and thread has none to pick from", "write a [[fastener]] for each")
    sizes = tuple(_size(row, i, kind, fields, measures) for i, row in enumerate(rows))
    names = [size.name for size in sizes]
    if len(set(names)) < len(names):
        raise fields.wrong("sizes", "two sizes have one name", "give each its own name")
    return sizes


def _size(row: object, index: int, kind: str, parent: Fields, measures: Measures) -> Size:
    needed = {"snap": ("grip",), "thread": ()}.get(kind, ("length",))
    may = ("grip",) if kind == "post" else ()
    known = ("name", *needed, *may, "price", "weight")
    fields = Fields.of(row, known, parent.where, f"{parent.path}.sizes[{index}]")
    return Size(
        name=fields.text("name"),
        length=_required_length(fields, measures) if "length" in needed else None,
        grip=_grip(fields, measures) if "grip" in needed or fields.has("grip") else None,
        price=fields.number("price", 0.0, low=0, high=1e6),
        weight=fields.number("weight", 0.0, low=0, high=1e5),
    )


def _required_length(fields: Fields, measures: Measures) -> float:
    with fields.reading("length") as value:
        return measures.size(value)


def _grip(fields: Fields, measures: Measures) -> tuple[float, float]:
    with fields.reading("grip") as value:
        low, high = (measures.size(each) for each in measures.pair(value, "a pair of lengths [least, most]"))
        if low > high:
            raise InputError(f"{told(value)} ends below where it begins", remedy="give the thinnest stack first")
    return low, high
