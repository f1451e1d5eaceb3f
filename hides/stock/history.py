"""The history: every change with what it did to each hide, and its reversal.

An undo reverses a change and is a change itself; a redo reverses an undo. A change is *in force* unless a later
change that is in force reverses it.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime

from hides.errors import InputError
from hides.stock import ledger
from hides.stock.database import Database
from hides.stock.values import Change, HideStep, Status

REVERSALS = ("undo", "redo")


def changes(database: Database) -> list[Change]:
    """The whole history, oldest first."""
    steps: dict[int, list[HideStep]] = {}
    for change, hide, name, was, became in database.execute(
        "SELECT s.change, s.hide, h.name, s.was, s.became FROM step s JOIN hide h ON h.id = s.hide ORDER BY 1, 2"
    ):
        steps.setdefault(change, []).append(HideStep(hide, name, Status(was), Status(became)))
    rows = database.execute("SELECT id, at, kind, note, coalesce(reverses, 0) FROM change ORDER BY id").fetchall()
    undone = _undone((row[0], row[4]) for row in reversed(rows))
    return [
        Change(id, at, kind, note, tuple(steps.get(id, ())), reverses, id not in undone)
        for id, at, kind, note, reverses in rows
    ]


def _undone(newest_first: Iterable[tuple[int, int]]) -> set[int]:
    """Numbers of the changes that are no longer in force, from (number, number that it reverses)."""
    undone: set[int] = set()
    for change, reverses in newest_first:
        if reverses and change not in undone:
            undone.add(reverses)
    return undone


def begin(database: Database, kind: str, note: str, reverses: int = 0) -> int:
    """A new entry of the history; its number."""
    at = datetime.now(UTC).isoformat(timespec="seconds")
    row = database.execute(
        "INSERT INTO change (at, kind, note, reverses) VALUES (?, ?, ?, ?)", (at, kind, note, reverses or None)
    )
    return int(row.lastrowid or 0)


def set_status(database: Database, change: int, hide: int, was: Status, became: Status) -> None:
    """One step of a change."""
    database.execute("INSERT INTO step VALUES (?, ?, ?, ?)", (change, hide, was.value, became.value))
    database.execute("UPDATE hide SET status = ? WHERE id = ?", (became.value, hide))


def numbered(history: list[Change], number: int, where: str) -> Change:
    """The change of that number."""
    for change in history:
        if change.id == number:
            return change
    raise InputError(f"there is no change {number}", where=where, remedy="“hideplan stock history” lists the changes")


def to_undo(history: list[Change], where: str) -> Change:
    """The latest change that is in force and no reversal."""
    for change in reversed(history):
        if change.in_force and change.kind not in REVERSALS:
            return change
    raise InputError("there is nothing to undo", where=where)


def to_redo(history: list[Change], where: str) -> Change:
    """The latest undo in force that nothing but reversals has followed."""
    for change in reversed(history):
        if change.kind not in REVERSALS:
            break
        if change.in_force and change.kind == "undo":
            return change
    raise InputError("there is nothing to redo", where=where, remedy="“hideplan stock history” lists the changes")


def reverse(database: Database, change: Change, history: list[Change], where: str) -> int:
    """Play one change backwards; the number of the new change. InputError where a later change stands in the way."""
    if not change.in_force:
        raise InputError(f"change {change.id} is undone already", where=where)
    status = dict(database.execute("SELECT id, status FROM hide"))
    for step in change.steps:
        if status[step.hide_id] != step.became:
            raise _in_the_way(change, step, history, where)
    _names_free(database, change, where)
    number = begin(database, "redo" if change.kind == "undo" else "undo", "", change.id)
    # Leaving the shelf first: a name may pass from one hide to another.
    for step in sorted(change.steps, key=lambda step: step.was in (Status.IN, Status.OUT)):
        set_status(database, number, step.hide_id, step.became, step.was)
    ledger.turn_about(database, change.id, number)
    return number


def _in_the_way(change: Change, step: HideStep, history: list[Change], where: str) -> InputError:
    later = [each.id for each in history if each.in_force and any(s.hide_id == step.hide_id for s in each.steps)]
    return InputError(
        f"change {change.id} cannot be undone by itself: “{step.name}” has changed since",
        where=where,
        remedy=f"undo change {max(later, default=change.id)} first",
    )


def _names_free(database: Database, change: Change, where: str) -> None:
    moved = {step.hide_id for step in change.steps}
    live = database.execute("SELECT id, name FROM hide WHERE status IN ('in', 'out')").fetchall()
    taken = {name: id for id, name in live if id not in moved}
    for step in change.steps:
        if step.was in (Status.IN, Status.OUT) and step.name in taken:
            raise InputError(
                f"change {change.id} cannot be undone: another hide is called “{step.name}” by now",
                where=where,
                remedy=f"it is number {taken[step.name]}",
            )
