"""The options that every solving command has, and what they mean."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import contextmanager

from hides.errors import InputError
from hides.fields import whole_number
from hides.units import length
from nesting.commands.terminal import watching
from nesting.model.settings import EFFORTS, Deadline, Settings, Stop, Watch
from nesting.project.choices import typed


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
    gap = distance("--gap", options.gap)
    edge = None if options.edge is None else distance("--edge", options.edge)
    return Settings(gap, edge, _seed(options.seed), options.effort)


@contextmanager
def watch_from(options: argparse.Namespace) -> Iterator[Watch]:
    """Progress on the terminal, Ctrl-C and --time keep the best so far."""
    rules: list[Stop] = [] if options.time is None else [Deadline(_seconds(options.time))]
    with watching(*rules) as watch:
        yield watch


def distance(option: str, text: str) -> float:
    try:
        value = length(float(text)) if _is_number(text) else length(text)
    except InputError as error:
        raise error.within(where=option) from error
    if value < 0:
        raise InputError(f"“{text}” is less than nought", where=option, remedy='give a distance: "2 mm", "1/8 in", 0')
    return value


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _seed(text: str) -> int:
    number = whole_number(text)
    if number is None or number >= 2**63:
        raise InputError(f"“{text[:40]}” is no seed", where="--seed", remedy="give a whole number, nought or above")
    return number


def _seconds(text: str) -> float:
    value = float(text) if _is_number(text) else -1.0
    if not 0 < value < 1e7:
        raise InputError(f"“{text}” is no time", where="--time", remedy="give seconds above nought: 20")
    return value
