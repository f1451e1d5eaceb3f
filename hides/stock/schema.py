"""The tables of the register, and the way from an older version of them to this one.

A hide's content never changes; its status does. `step` says what each change did to each hide, so that the
statuses are the history played from the start, and undo is a change that plays one entry backwards.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

from hides.stock.opening_books import post_past

APPLICATION_ID = 0x48_49_44_45
"""Marks an SQLite file as a register of hides ("HIDE")."""

VERSION = 2
"""The version of the tables that this program writes (kept in the file's `user_version`)."""

TABLES = (
    """
    CREATE TABLE hide (
        id INTEGER PRIMARY KEY,
        name TEXT NOT NULL,
        digest TEXT NOT NULL UNIQUE,
        content TEXT NOT NULL,
        source TEXT NOT NULL,
        parent INTEGER REFERENCES hide (id),
        status TEXT NOT NULL CHECK (status IN ('in', 'out', 'cut', 'sold', 'lost', 'gone'))
    )
    """,
    "CREATE UNIQUE INDEX one_of_a_name ON hide (name) WHERE status IN ('in', 'out')",
    """
    CREATE TABLE change (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        at TEXT NOT NULL,
        kind TEXT NOT NULL,
        note TEXT NOT NULL,
        reverses INTEGER REFERENCES change (id)
    )
    """,
    """
    CREATE TABLE step (
        change INTEGER NOT NULL REFERENCES change (id),
        hide INTEGER NOT NULL REFERENCES hide (id),
        was TEXT NOT NULL,
        became TEXT NOT NULL,
        PRIMARY KEY (change, hide)
    ) WITHOUT ROWID
    """,
    """
    CREATE TABLE layout (
        change INTEGER NOT NULL REFERENCES change (id),
        hide INTEGER NOT NULL REFERENCES hide (id),
        content TEXT NOT NULL,
        PRIMARY KEY (change, hide)
    )
    """,
    """
    CREATE TABLE entry (
        change INTEGER NOT NULL REFERENCES change (id),
        hide INTEGER NOT NULL REFERENCES hide (id),
        account TEXT NOT NULL CHECK (account IN ('paid', 'shelf', 'charged', 'sold', 'written off')),
        currency TEXT NOT NULL,
        cents INTEGER NOT NULL
    )
    """,
    "CREATE INDEX worth ON entry (hide, account)",
    """
    CREATE TABLE remark (
        change INTEGER NOT NULL REFERENCES change (id),
        hide INTEGER NOT NULL REFERENCES hide (id),
        kind TEXT NOT NULL CHECK (kind IN ('note', 'reserved')),
        content TEXT NOT NULL,
        PRIMARY KEY (change, hide)
    )
    """,
)

_COPIED = ("hide", "change", "step", "layout")

MIGRATIONS: dict[int, tuple[str, ...]] = {
    1: (
        "DROP INDEX one_of_a_name",
        *(f"ALTER TABLE {table} RENAME TO {table}_1" for table in _COPIED),
        *TABLES,
        *(f"INSERT INTO {table} SELECT * FROM {table}_1" for table in _COPIED),
        *(f"DROP TABLE {table}_1" for table in reversed(_COPIED)),
    ),
}
"""For each older version the statements that bring its tables to the next one (SQLite cannot change a CHECK)."""

FILLED: dict[int, Callable[[sqlite3.Connection], None]] = {1: post_past}
"""For each older version what fills the new tables from the old, after the statements."""


def make(database: sqlite3.Connection) -> None:
    """Make the tables in an empty file; the caller holds the transaction."""
    for statement in TABLES:
        database.execute(statement)
    database.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    database.execute(f"PRAGMA user_version = {VERSION}")


def migrate(database: sqlite3.Connection, version: int) -> None:
    """Bring the tables from `version` to `VERSION`; the caller holds the transaction."""
    for older in range(version, VERSION):
        for statement in MIGRATIONS[older]:
            database.execute(statement)
        if older in FILLED:
            FILLED[older](database)
    database.execute(f"PRAGMA user_version = {VERSION}")
