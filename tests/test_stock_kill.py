"""A process killed at any moment leaves the register as before or as after."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest


@pytest.mark.skipif(sys.platform == "win32", reason="forks and kills as Unix does")
def test_a_process_killed_at_random_moments_loses_and_doubles_nothing() -> None:
    """In a process of its own, since a fork of one with threads is not safe. `scripts/kill_test` does 200 rounds."""
    script = Path(__file__).with_name("kill_register.py")
    root = script.parents[1]
    done = subprocess.run(
        [sys.executable, str(script), "--rounds", "25"],
        capture_output=True,
        text=True,
        env={"PYTHONPATH": str(root), "PATH": os.environ["PATH"]},
    )
    assert done.returncode == 0, done.stderr
    assert "nothing lost, nothing doubled" in done.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="forks and kills as Unix does")
@pytest.mark.parametrize(("attack", "cases"), [("kills", "10"), ("books", "2")])
def test_kills_leave_what_was_or_what_was_to_be_and_the_books_balance(attack: str, cases: str) -> None:
    """Two kills each of add, done, undo, commit and saves of the page; sequences of all changes with kills among them.

    `scripts/attack` does 200 of each.
    """
    root = Path(__file__).parents[1]
    done = subprocess.run(
        [sys.executable, "-m", "scripts.attack_all", attack, "--cases", cases],
        capture_output=True,
        text=True,
        cwd=root,
        env={"PYTHONPATH": str(root), "PATH": os.environ["PATH"]},
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert f"{attack}: {cases} cases, 0 faults" in done.stdout
