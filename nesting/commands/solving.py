"""The options that every solving command has, and what they mean."""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from contextlib import contextmanager

from hides.errors import InputError
from nesting.commands.terminal import watching
from nesting.model.settings import EFFORTS, Deadline, Settings, Stop, Watch
from nesting.project.choices import typed
from nesting.project.settings_reader import seconds_in, settings_in


def add_solving_arguments(parser: argparse.ArgumentParser) -> None:
    """--seed, --effort, --time, --gap, --edge."""
    group = parser.add_argument_group("how it searches")
    group.add_argument("--effort", choices=EFFORTS, default="normal", help="how much to search [normal]")
    group.add_argument("--seed", default="1", metavar="N", help="another seed, another search [1]")
    group.add_argument("--time", metavar="SECONDS", help="stop after so long with the best so far")
    group.add_argument("--gap", default="0", metavar="LENGTH", help="distance kept between pieces [0]")
    group.add_argument("--edge", metavar="LENGTH", help="strip kept clear along the hide's edge [the hide file's]")


def add_choose_argument(parser: argparse.ArgumentParser) -> None:
    """--choose, which may be given again."""
    parser.add_argument(
        "--choose",
        action="append",
        default=[],
        metavar="NAME=VALUE",
        help="choose otherwise than usual what the project's [choices] name; may be given again",
    )


def add_leather_argument(parser: argparse.ArgumentParser, meaning: str) -> None:
    """--leather, which may be given again."""
    parser.add_argument("--leather", action="append", default=[], metavar="NAME", help=f"{meaning}; may be given again")


def chosen_from(options: argparse.Namespace) -> dict[str, object]:
    """What is chosen on the command line; InputError names what cannot be read."""
    found: dict[str, object] = {}
    for text in options.choose:
        name, sign, value = text.partition("=")
        if not sign or not name.strip() or not value.strip():
            raise InputError(f"“{text}” chooses nothing", where="--choose", remedy="write NAME=VALUE: places=6")
        if name.strip() in found:
            raise InputError(f"“{name.strip()}” is chosen twice", where="--choose", remedy="choose it once")
        found[name.strip()] = typed(value)
    return found


def settings_from(options: argparse.Namespace) -> Settings:
    """The settings the options ask for; InputError names the option that cannot be used."""
    return settings_in(options.gap, options.edge, options.seed, options.effort)


FINISHING = 0.5
"""Seconds of --time that are kept to make tidy and check what is being laid when the search ends."""
DRAWING = 1.5
"""Seconds of --time that are kept for a sheet to be drawn after it."""
SEARCHING = 0.5
"""Seconds of --time that are the search's in any case, if there are so many."""


def deadline_from(options: argparse.Namespace, draws: bool = False) -> Deadline | None:
    """When the search ends for --time, which counts from when the program was loaded and holds what follows as well.

    Half of the time is the search's in any case.
    """
    if options.time is None:
        return None
    seconds, now = seconds_in(options.time), time.monotonic()
    loaded = _loaded.pop() if _loaded else now
    left = seconds - (now - loaded) - FINISHING - DRAWING * draws
    return Deadline(max(left, seconds / 2, min(seconds, SEARCHING)), now)


_loaded = [time.monotonic()]
"""When this module was loaded; the first command of the process takes it, others begin when they are given."""


@contextmanager
def watch_from(options: argparse.Namespace, deadline: Deadline | None = None) -> Iterator[Watch]:
    """Progress on the terminal, Ctrl-C and --time (or the deadline made of it) keep the best so far."""
    deadline = deadline or deadline_from(options)
    rules: list[Stop] = [] if deadline is None else [deadline]
    with watching(*rules) as watch:
        yield watch
