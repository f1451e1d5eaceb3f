"""Which hides of the stock an order may cut: all but those that are kept for somebody else, by order or by line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from hides.hide import Hide
from hides.stock import StockHide
from nesting.batch.order import Order


def on_offer(stock: Sequence[StockHide], order: Order) -> tuple[Order, list[Hide], tuple[str, ...]]:
    """The order with its lines closed to hides kept for others, the hides it may cut, a remark on those left alone."""
    closed = [_closed(stock, {order.whom, line.whom}) for line in order.lines]
    lines = tuple(replace(line, closed=names) for line, names in zip(order.lines, closed, strict=True))
    none = frozenset.intersection(*closed) if closed else frozenset[str]()
    kept = [each for each in stock if each.hide.name in none]
    names = ", ".join(f"{each.hide.name} for {each.reserved}" for each in kept[:4]) + (", ..." if len(kept) > 4 else "")
    remark = (f"Left alone, being kept for somebody else: {names}.",) if kept else ()
    return replace(order, lines=lines), [each.hide for each in stock if each not in kept], remark


def _closed(stock: Sequence[StockHide], whom: set[str]) -> frozenset[str]:
    """Names of hides that are kept for nobody of these."""
    ours = {name.casefold() for name in whom if name}
    return frozenset(each.hide.name for each in stock if each.reserved and each.reserved.casefold() not in ours)
