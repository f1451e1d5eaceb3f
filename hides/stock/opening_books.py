"""The books of a register that had none: what its changes would have posted.

Hides came in at their price. What a cut hide was worth is parted by area between its offcuts and the order, for older
registers knew no other table.
"""

from __future__ import annotations

import json
import sqlite3

from hides.errors import InputError
from hides.hide import Hide
from hides.hide_file import hide_from_data
from hides.stock import ledger
from hides.stock.money import by_area, price_of


def post_past(database: sqlite3.Connection) -> None:
    """Post the lines of every change there has been; the caller holds the transaction."""
    hides = _hides(database)
    for change, kind, reverses in database.execute("SELECT id, kind, coalesce(reverses, 0) FROM change ORDER BY id"):
        if reverses:
            ledger.turn_about(database, reverses, change)
        elif kind in ("add", "cut"):
            ledger.post(database, change, _lines(database, change, hides))


def _lines(database: sqlite3.Connection, change: int, hides: dict[int, tuple[Hide, int]]) -> list[ledger.LedgerLine]:
    steps = database.execute("SELECT hide, became FROM step WHERE change = ? ORDER BY hide", (change,)).fetchall()
    came = [hide for hide, became in steps if became == "in" and hide in hides]
    worth = ledger.values(database)
    lines: list[ledger.LedgerLine] = []
    for hide in came:
        price = price_of(hides[hide][0])
        if price and not hides[hide][1]:
            lines += ledger.bought(hide, price)
    for cut in [hide for hide, became in steps if became == "cut" and hide in worth]:
        of_it = [hide for hide in came if hides[hide][1] == cut]
        parts = by_area(hides[cut][0], [hides[hide][0] for hide in of_it], worth[cut].cents)
        lines += ledger.cut(cut, worth[cut], dict(zip(of_it, parts, strict=True)))
    return lines


def _hides(database: sqlite3.Connection) -> dict[int, tuple[Hide, int]]:
    """Every hide that can be read, with its parent (0: bought)."""
    found = {}
    for id, name, content, parent in database.execute("SELECT id, name, content, coalesce(parent, 0) FROM hide"):
        try:
            found[int(id)] = hide_from_data(json.loads(content), f"hide “{name}”"), int(parent)
        except (InputError, ValueError, TypeError):
            continue
    return found
