"""Whether a register's content agrees with its own history."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from hides.errors import InputError
from hides.stock.content import Row
from hides.stock.history import REVERSALS
from hides.stock.register import ON_HAND, Stock
from hides.stock.values import Change, Status

LEFT = (Status.CUT, Status.SOLD, Status.LOST)
"""Statuses of hides that have left the shelf for good, unless a change is undone."""


def faults(stock: Stock) -> list[str]:
    """Every disagreement in words; none in a sound register.

    The statuses must be the history played from the start, every hide must read back, every cut hide must have its
    layout, and every offcut on hand a parent that is cut. A cut puts back offcuts of the hides it cuts and no others,
    and nothing but an undo or a redo brings back what has left. In the books every change's lines add up to nought,
    and only hides on hand are worth anything.
    """
    rows, history = stock.rows(tuple(Status)), stock.history()
    return [
        *_replayed(rows, history),
        *_unreadable(stock, rows),
        *_uncut(stock, rows),
        *_revived(rows, history),
        *_unbalanced(stock, rows),
    ]


def replay(history: list[Change]) -> tuple[dict[int, Status], list[str]]:
    """The status of each hide after the history, and where a change begins from another status than it found."""
    status: dict[int, Status] = {}
    wrong = []
    for change in history:
        if not change.steps:
            wrong.append(f"change {change.id} touches no hide")
        for step in change.steps:
            found = status.get(step.hide_id, Status.GONE)
            if found is not step.was:
                wrong.append(f"change {change.id} takes “{step.name}” for {step.was.value}, but it was {found.value}")
            status[step.hide_id] = step.became
    return status, wrong


def _replayed(rows: list[Row], history: list[Change]) -> Iterator[str]:
    status, wrong = replay(history)
    yield from wrong
    for row in rows:
        told = status.get(row.id, Status.GONE)
        if told is not row.status:
            yield f"“{row.name}” (number {row.id}) is {row.status.value}, but its history says {told.value}"


def _unreadable(stock: Stock, rows: list[Row]) -> Iterator[str]:
    for row in rows:
        try:
            row.read(stock.where)
        except InputError as error:
            yield str(error)


def _uncut(stock: Stock, rows: list[Row]) -> Iterator[str]:
    by_number = {row.id: row for row in rows}
    for row in rows:
        if row.status is Status.CUT and stock.layout(row.id) is None:
            yield f"“{row.name}” (number {row.id}) is cut, but has no layout"
        parent = by_number.get(row.parent)
        if row.status is not Status.GONE and parent and parent.status is not Status.CUT:
            yield f"“{row.name}” (number {row.id}) is an offcut of “{parent.name}”, which is not cut"


def _revived(rows: list[Row], history: list[Change]) -> Iterator[str]:
    parents = {row.id: row.parent for row in rows}
    for change in history:
        if change.kind in REVERSALS:
            continue
        cut = {step.hide_id for step in change.steps if step.became is Status.CUT}
        for step in change.steps:
            here = f"“{step.name}” (number {step.hide_id})"
            if step.was in LEFT:
                yield f"change {change.id} brings back {here}, which was {step.was.value}"
            elif change.kind == "cut" and step.hide_id not in cut and parents.get(step.hide_id, 0) not in cut:
                yield f"change {change.id} puts back {here}, which is no offcut of what it cut"


def _unbalanced(stock: Stock, rows: list[Row]) -> Iterator[str]:
    sums: Counter[tuple[int, str]] = Counter()
    for change, line in stock.posted():
        sums[change, line.currency] += line.cents
    for (change, currency), cents in sums.items():
        if cents:
            yield f"the books of change {change} are off by {cents / 100:.2f} {currency}"
    for row in rows:
        if row.value and (row.status not in ON_HAND or row.value.cents < 0):
            worth = f"{row.value.amount:.2f} {row.value.currency}"
            yield f"“{row.name}” (number {row.id}) is {row.status.value}, but worth {worth} in the books"
