"""The options that ask for straight cuts: `--straight`, `--cutter`, `--kerf`."""

from __future__ import annotations

import argparse

from hides.errors import InputError
from nesting.model.straight import StraightRules
from nesting.project.settings_reader import distance


def add_straight_arguments(parser: argparse.ArgumentParser) -> None:
    """Whether to plan straight cuts, what the cutter opens to, what a cut takes."""
    group = parser.add_argument_group("straight cuts")
    group.add_argument(
        "--straight", action="store_true", help="lay straight pieces in strips along one struck line, to be cross-cut"
    )
    group.add_argument(
        "--cutter", nargs=2, metavar=("LEAST", "MOST"), help="widths that the strap cutter opens to [any width]"
    )
    group.add_argument("--kerf", metavar="LENGTH", help="what a cut takes away [0]")


def straight_from(options: argparse.Namespace) -> StraightRules | None:
    """What the options ask for, None without `--straight`; InputError names the option that cannot be used."""
    if not options.straight:
        given = [name for name in ("cutter", "kerf") if getattr(options, name) is not None]
        if given:
            raise InputError(
                "says how straight cuts are made, and none are asked for",
                where=f"--{given[0]}",
                remedy="add --straight, or leave it out",
            )
        return None
    rules = StraightRules(kerf=0.0 if options.kerf is None else distance("--kerf", options.kerf))
    if options.cutter is None:
        return rules
    least, most = (distance("--cutter", each) for each in options.cutter)
    if not 0 <= least < most:
        raise InputError(
            f"opens from {least:g} to {most:g} mm",
            where="--cutter",
            remedy='give the least width, then the greatest: --cutter "6 mm" "100 mm"',
        )
    return StraightRules(least, most, rules.kerf)
