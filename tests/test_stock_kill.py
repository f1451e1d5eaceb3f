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
def test_a_killed_command_or_save_of_the_page_leaves_what_was_or_what_was_to_be() -> None:
    """Two kills each of add, done, undo, commit and saves of the page; `scripts/attack kills` does 200."""
    root = Path(__file__).parents[1]
    done = subprocess.run(
        [sys.executable, "-m", "scripts.attack_all", "kills", "--cases", "10"],
        capture_output=True,
        text=True,
        cwd=root,
        env={"PYTHONPATH": str(root), "PATH": os.environ["PATH"]},
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "kills: 10 cases, 0 faults" in done.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="forks and kills as Unix does")
def test_the_books_balance_through_random_sequences_of_all_changes_with_kills() -> None:
    """Four sequences; `scripts/attack books` does 200."""
    root = Path(__file__).parents[1]
    done = subprocess.run(
        [sys.executable, "-m", "scripts.attack_all", "books", "--cases", "4"],
        capture_output=True,
        text=True,
        cwd=root,
        env={"PYTHONPATH": str(root), "PATH": os.environ["PATH"]},
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "books: 4 cases, 0 faults" in done.stdout
