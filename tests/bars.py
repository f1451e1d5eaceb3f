"""Bars: hides and pieces of one width, so that cutting them is the cutting-stock problem and can be solved exactly.

A stand-in for the search and the limits, against which the planner itself is tested.
"""

from __future__ import annotations

from collections.abc import Sequence

from hides.hide import Hide, Price
from nesting.batch.demand import ProductDemand
from nesting.batch.limits import Limits
from nesting.batch.order import OrderLine
from nesting.laying.lay_out import Want
from nesting.model.layout import Areas, HideLayout, Layout, Placement, ProductCount
from nesting.model.product import Piece, Product
from nesting.model.settings import Settings, Stop, Watch, never

WIDTH = 100.0


def bar(length: float, name: str = "bar", price: float | None = None, cut: str = "side") -> Hide:
    """A hide `length` long; `price` is that of the whole bar."""
    per_mm2 = 0.0 if price is None else price / (length * WIDTH)
    money = None if price is None else Price(per_mm2, "USD", per_mm2, "mm2")
    return Hide(name, rectangle(0, length), cut=cut, price=money)


def strip(name: str, *lengths: float) -> Product:
    """A product of pieces so long."""
    kinds = sorted(set(lengths))
    pieces = tuple(Piece(f"{name} {n:g}", rectangle(0, n), lengths.count(n)) for n in kinds)
    return Product(name, pieces)


def demand(name: str, lengths: Sequence[float], quantity: int, **wishes: object) -> ProductDemand:
    """So many of a strip, cut alike from leather of any thickness."""
    line = OrderLine(f"{name}.toml", quantity, **wishes)  # type: ignore[arg-type]
    return ProductDemand(name, (line,), ((None, strip(name, *lengths)),))


def rectangle(x: float, length: float) -> tuple[tuple[float, float], ...]:
    """A piece of bar from x on."""
    return ((x, 0.0), (x + length, 0.0), (x + length, WIDTH), (x, WIDTH))


def long(product: Product) -> int:
    """Length of bar that one product takes."""
    return round(sum(piece.area * piece.count for piece in product.pieces) / WIDTH)


def bar_limits(hide: Hide, products: Sequence[Product], settings: Settings, stop: Stop = never) -> Limits:
    """The exact limits of a bar: what is cut from it is no longer than it is."""
    length = hide.measured_area / WIDTH
    lengths = [float(long(product)) for product in products]
    return Limits(tuple(int(length // n) for n in lengths), ((tuple(lengths), length),))


def cut_bar(hide: Hide, wants: Sequence[Want], settings: Settings, watch: Watch) -> Layout:
    """The dearest mix of the wants that the bar holds, exactly (bounded knapsack), laid from its left end."""
    length = round(hide.measured_area / WIDTH)
    best: list[tuple[float, tuple[int, ...]]] = [(0.0, (0,) * len(wants))] * (length + 1)
    for place, want in enumerate(wants):
        step = long(want.product)
        most = length // step if want.limit is None else min(want.limit, length // step)
        old = list(best)
        for room in range(length + 1):
            for n in range(1, min(most, room // step) + 1):
                worth, counts = old[room - n * step]
                told = worth + n * want.worth
                if told > best[room][0] + 1e-12:
                    best[room] = told, (*counts[:place], n, *counts[place + 1 :])
    return _laid(hide, wants, best[length][1], settings)


def _laid(hide: Hide, wants: Sequence[Want], counts: Sequence[int], settings: Settings) -> Layout:
    placements, x = [], 0.0
    for want, count in zip(wants, counts, strict=True):
        for number in range(1, count + 1):
            for piece in want.product.pieces:
                size = piece.area / WIDTH
                for _ in range(piece.count):
                    outline = rectangle(x, size)
                    placements.append(Placement(piece.name, want.product.name, number, x, 0, 0, False, outline))
                    x += size
    whole = hide.measured_area
    rest = whole - x * WIDTH
    offcuts = (rectangle(x, rest / WIDTH),) if rest > 1e-6 else ()
    areas = Areas(whole, whole, x * WIDTH, 0.0, 0.0, rest if offcuts else 0.0, 0.0 if offcuts else rest)
    told = tuple(
        ProductCount(want.product.name, count, int(hide.measured_area / WIDTH // long(want.product)))
        for want, count in zip(wants, counts, strict=True)
    )
    only = HideLayout(hide, tuple(placements), areas, offcuts)
    return Layout(told, tuple(want.product for want in wants), 0.0, settings.seed, settings.effort, (only,))
