"""The register's file: opened, checked, made or brought up to date; one transaction at a time.

SQLite's rollback journal with `synchronous = EXTRA` is used, not the write-ahead log: at rest the register is one
file that can be copied. A process killed at any moment leaves the file as before or as after the transaction.
"""

from __future__ import annotations

import os
import sqlite3
import stat
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from hides.errors import InputError
from hides.stock import schema

WAIT = 10.0
"""Seconds that a process waits for another one that is changing the same register."""

Database = sqlite3.Connection

_under_way: list[Path] = []
_changed: list[Path] = []


def connect(path: Path, *, create: bool, remark: Callable[[str], None]) -> Database:
    """Open the register at `path`, checked and at this program's version. Close it after use.

    With `create` a missing or empty file becomes an empty register. `remark` hears of a migration.
    InputError where the file is missing, no register, damaged, or of a newer version.
    """
    _look_at(path, create)
    with told(path):
        database = sqlite3.connect(
            f"{path.absolute().as_uri()}?mode={'rwc' if create else 'rw'}",
            uri=True,
            timeout=WAIT,
            isolation_level=None,
        )
    try:
        with told(path):
            _ready(database, path, create, remark)
    except BaseException:
        database.close()
        raise
    return database


@contextmanager
def changing(database: Database, path: Path) -> Iterator[None]:
    """One transaction that changes the register: all of it is kept, or none."""
    with told(path):
        _under_way.append(path)
        try:
            database.execute("BEGIN IMMEDIATE")
            ended = False
            try:
                yield
                ended = True
                database.execute("COMMIT")
            finally:
                if database.in_transaction:
                    database.execute("ROLLBACK")
                elif ended:
                    _changed.append(path)
        finally:
            _under_way.remove(path)


def is_changing() -> bool:
    """Whether this process is in the middle of changing a register."""
    return bool(_under_way)


def changed() -> list[Path]:
    """The registers that this process has changed."""
    return list(_changed)


@contextmanager
def told(path: Path) -> Iterator[None]:
    """SQLite's errors as one line for a person."""
    try:
        yield
    except sqlite3.Error as error:
        raise _in_words(error, path) from error
    except UnicodeDecodeError as error:  # SQLite's own message tells of a table whose name is damaged
        raise _damaged(path, "a text in it is no UTF-8") from error


def _look_at(path: Path, create: bool) -> None:
    """Refuse what cannot be a register before SQLite makes a file of it."""
    try:
        found = path.stat()
    except FileNotFoundError:
        if create:
            return
        raise _no_file(path, "there is no such register") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"cannot be opened ({reason})", where=str(path), remedy="name the register's file") from error
    if stat.S_ISDIR(found.st_mode):
        raise InputError("is a folder, not a register", where=str(path), remedy="name the register's file")
    if not stat.S_ISREG(found.st_mode):
        raise InputError("is not a plain file", where=str(path), remedy="name the register's file")
    if not found.st_size and not create:
        raise _no_file(path, "is empty, no register yet")


def _no_file(path: Path, problem: str) -> InputError:
    return InputError(problem, where=str(path), remedy="“hideplan stock add” makes it")


def _ready(database: Database, path: Path, create: bool, remark: Callable[[str], None]) -> None:
    database.execute("PRAGMA synchronous = EXTRA")
    database.execute("PRAGMA foreign_keys = ON")
    if create and _is_empty(database):
        with changing(database, path):
            if _is_empty(database):  # another process may have been quicker
                schema.make(database)
    if _pragma(database, "application_id") != schema.APPLICATION_ID:
        raise InputError("is not a register of hides", where=str(path), remedy="name a file made by “hideplan stock”")
    faults = database.execute("PRAGMA quick_check(1)").fetchone()[0]
    if faults != "ok":
        raise _damaged(path, str(faults))
    _to_this_version(database, path, remark)


def _is_empty(database: Database) -> bool:
    tables = database.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    return not tables and not _pragma(database, "application_id") and not _pragma(database, "user_version")


def _pragma(database: Database, name: str) -> int:
    return int(database.execute(f"PRAGMA {name}").fetchone()[0])


def _to_this_version(database: Database, path: Path, remark: Callable[[str], None]) -> None:
    version = _pragma(database, "user_version")
    if version == schema.VERSION:
        return
    _refuse_unknown(version, path)
    with changing(database, path):
        version = _pragma(database, "user_version")  # another process may have been quicker
        if version == schema.VERSION:
            return
        backup = _free(path, f"{path.name}.version-{version}")
        _copy(path, backup)
        schema.migrate(database, version)
    remark(f"{path}: brought from version {version} to {schema.VERSION}; as it was it is kept in {backup}")


def _refuse_unknown(version: int, path: Path) -> None:
    if version > schema.VERSION:
        raise InputError(
            f"is a register of version {version}; this hideplan knows version {schema.VERSION}",
            where=str(path),
            remedy="use the newer hideplan that wrote it",
        )
    if any(older not in schema.MIGRATIONS for older in range(version, schema.VERSION)):
        raise InputError(f"has the unknown version {version}", where=str(path), remedy="restore a copy of the register")


def _free(path: Path, name: str) -> Path:
    """A file of that name beside the register; with a number after it where one is there, which is left alone."""
    number, free = 1, path.with_name(name)
    while free.exists():
        number += 1
        free = path.with_name(f"{name}-{number}")
    return free


def _copy(path: Path, backup: Path) -> None:
    """A copy beside the register, whole or not at all."""
    handle, part = tempfile.mkstemp(dir=path.parent, prefix=f".{backup.name}.", suffix=".part")
    os.close(handle)
    try:
        source = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
        with closing(source), closing(sqlite3.connect(part)) as target:
            source.backup(target)
        os.chmod(part, path.stat().st_mode & 0o777)
        os.replace(part, backup)
    finally:
        Path(part).unlink(missing_ok=True)


def _damaged(path: Path, detail: str) -> InputError:
    return InputError(f"is damaged ({detail})", where=str(path), remedy="restore a copy of the register")


def _in_words(error: sqlite3.Error, path: Path) -> InputError:
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        detail = "it is no SQLite file" if code == sqlite3.SQLITE_NOTADB else str(error)
        return _damaged(path, detail) if code == sqlite3.SQLITE_CORRUPT else _no_register(path, detail)
    problem, remedy = _PROBLEMS.get(code, (f"cannot be used ({error})", "restore a copy of the register"))
    return InputError(problem, where=str(path), remedy=remedy)


def _no_register(path: Path, detail: str) -> InputError:
    return InputError(
        f"is not a register of hides ({detail})", where=str(path), remedy="name a file made by “hideplan stock”"
    )


_PROBLEMS = {
    sqlite3.SQLITE_BUSY: ("another hideplan is changing this register", "wait until it is done and try again"),
    sqlite3.SQLITE_LOCKED: ("another hideplan is changing this register", "wait until it is done and try again"),
    sqlite3.SQLITE_READONLY: ("may not be written; nothing was changed", "give yourself the right to write it"),
    sqlite3.SQLITE_PERM: ("may not be read", "give yourself the right to read it"),
    sqlite3.SQLITE_FULL: ("the disk is full; nothing was changed", "make room and try again"),
    sqlite3.SQLITE_IOERR: ("the disk refuses to read or write; nothing was changed", "look for room and a sound disk"),
    sqlite3.SQLITE_CANTOPEN: (
        "cannot be opened",
        "name a file in a folder that exists and that you may read and write",
    ),
}
