"""Remarks on hides: a note, and whom a hide is kept for. The latest that is in force holds."""

from __future__ import annotations

import sqlite3

from hides.stock import history
from hides.stock.values import Change, Status


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
    said: dict[int, list[tuple[int, str]]] = {}
    for change, hide, text in rows:
        said.setdefault(change, []).append((hide, text))
    latest: dict[int, str] = {}
    for past in history.changes(database):
        if past.in_force:
            latest.update(said.get(past.id, ()))
            latest.update(_passed_on(past, latest))
    return {hide: text for hide, text in latest.items() if text}


def _passed_on(change: Change, latest: dict[int, str]) -> dict[int, str]:
    """What is said of a hide that was described anew is said of what stands in its place."""
    if change.kind != "correct":
        return {}
    old = [step.hide_id for step in change.steps if step.became is Status.GONE]
    new = [step.hide_id for step in change.steps if step.became is not Status.GONE]
    pairs = zip(old, new, strict=False)  # in the middle of the change there is nothing new yet
    return {after: latest[before] for before, after in pairs if before in latest}
