"""Where on the hide a piece may lie: off the backbone, from named regions, near another piece, or as one of a pair."""

from __future__ import annotations

from dataclasses import dataclass

from hides.errors import InputError
from hides.fields import Fields, told
from nesting.model.product import Near
from nesting.project.measures import Measures

FIELDS = ("off_backbone", "from", "near", "pair", "pair_within")
MIRRORED = "mirrored"
PAIR_WITHIN = 200.0
"""How far (mm) one of a pair may lie from the other's mirror image where the file does not say (ours)."""


@dataclass(frozen=True)
class Places:
    """What a piece's table says of where it may lie."""

    off_backbone: float = 0.0
    regions: tuple[str, ...] = ()
    near: tuple[Near, ...] = ()
    pair_within: float | None = None


def read_places(fields: Fields, measures: Measures) -> Places:
    """The places that a piece's table allows."""
    off = 0.0
    if fields.has("off_backbone"):
        with fields.reading("off_backbone") as value:
            off = measures.length(value)
            if off < 0:
                raise InputError(f"comes to {off:g} mm", remedy="give how far from the backbone it is kept")
    return Places(off, _regions(fields), _near(fields, measures), _pair(fields, measures))


def _regions(fields: Fields) -> tuple[str, ...]:
    value = fields.data.get("from", ())
    names = [value] if isinstance(value, str) else value
    if not isinstance(names, (list, tuple)) or not all(isinstance(name, str) and name.strip() for name in names):
        raise fields.wrong("from", f"is {told(value)}", 'name regions of the hide: ["butt", "back"]')
    return tuple(name.strip() for name in names)


def _near(fields: Fields, measures: Measures) -> tuple[Near, ...]:
    found = []
    for index, value in enumerate(fields.items("near", ())):
        table = Fields.of(value, ("piece", "within"), fields.where, f"{fields.path}.near[{index}]")
        with table.reading("within") as within:
            found.append(Near(table.text("piece"), measures.size(within)))
    return tuple(found)


def _pair(fields: Fields, measures: Measures) -> float | None:
    if not fields.has("pair"):
        if fields.has("pair_within"):
            raise fields.wrong("pair_within", "belongs to a pair", 'add pair = "mirrored"')
        return None
    fields.choice("pair", (MIRRORED,))
    if not fields.has("hand"):
        raise fields.wrong("pair", "goes with a left and a right piece", 'add hand = "both"')
    if not fields.has("pair_within"):
        return PAIR_WITHIN
    with fields.reading("pair_within") as value:
        return measures.size(value)
