"""The register of hides and offcuts: one SQLite file, every change one transaction with a history."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from hides.errors import InputError
from hides.fields import unknown
from hides.hide import Hide
from hides.stock import history, ledger, remarks
from hides.stock.content import Row, digest_of, text_of
from hides.stock.database import Database, changing, connect, told
from hides.stock.ledger import Account, Balance
from hides.stock.money import Value, by_area, price_of, priced, share
from hides.stock.values import Change, Cut, Status, StockHide

ON_HAND = (Status.IN, Status.OUT)
ALL = (Status.IN, Status.OUT, Status.CUT, Status.SOLD, Status.LOST)


@dataclass(frozen=True)
class Added:
    """What an addition did: its change (0 where nothing was new), the hides it added, those already there.

    `mended` are those already there whose damaged content was put right.
    """

    change: int
    added: tuple[Row, ...]
    known: tuple[Row, ...]
    mended: tuple[Row, ...] = ()


def printable(text: str) -> str:
    """A text as one line of UTF-8: a file's name may hold any byte."""
    shown = "".join(sign if sign.isprintable() else f"\\x{ord(sign):02x}" for sign in text)
    return shown.encode(errors="backslashreplace").decode()


def open_stock(path: Path | str, *, create: bool = False, remark: Callable[[str], None] = lambda text: None) -> Stock:
    """Open a register; a context manager. One `Stock` belongs to one thread; opening is cheap.

    `create` makes it where it is missing. `remark` hears of a migration from an older version (a copy is kept).
    InputError where the file is missing, no register, damaged or of a newer version.
    """
    path = Path(path)
    return Stock(path, connect(path, create=create, remark=remark))


class Stock:
    """An open register. Every method that changes it is one transaction: all of it is kept, or none."""

    def __init__(self, path: Path, database: Database) -> None:
        self.path = path
        self._database = database

    def __enter__(self) -> Stock:
        return self

    def __exit__(self, *error: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        self._database.close()

    @property
    def where(self) -> str:
        """The file's name for messages."""
        return str(self.path)

    def hides(self, available_only: bool = True) -> list[StockHide]:
        """Hides on the shelf, in the order they came; else also those taken out and cut.

        InputError names a hide whose content is damaged.
        """
        return [row.read(self.where) for row in self.rows((Status.IN,) if available_only else ALL)]

    def rows(self, statuses: Sequence[Status] = (Status.IN,)) -> list[Row]:
        """Hides of these statuses as stored, in the order they came."""
        marks = ", ".join("?" * len(statuses))
        with told(self.path):
            return self._select(f"status IN ({marks})", *(status.value for status in statuses))

    def find(self, name: str) -> Row:
        """The hide of a name, or of a number in the register; one on hand before one that is cut."""
        with told(self.path):
            return self._find(name)

    def layout(self, hide_id: int) -> str | None:
        """The text of the layout file that a hide has been cut by, or None."""
        cuts = {change.id for change in self.history() if change.in_force}
        with told(self.path):
            found = self._database.execute(
                "SELECT change, content FROM layout WHERE hide = ? ORDER BY change DESC", (hide_id,)
            ).fetchall()
        return next((str(content) for change, content in found if change in cuts), None)

    def history(self) -> list[Change]:
        """All changes, oldest first."""
        with told(self.path):
            return history.changes(self._database)

    def books(self) -> list[Balance]:
        """The ledger, one balance a currency: what was paid, and where that money stands."""
        with told(self.path):
            return ledger.balances(line for _, line in ledger.lines(self._database))

    def posted(self) -> list[tuple[int, ledger.LedgerLine]]:
        """Every line of the ledger with its change, in the order they were posted."""
        with told(self.path):
            return ledger.lines(self._database)

    def add(self, hides: Sequence[tuple[Hide, str]], note: str = "", freight: Value | None = None) -> Added:
        """Put hides, each with its origin (the file's name), on the shelf; the same content is never added twice.

        They come into the books at their price and a share, by the area paid for, of the freight.
        InputError where another hide on hand bears the same name: nothing is added then.
        """
        coming = {digest_of(text_of(hide)): (hide, source) for hide, source in hides}
        with self._changing():
            known = [row for digest in coming for row in self._select("digest = ? AND status <> 'gone'", digest)]
            mended = tuple(row for row in known if not row.sound)
            for row in mended:
                text = text_of(coming[row.digest][0])
                self._database.execute("UPDATE hide SET content = ? WHERE id = ?", (text, row.id))
            there = {row.digest for row in known}
            new = [each for digest, each in coming.items() if digest not in there]
            change = history.begin(self._database, "add", note) if new else 0
            added = tuple(self._put(change, hide, source) for hide, source in new)
            self._bought(change, added, [hide for hide, _ in new], freight)
        return Added(change, added, tuple(known), mended)

    def take(self, names: Sequence[str], note: str = "") -> int:
        """Take hides off the shelf; the number of the change."""
        return self._move("take", names, Status.IN, Status.OUT, note)

    def put_back(self, names: Sequence[str], note: str = "") -> int:
        """Put hides that were taken out back on the shelf; the number of the change."""
        return self._move("back", names, Status.OUT, Status.IN, note)

    def sell(self, names: Sequence[str], note: str = "") -> int:
        """Hides on hand that were sold whole; the number of the change."""
        return self._leave("sell", names, Status.SOLD, Account.SOLD, note)

    def lose(self, names: Sequence[str], note: str = "") -> int:
        """Hides on hand that are spoilt or gone: their value is written off; the number of the change."""
        return self._leave("lose", names, Status.LOST, Account.WRITTEN_OFF, note)

    def correct(self, name: str, hide: Hide, source: str, note: str = "") -> int:
        """Another description of a hide on hand (a flaw found, a thickness measured); the number of the change.

        The old one stays in the history; what it was worth, whom it is kept for and its note pass to the new one.
        Its price is not corrected by it.
        """
        with self._changing():
            old = self._on_hand_row(self._find(name), "correct")
            new_hide = priced(hide, old.value)
            if digest_of(text_of(new_hide)) == old.digest:
                raise InputError(f"says nothing new of “{old.name}”", where=source, remedy="change the hide file first")
            change = history.begin(self._database, "correct", note)
            history.set_status(self._database, change, old.id, old.status, Status.GONE)
            new = self._put(change, new_hide, source, old.parent or None, old.status)
            if old.value:
                ledger.post(self._database, change, ledger.became(old.id, new.id, old.value))
            return change

    def remark(self, names: Sequence[str], kind: str, text: str) -> int:
        """A remark (kind `note` or `reserved`) on hides on hand, taken off by an empty text; the change's number."""
        with self._changing():
            rows = {row.id: self._on_hand_row(row, kind) for row in map(self._find, names)}
            change = history.begin(self._database, "reserve" if kind == "reserved" else kind, text)
            for row in rows.values():
                history.set_status(self._database, change, row.id, row.status, row.status)
                remarks.put(self._database, change, row.id, kind, text)
            return change

    def commit_cuts(self, cuts: Sequence[Cut], note: str = "") -> int:
        """Mark hides cut, keep their layouts, put their offcuts on the shelf: all at once, or nothing.

        Gives the number of the change. InputError where a hide is not on hand (cut already, or not there).
        """
        if not cuts:
            raise InputError("there is nothing to commit", where=self.where)
        with self._changing():
            change = history.begin(self._database, "cut", note)
            for cut in cuts:
                self._cut(change, cut)
            return change

    def undo(self, change_id: int = 0) -> int:
        """Reverse a change (the latest in force that is no undo); the number of the new change."""
        with self._changing():
            past = history.changes(self._database)
            change = history.numbered(past, change_id, self.where) if change_id else history.to_undo(past, self.where)
            return history.reverse(self._database, change, past, self.where)

    def redo(self) -> int:
        """Reverse the latest undo, if nothing has been changed since; the number of the new change."""
        with self._changing():
            past = history.changes(self._database)
            return history.reverse(self._database, history.to_redo(past, self.where), past, self.where)

    def _changing(self) -> AbstractContextManager[None]:
        return changing(self._database, self.path)

    def _select(self, condition: str, *values: Any) -> list[Row]:
        found = self._database.execute(
            "SELECT id, name, digest, content, source, coalesce(parent, 0), status FROM hide"
            f" WHERE {condition} ORDER BY id",
            values,
        )
        worth = ledger.values(self._database)
        kept, noted = remarks.current(self._database, "reserved"), remarks.current(self._database, "note")
        return [
            Row(
                id,
                name,
                digest,
                content,
                source,
                parent,
                Status(status),
                worth.get(id),
                kept.get(id, ""),
                noted.get(id, ""),
            )
            for id, name, digest, content, source, parent, status in found
        ]

    def _find(self, name: str) -> Row:
        name = printable(name)
        named = self._select("name = ? AND status <> 'gone'", name)
        number = name.removeprefix("#")
        if not named and number.isdecimal() and len(number) < 12:
            named = self._select("id = ? AND status <> 'gone'", int(number))
        if not named:
            names = [row[0] for row in self._database.execute("SELECT name FROM hide WHERE status <> 'gone'")]
            raise unknown(f"hide “{name}”", name, names[:20] or ["none"]).within(self.where)
        return next((row for row in named if row.status in ON_HAND), named[-1])

    def _put(self, change: int, hide: Hide, source: str, parent: int | None = None, status: Status = Status.IN) -> Row:
        """A hide onto the shelf, or into another status; one that an undo had removed keeps its number."""
        for other in self._on_hand(hide.name):
            raise InputError(
                f"another hide called “{hide.name}” is on hand already (number {other.id}, from {other.source})",
                where=source,
                field="name",
                remedy="nothing was added; give this one another name",
            )
        text = text_of(hide)
        digest = digest_of(text)
        self._database.execute(
            "INSERT OR IGNORE INTO hide (name, digest, content, source, parent, status) VALUES (?, ?, ?, ?, ?, 'gone')",
            (hide.name, digest, text, printable(source), parent),
        )
        (row,) = self._select("digest = ?", digest)
        if row.parent != (parent or 0) or row.status is not Status.GONE:
            raise InputError(
                f"“{hide.name}” is in the register already as number {row.id}, {_TOLD[row.status]}",
                where=source,
                field="name",
                remedy="nothing was changed; give this one another name",
            )
        history.set_status(self._database, change, row.id, row.status, status)
        return replace(row, status=status)

    def _on_hand(self, name: str) -> list[Row]:
        return self._select("name = ? AND status IN ('in', 'out')", name)

    def _move(self, kind: str, names: Sequence[str], was: Status, becomes: Status, note: str) -> int:
        if not names:
            raise InputError("no hide is named", where=self.where, remedy="name one or more")
        with self._changing():
            rows = {row.id: row for row in map(self._find, names)}
            for row in rows.values():
                if row.status is not was:
                    raise InputError(f"“{row.name}” is {_TOLD[row.status]}", where=self.where, remedy=_REMEDY[kind])
            change = history.begin(self._database, kind, note)
            for row in rows.values():
                history.set_status(self._database, change, row.id, was, becomes)
            return change

    def _bought(self, change: int, rows: Sequence[Row], hides: Sequence[Hide], freight: Value | None) -> None:
        """Into the books at price and freight."""
        if freight and not rows:
            return
        parts = share(freight.cents, [hide.paid_area for hide in hides]) if freight else [0] * len(rows)
        for row, hide, part in zip(rows, hides, parts, strict=True):
            price = price_of(hide)
            if price and freight and price.currency != freight.currency:
                raise InputError(
                    f"the freight is in {freight.currency} and “{hide.name}” is priced in {price.currency}",
                    where=self.where,
                    field="freight",
                    remedy="give the freight in the hides' currency; nothing was added",
                )
            if price or freight:
                currency = price.currency if price else freight.currency if freight else ""
                whole = Value((price.cents if price else 0) + part, currency)
                ledger.post(self._database, change, ledger.bought(row.id, whole))

    def _leave(self, kind: str, names: Sequence[str], becomes: Status, account: Account, note: str) -> int:
        if not names:
            raise InputError("no hide is named", where=self.where, remedy="name one or more")
        with self._changing():
            rows = {row.id: self._on_hand_row(row, kind) for row in map(self._find, names)}
            change = history.begin(self._database, kind, note)
            for row in rows.values():
                history.set_status(self._database, change, row.id, row.status, becomes)
                if row.value:
                    ledger.post(self._database, change, ledger.moved(row.id, row.value, account))
            return change

    def _on_hand_row(self, row: Row, kind: str) -> Row:
        if row.status not in ON_HAND:
            raise InputError(f"“{row.name}” is {_TOLD[row.status]}", where=self.where, remedy=_REMEDY[kind])
        return row

    def _cut(self, change: int, cut: Cut) -> None:
        row = next(iter(self._select("id = ?", cut.hide_id)), None)
        if row is None or row.status not in ON_HAND:
            problem = f"“{row.name}” is {_TOLD[row.status]}" if row else f"there is no hide number {cut.hide_id}"
            raise InputError(problem, where=self.where, remedy="“hideplan stock history” tells of earlier cuts")
        history.set_status(self._database, change, row.id, row.status, Status.CUT)
        self._database.execute("INSERT INTO layout VALUES (?, ?, ?)", (change, row.id, cut.layout))
        values = self._values(row, cut)
        kept: dict[int, int] = {}
        for offcut, cents in zip(cut.offcuts, values, strict=True):
            worth = Value(cents, row.value.currency) if row.value else None
            named = self._named_freely(priced(offcut, worth), row.id)
            kept[self._put(change, named, f"offcut of {row.name}", row.id).id] = cents
        if row.value:
            worth = Value(row.value.cents + cut.work, row.value.currency)
            worked = ledger.bought(row.id, Value(cut.work, row.value.currency))
            ledger.post(self._database, change, [*worked, *ledger.cut(row.id, worth, kept)])

    def _values(self, row: Row, cut: Cut) -> Sequence[int]:
        """The cents that each offcut keeps; by area where the cut does not say."""
        worth = row.value.cents + cut.work if row.value else 0
        if cut.values is None:
            return by_area(row.read(self.where).hide, cut.offcuts, worth)
        if sum(cut.values) > worth or min(cut.values, default=0) < 0:
            raise InputError(f"the offcuts of “{row.name}” would be worth more than it is", where=self.where)
        return cut.values

    def _named_freely(self, offcut: Hide, parent: int) -> Hide:
        """The offcut under a name that no hide on hand bears, and with a content that no other hide's row has."""
        number, named = 1, offcut
        while self._on_hand(named.name) or self._is_anothers(named, parent):
            number += 1
            named = replace(offcut, name=f"{offcut.name} ({number})")
        return named

    def _is_anothers(self, offcut: Hide, parent: int) -> bool:
        """Whether the content stands in a row already that is not this parent's offcut, taken back by an undo."""
        rows = self._select("digest = ?", digest_of(text_of(offcut)))
        return any(row.parent != parent or row.status is not Status.GONE for row in rows)


_TOLD = {
    Status.IN: "on the shelf",
    Status.OUT: "taken out",
    Status.CUT: "cut already",
    Status.SOLD: "sold",
    Status.LOST: "written off",
    Status.GONE: "not in the register",
}
_REMEDY = {
    "take": "only what is on the shelf can be taken out",
    "back": "only what is taken out can go back",
    "sell": "only what is on hand can be sold",
    "lose": "only what is on hand can be written off",
    "correct": "only what is on hand can be described anew",
    "note": "only what is on hand can bear a note",
    "reserved": "only what is on hand can be kept for somebody",
}
