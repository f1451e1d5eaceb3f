"""Which hides of the stock an order may cut: all but those that are kept for somebody else."""

from __future__ import annotations

from collections.abc import Sequence

from hides.hide import Hide
from hides.stock import StockHide


def on_offer(stock: Sequence[StockHide], whom: str) -> tuple[list[Hide], tuple[str, ...]]:
    """The hides an order for `whom` may cut, and a remark on those left alone."""
    kept = [each for each in stock if each.reserved and each.reserved.casefold() != whom.casefold()]
    names = ", ".join(f"{each.hide.name} for {each.reserved}" for each in kept[:4]) + (", ..." if len(kept) > 4 else "")
    remark = (f"Left alone, being kept for somebody else: {names}.",) if kept else ()
    return [each.hide for each in stock if each not in kept], remark
