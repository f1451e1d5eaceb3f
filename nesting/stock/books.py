"""The ledger of the register in words and as data."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from hides.stock import Account, Balance
from hides.stock.ledger import LedgerLine
from nesting.result.wording import money

Posted = Sequence[tuple[int, LedgerLine]]
"""Lines of the ledger, each with its change."""


def books_text(books: Sequence[Balance]) -> str:
    """What was paid, currency by currency, and where it stands."""
    return "\n\n".join("\n".join(_lines(each)) for each in books)


def _lines(each: Balance) -> list[str]:
    rows = [
        ("paid for hides, freight and all", each.paid),
        ("  charged to what was cut", each.charged),
        ("  on the shelf", each.on_shelf),
        ("  sold whole", each.sold),
        ("  written off", each.written_off),
    ]
    return [f"{name:<34}{money(cents / 100, each.currency):>16}" for name, cents in rows]


def books_of(posted: Posted, change: int) -> list[dict[str, str | float]]:
    """What a change did to the accounts, for `--json`."""
    sums = _sums(posted, change)
    return [
        {"account": account.value, "currency": currency, "amount": cents / 100}
        for (account, currency), cents in sorted(sums.items())
        if cents
    ]


def moved_text(posted: Posted, change: int) -> str:
    """What a change moved, in a few words: “120.00 USD charged”, “300.00 USD paid”."""
    sums = _sums(posted, change)
    turned = {Account.PAID: -1}
    told = [
        f"{money(turned.get(account, 1) * cents / 100, currency)} {account.value}"
        for (account, currency), cents in sorted(sums.items())
        if cents and account is not Account.SHELF
    ]
    return ", ".join(told)


def _sums(posted: Posted, change: int) -> Counter[tuple[Account, str]]:
    sums: Counter[tuple[Account, str]] = Counter()
    for number, line in posted:
        if number == change:
            sums[line.account, line.currency] += line.cents
    return sums
