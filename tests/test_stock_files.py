"""The register's file in every bad state: one line that says what is wrong, and nothing lost."""

from __future__ import annotations

import json
import os
import re
import resource
import sqlite3
import subprocess
import sys
import threading
import time
from contextlib import closing
from pathlib import Path

import pytest
from stocks import cut_of, side, stock_of

from hides.errors import InputError
from hides.stock import database as database_module
from hides.stock import open_stock, schema
from hides.stock.audit import faults
from hides.stock.folder import hides_from
from hides.stock.listing import entries
from hides.stock.register import ALL


def refused(path: Path, told: str, create: bool = True) -> None:
    """Opening says so in one line that names the file, and leaves the file alone."""
    before = path.read_bytes() if path.is_file() else None
    with pytest.raises(InputError, match=told) as caught:
        open_stock(path, create=create).close()
    assert str(caught.value).startswith(str(path))
    assert "\n" not in str(caught.value)
    assert before == (path.read_bytes() if path.is_file() else None)


def test_what_is_no_register_is_refused_and_left_alone(tmp_path: Path) -> None:
    (tmp_path / "text").write_text("no database, but some text of more than a hundred bytes " * 40)
    refused(tmp_path / "text", r"is not a register of hides \(it is no SQLite file\)")
    with closing(sqlite3.connect(tmp_path / "other")) as other:
        other.execute("CREATE TABLE recipe (name TEXT)")
    refused(tmp_path / "other", "is not a register of hides")
    refused(tmp_path, "is a folder")
    refused(Path("/dev/null"), "is not a plain file")
    refused(tmp_path / "none" / "a.stock", "cannot be opened")
    refused(tmp_path / "missing", "no such register", create=False)
    (tmp_path / "empty").touch()
    refused(tmp_path / "empty", "is empty", create=False)


def test_an_empty_file_becomes_a_register_where_one_may_be_made(tmp_path: Path) -> None:
    """A process killed while it makes a register may leave an empty file."""
    (tmp_path / "a.stock").touch()
    with stock_of(tmp_path / "a.stock", "S-1") as stock:
        assert len(stock.hides()) == 1


@pytest.mark.parametrize("part", ["half", "no end", "a page of rubbish"])
def test_a_damaged_file_is_told_as_such(tmp_path: Path, part: str) -> None:
    path = tmp_path / "a.stock"
    stock_of(path, *(f"S-{i}" for i in range(30))).close()
    whole = path.read_bytes()
    rubbish = whole[:4096] + bytes(range(256)) * 32 + whole[4096 + 8192 :]
    path.write_bytes({"half": whole[: len(whole) // 2], "no end": whole[:-4096], "a page of rubbish": rubbish}[part])
    refused(path, "is damaged")


def test_a_hide_with_damaged_content_is_named_and_the_others_stay_of_use(tmp_path: Path) -> None:
    path = tmp_path / "a.stock"
    stock_of(path, "S-1", "S-2", "S-3").close()
    with closing(sqlite3.connect(path)) as plain, plain:
        plain.execute("UPDATE hide SET content = replace(content, '800', '900') WHERE name = 'S-2'")
    with open_stock(path) as stock:
        with pytest.raises(InputError, match=r"hide “S-2” \(number 2\): its content in the register is damaged"):
            stock.hides()
        found, damaged = entries(stock, ALL)
        assert [entry.stock_hide.hide.name for entry in found] == ["S-1", "S-3"]
        assert len(damaged) == 1
        stock.take(["S-2"])  # as the message says
        assert [each.hide.name for each in stock.hides()] == ["S-1", "S-3"]
        assert any("damaged" in fault for fault in faults(stock))


def test_adding_its_file_again_mends_a_damaged_hide(tmp_path: Path) -> None:
    path = tmp_path / "a.stock"
    stock_of(path, "S-1", "S-2").close()
    with closing(sqlite3.connect(path)) as plain, plain:
        plain.execute("UPDATE hide SET content = x'ff00' WHERE name = 'S-2'")
    with open_stock(path) as stock:
        done = stock.add([(side("S-2", 1001), "S-2.json")])
        assert [row.name for row in done.mended] == ["S-2"]
        assert stock.hides()[1].hide == side("S-2", 1001)
        assert faults(stock) == []


def test_a_history_that_was_tampered_with_is_found(tmp_path: Path) -> None:
    path = tmp_path / "a.stock"
    with stock_of(path, "S-1", "S-2") as stock:
        stock.commit_cuts([cut_of(stock, "S-1")])
    with closing(sqlite3.connect(path)) as plain, plain:
        plain.execute("DELETE FROM layout")
        plain.execute("UPDATE hide SET status = 'out' WHERE name = 'S-2'")
    with open_stock(path) as stock:
        told = faults(stock)
    assert any("no layout" in fault for fault in told)
    assert any("“S-2” (number 2) is out, but its history says in" in fault for fault in told)


def test_a_newer_register_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.stock"
    stock_of(path, "S-1").close()
    with closing(sqlite3.connect(path)) as plain:
        plain.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    refused(path, f"of version {schema.VERSION + 1}; this hideplan knows version {schema.VERSION}")


@pytest.fixture
def next_version(monkeypatch: pytest.MonkeyPatch) -> int:
    """There is only one version so far. A made-up next one, with one more column, puts the mechanism to the test."""
    older = schema.VERSION
    monkeypatch.setattr(schema, "VERSION", older + 1)
    monkeypatch.setitem(schema.MIGRATIONS, older, ("ALTER TABLE hide ADD COLUMN shelf TEXT NOT NULL DEFAULT ''",))
    return older


def older_register(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patched:
        patched.setattr(schema, "VERSION", schema.VERSION - 1)
        stock_of(path, "S-1", "S-2").close()


def dump(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as plain:
        return list(plain.iterdump())


def test_an_older_register_is_brought_up_to_date_and_a_copy_kept(
    tmp_path: Path, next_version: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, told = tmp_path / "a.stock", []
    older_register(path, monkeypatch)
    before = dump(path)
    with open_stock(path, remark=told.append) as stock:
        assert [each.hide for each in stock.hides()] == [side("S-1", 1000), side("S-2", 1001)]
        stock.take(["S-1"])
        assert faults(stock) == []
    copy = tmp_path / f"a.stock.version-{next_version}"
    assert len(told) == 1
    assert str(copy) in told[0]
    with closing(sqlite3.connect(path)) as now, closing(sqlite3.connect(copy)) as then:
        assert now.execute("PRAGMA user_version").fetchone()[0] == next_version + 1
        assert now.execute("SELECT shelf FROM hide").fetchall() == [("",), ("",)]
        assert then.execute("PRAGMA user_version").fetchone()[0] == next_version
        assert then.execute("SELECT count(*) FROM hide WHERE status = 'in'").fetchone()[0] == 2
    assert dump(copy) == before
    open_stock(path, remark=told.append).close()
    assert len(told) == 1


def test_a_migration_that_fails_leaves_the_older_register(
    tmp_path: Path, next_version: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.stock"
    older_register(path, monkeypatch)
    monkeypatch.setitem(
        schema.MIGRATIONS, next_version, ("ALTER TABLE hide ADD COLUMN shelf TEXT", "ALTER TABLE nothing ADD COLUMN x")
    )
    refused(path, "cannot be used")


def test_an_earlier_copy_is_never_overwritten(
    tmp_path: Path, next_version: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.stock"
    older_register(path, monkeypatch)
    copy = tmp_path / f"a.stock.version-{next_version}"
    copy.write_text("precious")
    before = dump(path)
    open_stock(path).close()
    assert copy.read_text() == "precious"
    assert dump(tmp_path / f"{copy.name}-2") == before
    assert len(list(tmp_path.iterdir())) == 3


def test_a_version_from_before_any_migration_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.stock"
    stock_of(path, "S-1").close()
    with closing(sqlite3.connect(path)) as plain:
        plain.execute("PRAGMA user_version = -3")
    refused(path, "unknown version -3")


def test_a_second_process_waits_for_the_first(tmp_path: Path) -> None:
    path = tmp_path / "a.stock"
    stock_of(path, "S-1").close()
    other = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    release = threading.Timer(0.4, lambda: other.execute("COMMIT"))
    release.start()
    started = time.monotonic()
    with open_stock(path) as stock:
        stock.take(["S-1"])
    assert time.monotonic() - started >= 0.3
    release.join()
    other.close()


def test_a_second_process_that_has_waited_in_vain_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.stock"
    stock_of(path, "S-1").close()
    monkeypatch.setattr(database_module, "WAIT", 0.1)
    with closing(sqlite3.connect(path, isolation_level=None)) as other, open_stock(path) as stock:
        other.execute("BEGIN IMMEDIATE")
        assert len(stock.hides()) == 1
        with pytest.raises(InputError, match="another hideplan is changing this register; wait"):
            stock.take(["S-1"])
        other.execute("COMMIT")
        stock.take(["S-1"])


def test_processes_that_add_at_the_same_time_lose_and_double_nothing(tmp_path: Path) -> None:
    """Six threads with a connection each, as good as processes to SQLite; all add the same four hides and one more."""
    path = tmp_path / "a.stock"
    same = [(side(f"S-{i}", 900 + i), "same.json") for i in range(4)]
    errors: list[Exception] = []

    def add(number: int) -> None:
        try:
            with open_stock(path, create=True) as stock:
                stock.add([*same, (side(f"T-{number}", 1100 + number), "own.json")])
        except Exception as error:
            errors.append(error)

    threads = [threading.Thread(target=add, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert errors == []
    with open_stock(path) as stock:
        assert sorted(row.name for row in stock.rows()) == [f"S-{i}" for i in range(4)] + [f"T-{i}" for i in range(6)]
        assert faults(stock) == []


def test_a_full_disk_is_told_and_nothing_is_changed(tmp_path: Path) -> None:
    """SQLite's own limit on pages stands in for a disk without room: it gives the error that a full disk gives."""
    with stock_of(tmp_path / "a.stock", "S-1") as stock:
        pages = stock._database.execute("PRAGMA page_count").fetchone()[0]
        stock._database.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(InputError, match="the disk is full; nothing was changed"):
            stock.commit_cuts([cut_of(stock, "S-1", "x" * 50_000)])
        assert [row.name for row in stock.rows()] == ["S-1"]
        assert len(stock.history()) == 1


def run_limited(path: Path, *words: str, **options: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "nesting", "stock", *words, "--stock", str(path)]
    return subprocess.run(command, capture_output=True, text=True, **options)  # type: ignore[call-overload, no-any-return]


def test_a_disk_that_refuses_to_write_gives_one_line(tmp_path: Path) -> None:
    """The operating system's limit on the size of files makes every write beyond it fail."""
    path = tmp_path / "a.stock"
    stock_of(path, "S-1").close()
    size, before = path.stat().st_size, path.read_bytes()
    limit = size // 2

    def shrink() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    done = run_limited(path, "take", "S-1", preexec_fn=shrink)
    assert done.returncode == 2
    assert re.fullmatch(r"hideplan: .*a\.stock: the disk .*nothing was changed.*\n", done.stderr), done.stderr
    with open_stock(path) as stock:
        assert [row.name for row in stock.rows()] == ["S-1"]
    assert path.read_bytes() == before


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="needs the rights of a Unix file")
def test_a_register_that_may_only_be_read_can_be_listed_and_says_why_it_cannot_be_changed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.stock"
    stock_of(path, "S-1").close()
    # The superuser may write any file, so SQLite's own read-only mode stands in for the rights of the file.
    real = sqlite3.connect
    monkeypatch.setattr(sqlite3, "connect", lambda name, **options: real(name.replace("mode=rw", "mode=ro"), **options))
    with open_stock(path) as stock:
        assert len(stock.hides()) == 1
        with pytest.raises(InputError, match="may not be written; nothing was changed"):
            stock.take(["S-1"])


def test_what_was_mended_in_a_hide_file_is_told_when_it_is_read_as_stock(tmp_path: Path) -> None:
    ring = [[0, 0], [900, 0], [900, 0], [900, 600], [0, 600]]  # one point given twice
    (tmp_path / "H.json").write_text(
        json.dumps({"format": "hideplan-hide-1", "name": "H", "units": "mm", "outline": ring})
    )
    heard: list[str] = []
    (hide,) = hides_from(tmp_path, heard.append)
    assert len(hide.hide.outline) == 4
    assert len(heard) == 1
    assert "H.json: outline" in heard[0]
