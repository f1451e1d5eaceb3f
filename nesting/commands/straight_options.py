"""The options that ask for straight cuts: `--straight`, `--cutter`, `--kerf`."""

from __future__ import annotations

import argparse

from hides.errors import InputError
from nesting.batch.order import Order
from nesting.model.straight import StraightRules
from nesting.project.settings_reader import straight_rules_in


def add_straight_arguments(parser: argparse.ArgumentParser) -> None:
    """Whether to plan straight cuts, what the cutter opens to, what a cut takes."""
    group = parser.add_argument_group("straight cuts")
    group.add_argument(
        "--straight", action="store_true", help="lay straight pieces in strips along one struck line, to be cross-cut"
    )
    add_cutter_arguments(group)


def straight_from(options: argparse.Namespace) -> StraightRules | None:
    """What the options ask for, None without `--straight`; InputError names the option that cannot be used."""
    if not options.straight:
        refuse_alone(options, "add --straight, or leave it out")
        return None
    return straight_rules_in(options.cutter, options.kerf)


def refuse_alone(options: argparse.Namespace, remedy: str) -> None:
    """InputError where it is said how straight cuts are made, and none are asked for."""
    for name in ("cutter", "kerf"):
        if getattr(options, name) is not None:
            told = "says how straight cuts are made, and none are asked for"
            raise InputError(told, where=f"--{name}", remedy=remedy)


def add_cutter_arguments(group: argparse._ActionsContainer) -> None:
    """What the cutter opens to, what a cut takes."""
    group.add_argument(
        "--cutter", nargs=2, metavar=("LEAST", "MOST"), help="widths that the strap cutter opens to [any width]"
    )
    group.add_argument("--kerf", metavar="LENGTH", help="what a cut takes away [0]")


def cuts_from(options: argparse.Namespace, order: Order) -> StraightRules:
    """How an order's straight cuts are made: as the options say, else as its file does."""
    if not any(line.straight for line in order.lines):
        refuse_alone(options, "write straight = true in a line of the order, or leave it out")
    said, told = order.cuts, straight_rules_in(options.cutter, options.kerf)
    cutter = said if options.cutter is None else told
    return StraightRules(cutter.least, cutter.most, said.kerf if options.kerf is None else told.kerf)
