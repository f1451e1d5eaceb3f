"""Signals at random moments for every command that works on files: whole files, true sentences, no process left.

A case starts a command in a session of its own, sends one or two signals (Ctrl-C to the whole session, as a terminal
does; SIGTERM and SIGKILL to the program alone) and looks at exit status, words, files and processes. Needs /proc.
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
from pathlib import Path

ROOT = Path(__file__).parent.parent
HOME = ROOT / "nesting" / "scenario"
RACK, SIDE, OFFCUT = (str(HOME / name) for name in ("map-rack.toml", "side-1.json", "offcut-1.json"))
COMMANDS = {
    "yield": ["yield", SIDE, RACK, "--effort", "quick", "--out", "a.json", "--sheet", "a.pdf"],
    "batch": ["batch", str(HOME / "order.toml"), "--hides", str(HOME), "--effort", "quick", "--out", "a.json"],
    "compare": ["compare", RACK, str(HOME / "leathers.toml"), "--effort", "quick", "--out", "a.json", "--out", "a.pdf"],
    "interlock": ["interlock", RACK],
    "add": ["stock", "add", SIDE, OFFCUT, "--stock", "a.stock"],
}  # fmt: skip
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
        [sys.executable, "-m", "nesting", *COMMANDS[name]],
        cwd=home,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    time.sleep(1.0 + chance.random() ** 2 * 12.0)
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
    return wrong_status(how, going.returncode) or wrong_words(home, errors) or wrong_files(home, how) or left(going.pid)


def send(going: subprocess.Popen[str], what: str) -> None:
    if going.poll() is not None:
        return
    if what == "int":
        os.killpg(going.pid, signal.SIGINT)
    else:
        going.send_signal(signal.SIGTERM if what == "term" else signal.SIGKILL)


def wrong_status(how: str, status: int) -> str | None:
    """One that the program could not give; -15 is a SIGTERM that came before the program had answered for itself."""
    allowed = {"int": {0, 1, 130}, "int int": {0, 1, 130}, "term": {0, 1, 143, -15}, "kill": {0, 1, -9}}[how]
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
