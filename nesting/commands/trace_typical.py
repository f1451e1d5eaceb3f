"""`hideplan trace typical`: a hide file from nothing but a cut and its area."""

from __future__ import annotations

import argparse

from hides import units
from hides.errors import InputError
from hides.hide import CUTS
from hides.typical import typical_hide
from nesting.commands.tracing import add_hide_arguments, renamed, tell


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `hideplan trace typical`."""
    parser.add_argument("--cut", required=True, metavar="CUT", help=", ".join(CUTS[:-1]))
    parser.add_argument("--area", required=True, metavar="AREA", help="what the supplier marked: “22 3/4 sq ft”")
    add_hide_arguments(parser, cut=False, area=False)


def run(options: argparse.Namespace) -> int:
    """Scale the typical outline, write its file."""
    try:
        area = units.area(options.area)
    except InputError as error:
        raise error.within(field="--area") from error
    return tell(renamed(typical_hide(options.cut, area), options, ""), [], options)
