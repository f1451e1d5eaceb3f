"""Signals at random moments for every command that works on files: whole files, true sentences, no process left.

A case starts a command in a session of its own, sends one or two signals (Ctrl-C to the whole session, as a terminal
does; SIGTERM and SIGKILL to the program alone) and looks at exit status, words, files and processes. Signals are sent
from the moment on when the program answers for itself, within the time that it takes undisturbed. Nine in ten are forks
of this process, which has loaded everything; every tenth is started as a user starts it. A program must end within its
time on an idle machine: what its processes wait for a processor is not held against it. Needs /proc.
"""

from __future__ import annotations

import contextlib
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from functools import cache
from pathlib import Path
from typing import IO

from nesting.commands import main
from scripts.attack_fork import load_as, loaded, start

ROOT = Path(__file__).parent.parent
HOME = ROOT / "nesting" / "scenario"
FILES = "map-rack.toml", "key-fob.toml", "side-1.json", "offcut-1.json"
RACK, FOB, SIDE, OFFCUT = (str(HOME / name) for name in FILES)
COMMANDS = {
    "yield": ["yield", OFFCUT, RACK, "--effort", "quick", "--out", "a.json", "--sheet", "a.pdf"],
    "batch": ["batch", "ORDER", "--hides", "HIDES", "--effort", "quick", "--workers", "2", "--out", "a.json"],
    "alone": ["batch", "ORDER", "--hides", "HIDES", "--effort", "quick", "--workers", "1", "--out", "a.json"],
    "compare": ["compare", FOB, str(HOME / "leathers.toml"), "--effort", "quick", "--out", "a.json", "--out", "a.pdf"],
    "interlock": ["interlock", RACK, "--thickness", "4 mm"],
    "add": ["stock", "add", SIDE, OFFCUT, "--stock", "a.stock"],
    "trace": ["trace", "typical", "--cut", "side", "--area", "22 sq ft", "--out", "a.json"],
    "check": ["check", "LAYOUT", "--out", "a.json"],
    "sheet": ["sheet", "LAYOUT", "--pdf", "a.pdf", "--tiles", "b.pdf", "--patterns", "c.pdf"],
    "page": ["page", "--port", "0", "--no-browser"],
}  # fmt: skip
LONGEST = 5.0
"""Seconds within which the first signal comes, where a command is started as a user does or never ends by itself."""
ONCE = 90.0
AT_ONCE = 20.0
"""Seconds until a command must have ended, after one Ctrl-C and after what ends it at once."""
LEAVING = 10.0
"""Seconds for what a program has started to end after it."""
PATIENCE = 20
"""So many times as long on a machine so busy that it waits for a processor all the while."""


class Forked:
    """A fork of this process that is the program, with what can be asked of a `Popen`."""

    def __init__(self, words: list[str], home: Path, errors: IO[bytes]) -> None:
        self.returncode: int | None = None
        self.pid = start(words, home, errors.fileno(), errors.fileno())

    def poll(self) -> int | None:
        if self.returncode is None:
            number, status = os.waitpid(self.pid, os.WNOHANG)
            self.returncode = os.waitstatus_to_exitcode(status) if number else None
        return self.returncode

    def send_signal(self, number: int) -> None:
        os.kill(self.pid, number)


Going = Forked | subprocess.Popen[bytes]


def case(seed: int) -> str | None:
    """One command and its signals; what was wrong."""
    chance = random.Random(seed)
    name = chance.choice(sorted(COMMANDS))
    how = chance.choice(["int", "int int", "term", "kill"])
    with tempfile.TemporaryDirectory(prefix="attack-") as home:
        told = told_of(chance, name, how, Path(home), forked=bool(seed % 10))
    return f"{name}, {how}: {told}" if told else None


def told_of(chance: random.Random, name: str, how: str, home: Path, *, forked: bool = False) -> str | None:
    span = seconds(name) if forked else LONGEST
    with tempfile.TemporaryFile() as errors:
        going = begun(name, home, errors, forked=forked)
        until_it_answers(going)
        time.sleep(chance.random() * span)
        send(going, how.split()[0])
        if how == "int int":
            time.sleep(chance.random() * min(2.0, span))
            send(going, "int")
        ended = until_ended(going, ONCE if how == "int" else AT_ONCE)
        errors.seek(0)
        words = errors.read().decode(errors="replace")
    if not ended:
        return "it did not end"
    return (
        wrong_status(name, how, going.returncode)
        or wrong_words(home, words)
        or wrong_files(home, how)
        or left(going.pid)
    )


def begun(name: str, home: Path, errors: IO[bytes], *, forked: bool) -> Going:
    words = [MADE[word]() if word in MADE else word for word in COMMANDS[name]]
    if forked:
        loaded()
        return Forked(words, home, errors)
    return subprocess.Popen(
        [sys.executable, "-m", "nesting", *words], cwd=home, env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=errors, stderr=errors, start_new_session=True,
    )  # fmt: skip


def until_ended(going: Going, patience: float) -> bool:
    """Whether it ends within its time; if not, it and all of its session are ended."""
    began, waits = time.monotonic(), Waits(going.pid)
    while going.poll() is None:
        past = time.monotonic() - began
        if past > PATIENCE * patience or (past > patience and past - waits.seconds() > patience):
            os.killpg(going.pid, signal.SIGKILL)
            while going.poll() is None:
                time.sleep(0.01)
            return False
        time.sleep(0.01)
    return True


class Waits:
    """How long the processes of a session have waited for a processor since they were first asked."""

    def __init__(self, session: int) -> None:
        self.session = session
        self._first: dict[str, int] = {}
        self._last: dict[str, int] = {}
        self.seconds()

    def seconds(self) -> float:
        """Their waits together, those of threads that have ended as they were when last asked."""
        for process in Path("/proc").glob("[0-9]*"):
            if session_of(process) == self.session:
                self._look(process)
        return sum(last - self._first[name] for name, last in self._last.items()) / 1e9

    def _look(self, process: Path) -> None:
        for thread in (process / "task").glob("[0-9]*"):
            with contextlib.suppress(OSError, IndexError):
                self._last[str(thread)] = waited = int((thread / "schedstat").read_text().split()[1])
                self._first.setdefault(str(thread), waited)


@cache
def seconds(name: str) -> float:
    """How long a fork of a command takes undisturbed; what it loads meanwhile is loaded here too."""
    if name == "page":
        return LONGEST
    words = [MADE[word]() if word in MADE else word for word in COMMANDS[name]]
    loaded()
    with tempfile.TemporaryDirectory(prefix="attack-") as home:
        load_as(lambda: run(Path(home), words))
    with tempfile.TemporaryDirectory(prefix="attack-") as home, tempfile.TemporaryFile() as errors:
        started = time.monotonic()
        going = Forked(words, Path(home), errors)
        assert until_ended(going, 300.0), f"{name} does not end by itself"
        errors.seek(0)
        assert going.returncode == 0, f"{name}: {errors.read().decode()}"
        return min(time.monotonic() - started, 3 * LONGEST)


def run(home: Path, words: list[str]) -> None:
    """A command in a folder, in a fork; its words go nowhere."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    os.chdir(home)
    main(words)


@cache
def order() -> str:
    """An order of so many fobs that searches take a while, made once."""
    path = Path(tempfile.mkdtemp(prefix="attack-order-")) / "order.toml"
    path.write_text(f'format = "hideplan-order-1"\nname = "O"\n[[line]]\nproject = "{FOB}"\nquantity = 30\n')
    return str(path)


@cache
def layout() -> str:
    """A layout file to check and to draw, made once."""
    path = Path(tempfile.mkdtemp(prefix="attack-layout-")) / "layout.json"
    words = [sys.executable, "-m", "nesting", "yield", OFFCUT, str(HOME / "key-fob.toml"), "--effort", "quick"]
    subprocess.run([*words, "--out", str(path)], check=True, capture_output=True, cwd=ROOT)
    return str(path)


@cache
def hides() -> str:
    """A folder with one hide, made once."""
    folder = tempfile.mkdtemp(prefix="attack-hides-")
    shutil.copy(OFFCUT, folder)
    return folder


MADE = {"LAYOUT": layout, "ORDER": order, "HIDES": hides}


def until_it_answers(going: Going) -> None:
    """Wait until the program catches SIGTERM, or has ended."""
    while going.poll() is None:
        lines = Path(f"/proc/{going.pid}/status").read_text().splitlines()
        caught = next((int(line.split()[1], 16) for line in lines if line.startswith("SigCgt")), 0)
        if caught >> (signal.SIGTERM - 1) & 1:
            return
        time.sleep(0.01)


def send(going: Going, what: str) -> None:
    if going.poll() is not None:
        return
    if what == "int":
        os.killpg(going.pid, signal.SIGINT)
    else:
        going.send_signal(signal.SIGTERM if what == "term" else signal.SIGKILL)


def wrong_status(name: str, how: str, status: int | None) -> str | None:
    """One that the program could not give; the page ends well by what ends it, for it has nothing else to do."""
    allowed = {"int": {0, 1, 130}, "int int": {0, 1, 130}, "term": {0, 1, 143}, "kill": {0, 1, -9}}[how]
    if name == "page":
        allowed = {"int": {0}, "int int": {0, 130}, "term": {-15}, "kill": {-9}}[how]
    return None if status in allowed else f"exit status {status}"


def wrong_words(home: Path, errors: str) -> str | None:
    if "Traceback" in errors or "Error" in errors:
        return f"a traceback: {errors[-300:]!r}"
    files = sorted(each.name for each in home.iterdir() if each.suffix != ".stock")
    if "nothing was written" in errors and files:
        return f"“nothing was written”, and there is {files}"
    return None


def wrong_files(home: Path, how: str) -> str | None:
    for each in home.iterdir():
        if each.name.endswith(".part") and how != "kill":
            return f"left {each.name}"
        if each.suffix == ".json":
            json.loads(each.read_bytes())
        if each.suffix == ".pdf" and not each.read_bytes().rstrip().endswith(b"%%EOF"):
            return f"{each.name} is not whole"
        if each.suffix == ".stock" and each.stat().st_size:
            told = subprocess.run(
                [sys.executable, "-m", "nesting", "stock", "check", "--stock", str(each)],
                capture_output=True, text=True, check=False, env={**os.environ, "PYTHONPATH": str(ROOT)},
            )  # fmt: skip
            if told.returncode:
                return f"the register: {told.stdout}{told.stderr}"
    return None


def left(session: int) -> str | None:
    """Processes of the session that outlived it, after some patience."""
    found: list[str] = []
    began, waits = time.monotonic(), Waits(session)
    while time.monotonic() - began - waits.seconds() < LEAVING:
        found = [each.name for each in Path("/proc").glob("[0-9]*") if session_of(each) == session]
        if not found:
            return None
        time.sleep(0.1)
    return f"processes were left: {found}"


def session_of(process: Path) -> int:
    try:
        return int((process / "stat").read_text().rsplit(")", 1)[1].split()[3])
    except (OSError, IndexError):
        return 0
