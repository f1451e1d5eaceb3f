"""The tables of the register, and the way from an older version of them to this one.

A hide's content never changes; its status does. `step` says what each change did to each hide, so that the
statuses are the history played from the start, and undo is a change that plays one entry backwards.
"""

from __future__ import annotations

import sqlite3

APPLICATION_ID = 0x48_49_44_45
"""Marks an SQLite file as a register of hides ("HIDE")."""

VERSION = 1
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
        status TEXT NOT NULL CHECK (status IN ('in', 'out', 'cut', 'gone'))
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
)

MIGRATIONS: dict[int, tuple[str, ...]] = {}
"""For each older version the statements that bring its tables to the next one."""


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
    database.execute(f"PRAGMA user_version = {VERSION}")
