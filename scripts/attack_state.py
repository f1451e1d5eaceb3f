"""How far the attacks got: kept in a file, so that they are gone on with in another run, or by another commit."""

from __future__ import annotations

import json
import subprocess
import time
from dataclasses import asdict, dataclass, field
from pathlib import Path

from hides.whole_file import write_whole

ROOT = Path(__file__).parent.parent

OFTEN = 5.0
"""Seconds between two writings of the file."""


@dataclass
class Progress:
    """Of one kind: the seed to go on with, the cases tried by commit, and what was false, with its seed and commit."""

    next: int
    cases: dict[str, int] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    @property
    def done(self) -> int:
        """The cases tried so far."""
        return sum(self.cases.values())


class State:
    """The progress of every kind, in a file if there is one to keep it; written whole."""

    def __init__(self, path: Path | None, first: int) -> None:
        self.path, self.first, self.commit = path, first, commit() if path else ""
        told = json.loads(path.read_text()) if path and path.exists() else {}
        self._kept = 0.0
        self.kinds = {name: Progress(**progress) for name, progress in told.items()}

    def of(self, name: str) -> Progress:
        """The progress of a kind, which may just begin."""
        return self.kinds.setdefault(name, Progress(self.first))

    def add(self, name: str, seed: int, told: str | None) -> None:
        """Note a case that was tried, and what was false."""
        progress = self.of(name)
        progress.next = seed + 1
        progress.cases[self.commit] = progress.cases.get(self.commit, 0) + 1
        if told is not None:
            progress.faults.append(f"seed {seed}, {self.commit}: {told}")
        if told is not None or time.monotonic() - self._kept > OFTEN:
            self.keep()

    def keep(self) -> None:
        """Write the file."""
        self._kept = time.monotonic()
        if self.path:
            write_whole(self.path, json.dumps({n: asdict(p) for n, p in sorted(self.kinds.items())}, indent=1))


def commit() -> str:
    """The short name of the checkout's commit, with a + where files differ from it; where there is none, `unknown`."""
    told = subprocess.run(
        ["git", "describe", "--always", "--dirty=+", "--exclude=*"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    return told.stdout.strip() or "unknown"
