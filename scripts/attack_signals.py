"""Signals at random moments for every command that works on files: whole files, true sentences, no process left.

A case starts a command in a session of its own, sends one or two signals (Ctrl-C to the whole session, as a terminal
does; SIGTERM and SIGKILL to the program alone) and looks at exit status, words, files and processes. Signals are sent
from the moment on when the program answers for itself. Needs /proc.
"""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parent.parent
HOME = ROOT / "nesting" / "scenario"
RACK, SIDE, OFFCUT = (str(HOME / name) for name in ("map-rack.toml", "side-1.json", "offcut-1.json"))
COMMANDS = {
    "yield": ["yield", SIDE, RACK, "--effort", "quick", "--out", "a.json", "--sheet", "a.pdf"],
    "batch": ["batch", str(HOME / "order.toml"), "--hides", str(HOME), "--effort", "quick", "--out", "a.json"],
    "compare": ["compare", RACK, str(HOME / "leathers.toml"), "--effort", "quick", "--out", "a.json", "--out", "a.pdf"],
    "interlock": ["interlock", RACK, "--thickness", "4 mm"],
    "add": ["stock", "add", SIDE, OFFCUT, "--stock", "a.stock"],
    "trace": ["trace", "typical", "--cut", "side", "--area", "22 sq ft", "--out", "a.json"],
    "check": ["check", "LAYOUT", "--out", "a.json"],
    "sheet": ["sheet", "LAYOUT", "--pdf", "a.pdf", "--tiles", "b.pdf", "--patterns", "c.pdf"],
    "page": ["page", "--port", "0", "--no-browser"],
}  # fmt: skip
SPANS = {"add": 1.0, "trace": 1.5, "check": 2.0, "sheet": 4.0, "page": 5.0}
"""Seconds within which the first signal comes, where a command is quick or never ends by itself."""
ONCE = 90.0
AT_ONCE = 20.0
"""Seconds until a command must have ended, after one Ctrl-C and after what ends it at once (on a busy machine)."""


def case(seed: int) -> str | None:
    """One command and its signals; what was wrong."""
    chance = random.Random(seed)
    name = chance.choice(sorted(COMMANDS))
    how = chance.choice(["int", "int int", "term", "kill"])
    with tempfile.TemporaryDirectory(prefix="attack-") as home:
        told = told_of(chance, name, how, Path(home))
    return f"{name}, {how}: {told}" if told else None


def told_of(chance: random.Random, name: str, how: str, home: Path) -> str | None:
    going = subprocess.Popen(
        [sys.executable, "-m", "nesting", *(layout() if word == "LAYOUT" else word for word in COMMANDS[name])],
        cwd=home,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    until_it_answers(going)
    time.sleep(chance.random() ** 2 * SPANS.get(name, 13.0))
    send(going, how.split()[0])
    if how == "int int":
        time.sleep(chance.random() * 2)
        send(going, "int")
    try:
        _, errors = going.communicate(timeout=ONCE if how == "int" else AT_ONCE)
    except subprocess.TimeoutExpired:
        os.killpg(going.pid, signal.SIGKILL)
        going.communicate()
        return "it did not end"
    return (
        wrong_status(name, how, going.returncode)
        or wrong_words(home, errors)
        or wrong_files(home, how)
        or left(going.pid)
    )


@cache
def layout() -> str:
    """A layout file to check and to draw, made once."""
    path = Path(tempfile.mkdtemp(prefix="attack-layout-")) / "layout.json"
    words = [sys.executable, "-m", "nesting", "yield", OFFCUT, str(HOME / "key-fob.toml"), "--effort", "quick"]
    subprocess.run([*words, "--out", str(path)], check=True, capture_output=True, cwd=ROOT)
    return str(path)


def until_it_answers(going: subprocess.Popen[str]) -> None:
    """Wait until the program catches SIGTERM, or has ended."""
    while going.poll() is None:
        lines = Path(f"/proc/{going.pid}/status").read_text().splitlines()
        caught = next((int(line.split()[1], 16) for line in lines if line.startswith("SigCgt")), 0)
        if caught >> (signal.SIGTERM - 1) & 1:
            return
        time.sleep(0.01)


def send(going: subprocess.Popen[str], what: str) -> None:
    if going.poll() is not None:
        return
    if what == "int":
        os.killpg(going.pid, signal.SIGINT)
    else:
        going.send_signal(signal.SIGTERM if what == "term" else signal.SIGKILL)


def wrong_status(name: str, how: str, status: int) -> str | None:
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
                [sys.executable, "-m", "nesting", "stock", "audit", "--stock", str(each)],
                capture_output=True, text=True, check=False, env={**os.environ, "PYTHONPATH": str(ROOT)},
            )  # fmt: skip
            if told.returncode:
                return f"the register: {told.stdout}{told.stderr}"
    return None


def left(session: int) -> str | None:
    """Processes of the session that outlived it, after some patience."""
    found: list[str] = []
    for _ in range(100):
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
