"""The leather ledger: what was paid for hides, and where that money stands, to the cent.

Terms. *Paid*: price and freight of the hides bought. *Shelf*: the value of what is on hand. *Charged*: what the orders
that cut the hides were charged. *Sold*, *written off*: the value of hides that went whole. Every change of the register
posts lines whose cents add up to nought (double entry); an undo posts the lines of what it reverses, turned about. So
paid = charged + shelf + sold + written off holds at every moment, currency by currency.

Amounts are whole cents (hundredths of the currency).
"""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from hides.stock.money import Value


class Account(StrEnum):
    """Where value may stand."""

    PAID = "paid"
    SHELF = "shelf"
    CHARGED = "charged"
    SOLD = "sold"
    WRITTEN_OFF = "written off"


@dataclass(frozen=True)
class LedgerLine:
    """One line of a change: `cents` more on an account, for a hide."""

    hide: int
    account: Account
    currency: str
    cents: int


@dataclass(frozen=True)
class Balance:
    """One currency's books, in cents. `paid` is the sum of the other four."""

    currency: str
    paid: int
    charged: int
    on_shelf: int
    sold: int
    written_off: int

    @property
    def balances(self) -> bool:
        """Whether what was paid is all accounted for."""
        return self.paid == self.charged + self.on_shelf + self.sold + self.written_off

    def to_data(self) -> dict[str, str | float]:
        """The books as `--json` prints them, in whole units of the currency."""
        names = ("paid", "charged", "on_shelf", "sold", "written_off")
        return {"currency": self.currency, **{name: getattr(self, name) / 100 for name in names}}


def bought(hide: int, value: Value) -> list[LedgerLine]:
    """The lines of a hide that comes in from outside."""
    return [
        LedgerLine(hide, Account.PAID, value.currency, -value.cents),
        LedgerLine(hide, Account.SHELF, value.currency, value.cents),
    ]


def moved(hide: int, value: Value, account: Account) -> list[LedgerLine]:
    """The lines of a hide whose value leaves the shelf for an account."""
    return [
        LedgerLine(hide, Account.SHELF, value.currency, -value.cents),
        LedgerLine(hide, account, value.currency, value.cents),
    ]


def cut(hide: int, value: Value, offcuts: Mapping[int, int]) -> list[LedgerLine]:
    """The lines of a hide that is cut: so many cents go to each offcut, the rest is charged."""
    charged = value.cents - sum(offcuts.values())
    lines = [*moved(hide, Value(charged, value.currency), Account.CHARGED)]
    for offcut, cents in offcuts.items():
        lines += became(hide, offcut, Value(cents, value.currency))
    return lines


def became(old: int, new: int, value: Value) -> list[LedgerLine]:
    """The lines of value that passes from one hide on the shelf to another."""
    return [
        LedgerLine(old, Account.SHELF, value.currency, -value.cents),
        LedgerLine(new, Account.SHELF, value.currency, value.cents),
    ]


def post(database: sqlite3.Connection, change: int, lines: Iterable[LedgerLine]) -> None:
    """Put the lines of a change into the books; lines of nought are left out."""
    rows = [(change, line.hide, line.account.value, line.currency, line.cents) for line in lines if line.cents]
    database.executemany("INSERT INTO entry VALUES (?, ?, ?, ?, ?)", rows)


def turn_about(database: sqlite3.Connection, reversed_change: int, change: int) -> None:
    """Post the lines of a change with their signs turned, as another change."""
    database.execute(
        "INSERT INTO entry SELECT ?, hide, account, currency, -cents FROM entry WHERE change = ?",
        (change, reversed_change),
    )


def lines(database: sqlite3.Connection) -> list[tuple[int, LedgerLine]]:
    """All lines with their change, in the order they were posted."""
    rows = database.execute("SELECT change, hide, account, currency, cents FROM entry ORDER BY rowid").fetchall()
    return [
        (change, LedgerLine(hide, Account(account), currency, cents)) for change, hide, account, currency, cents in rows
    ]


def values(database: sqlite3.Connection) -> dict[int, Value]:
    """What each hide is worth in the books; hides without money are left out."""
    rows = database.execute(
        "SELECT hide, currency, sum(cents) FROM entry WHERE account = 'shelf' GROUP BY hide, currency"
    ).fetchall()
    return {hide: Value(cents, currency) for hide, currency, cents in rows if cents}


def balances(posted: Iterable[LedgerLine]) -> list[Balance]:
    """The books of every currency, by its name."""
    sums: Counter[tuple[str, Account]] = Counter()
    for line in posted:
        sums[line.currency, line.account] += line.cents
    return [
        Balance(
            currency,
            -sums[currency, Account.PAID],
            sums[currency, Account.CHARGED],
            sums[currency, Account.SHELF],
            sums[currency, Account.SOLD],
            sums[currency, Account.WRITTEN_OFF],
        )
        for currency in sorted({currency for currency, _ in sums})
    ]
