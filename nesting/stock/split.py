"""What a hide is worth, parted over what is cut from it: the joint-cost method by value at the split.

Everything that comes of one hide was paid for together. Its cost is parted by what each part is worth where it comes
apart: leather of a better grade bears more (Horngren, Datar, Rajan: Cost Accounting, the chapter on joint products,
“sales value at splitoff”; from memory). A `ValueTable` says how grades compare; waste bears nothing unless the table
says so, so that what is kept bears it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Grade, Hide, Price
from hides.stock.money import share
from nesting.model.layout import HideLayout
from nesting.model.value_table import ValueTable


@dataclass(frozen=True)
class Split:
    """Cents by product, for each offcut, and for the scrap; together what was parted."""

    products: Mapping[str, int]
    offcuts: tuple[int, ...]
    scrap: int

    @property
    def charged(self) -> int:
        """What the order bears: its pieces and the scrap."""
        return sum(self.products.values()) + self.scrap


def split(on: HideLayout, cents: int, table: ValueTable) -> Split:
    """Part a hide's value over its products, offcuts and scrap.

    Pieces count by the leather they lie on, whatever grade they ask for. Exact to the cent. Where nothing on the hide
    is worth anything by the table, area alone counts.
    """
    regions = graded(on.hide)
    names = sorted({each.product for each in on.placements})
    pieces = [[Polygon(p.outline) for p in on.placements if p.product == name] for name in names]
    rings = [Polygon(ring) for ring in on.offcuts]
    areas = [*(sum(piece.area for piece in many) for many in pieces), *(ring.area for ring in rings)]
    worth = [sum(_worth(piece, regions, table) for piece in many) for many in pieces]
    worth += [_worth(ring, regions, table) for ring in rings]
    waste = table.scrap * max(on.hide.measured_area - sum(areas), 0.0)
    parts = share(cents, [*worth, waste] if sum(worth) + waste else [*areas, 0.0])
    products = MappingProxyType(dict(zip(names, parts, strict=False)))
    return Split(products, tuple(parts[len(names) : -1]), parts[-1])


def charged_share(on: HideLayout, table: ValueTable) -> float:
    """The share of a hide's cost that its pieces bear, between nought and one; all of it where nothing is laid."""
    fine = 10**9
    return split(on, fine, table).charged / fine if on.placements else 1.0


def kept_values(on: HideLayout, cents: int, table: ValueTable | Price) -> list[int]:
    """The cents of a hide's value that each of its offcuts keeps."""
    if isinstance(table, ValueTable):
        return list(split(on, cents, table).offcuts)
    flat = [table.per_mm2 * Polygon(ring).area * 100 for ring in on.offcuts]
    return share(min(cents, round(sum(flat))), flat) if flat else []


def graded(hide: Hide) -> list[tuple[Grade, BaseGeometry]]:
    """The leather of each grade, best first, not overlapping: where marks lie over one another the worst holds."""
    leather: BaseGeometry = hide.polygon
    marks = [*((flaw.grade, flaw.outline) for flaw in hide.flaws), *((zone.grade, zone.outline) for zone in hide.zones)]
    found = []
    for grade in range(Grade.NONE, hide.grade, -1):
        here = shapely.union_all([Polygon(outline) for mark, outline in marks if mark == grade])
        found.append((Grade(grade), here.intersection(leather)))
        leather = leather.difference(here)
    return [(hide.grade, leather), *reversed(found)]


def _worth(shape: BaseGeometry, regions: Sequence[tuple[Grade, BaseGeometry]], table: ValueTable) -> float:
    return float(sum(table.of(grade) * shape.intersection(region).area for grade, region in regions))
