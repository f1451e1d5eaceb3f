"""A register as version 1 wrote it: S cut to an offcut, undone and done again; T bought; U, without a price, cut."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path

from hides.hide import Hide, Price
from hides.offcut import offcuts
from hides.stock.content import digest_of, text_of

TABLES = """
CREATE TABLE hide (
    id INTEGER PRIMARY KEY, name TEXT NOT NULL, digest TEXT NOT NULL UNIQUE, content TEXT NOT NULL,
    source TEXT NOT NULL, parent INTEGER REFERENCES hide (id),
    status TEXT NOT NULL CHECK (status IN ('in', 'out', 'cut', 'gone'))
);
CREATE UNIQUE INDEX one_of_a_name ON hide (name) WHERE status IN ('in', 'out');
CREATE TABLE change (
    id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, kind TEXT NOT NULL, note TEXT NOT NULL,
    reverses INTEGER REFERENCES change (id)
);
CREATE TABLE step (
    change INTEGER NOT NULL REFERENCES change (id), hide INTEGER NOT NULL REFERENCES hide (id),
    was TEXT NOT NULL, became TEXT NOT NULL, PRIMARY KEY (change, hide)
) WITHOUT ROWID;
CREATE TABLE layout (
    change INTEGER NOT NULL REFERENCES change (id), hide INTEGER NOT NULL REFERENCES hide (id),
    content TEXT NOT NULL, PRIMARY KEY (change, hide)
);
PRAGMA application_id = 1212761157;
PRAGMA user_version = 1;
"""


def version_1(path: Path) -> None:
    """Write it."""
    square = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 1000.0), (0.0, 1000.0))
    whole = Hide("S", square, price=Price(1e-4, "USD", 100.0, "m2"))
    (left,) = offcuts(whole, [((400.0, 0.0), (1000.0, 0.0), (1000.0, 1000.0), (400.0, 1000.0))])
    other = replace(whole, name="T", price=Price(5e-5, "USD", 50.0, "m2"))
    plain = replace(whole, name="U", price=None)
    register = sqlite3.connect(path)
    register.executescript(TABLES)
    rows = [(whole, None, "cut"), (left, 1, "in"), (other, None, "in"), (plain, None, "cut")]
    for number, (hide, parent, status) in enumerate(rows, 1):
        text = text_of(hide)
        row = (number, hide.name, digest_of(text), text, "file", parent, status)
        register.execute("INSERT INTO hide VALUES (?, ?, ?, ?, ?, ?, ?)", row)
    changes = [(1, "add", None), (2, "cut", None), (3, "undo", 2), (4, "redo", 3), (5, "add", None), (6, "cut", None)]
    for number, kind, reverses in changes:
        register.execute("INSERT INTO change VALUES (?, '2027-01-01T00:00:00', ?, '', ?)", (number, kind, reverses))
    steps = [
        (1, 1, "gone", "in"), (2, 1, "in", "cut"), (2, 2, "gone", "in"), (3, 1, "cut", "in"), (3, 2, "in", "gone"),
        (4, 1, "in", "cut"), (4, 2, "gone", "in"), (5, 3, "gone", "in"), (5, 4, "gone", "in"),
        (6, 4, "in", "cut"),
    ]  # fmt: skip
    register.executemany("INSERT INTO step VALUES (?, ?, ?, ?)", steps)
    register.executemany("INSERT INTO layout VALUES (?, ?, '{}')", [(2, 1), (6, 4)])
    register.commit()
    register.close()
