"""Remarks on hides: a note, and whom a hide is kept for. The latest that is in force holds."""

from __future__ import annotations

import sqlite3

from hides.stock import history


def put(database: sqlite3.Connection, change: int, hide: int, kind: str, text: str) -> None:
    """One remark as part of a change; an empty text takes the remark off."""
    database.execute("INSERT INTO remark VALUES (?, ?, ?, ?)", (change, hide, kind, text))


def current(database: sqlite3.Connection, kind: str) -> dict[int, str]:
    """The remark of a kind that holds for each hide that has one."""
    rows = database.execute(
        "SELECT change, hide, content FROM remark WHERE kind = ? ORDER BY change", (kind,)
    ).fetchall()
    if not rows:
        return {}
    holds = {change.id for change in history.changes(database) if change.in_force}
    latest = {hide: text for change, hide, text in rows if change in holds}
    return {hide: text for hide, text in latest.items() if text}
