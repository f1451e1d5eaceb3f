"""`hideplan trace drawing`: a hide file from a DXF or SVG drawing."""

from __future__ import annotations

import argparse

from hides.drawing import read_drawing
from hides.drawing.hide_in_drawing import LayerChoice, hide_in_drawing
from hides.drawing.reading import UNITS
from nesting.commands.tracing import add_hide_arguments, said_of_hide, tell


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `hideplan trace drawing`."""
    parser.usage = "hideplan trace drawing FILE [options]"
    parser.add_argument("file", metavar="FILE", help="a .dxf or .svg drawing")
    which = parser.add_argument_group(
        "which is which",
        "WHICH is a layer, id, label or block; layers called outline, flaws, zones, ... are found.",
    )
    which.add_argument("--outline", metavar="WHICH", help="the outline [the shape that holds all others]")
    which.add_argument(
        "--flaws", nargs="+", default=[], metavar="WHICH", help="flaws; “scars=C” says their grade [none]"
    )
    which.add_argument(
        "--zones", nargs="+", default=[], metavar="WHICH", help="weaker zones with their grade: “belly=C”"
    )
    which.add_argument("--holes", nargs="+", default=[], metavar="WHICH", help="holes")
    which.add_argument("--backbone", metavar="WHICH", help="the line along the backbone")
    parser.add_argument("--units", choices=UNITS, help="the drawing's unit, where it does not say or says it wrongly")
    add_hide_arguments(parser)


def run(options: argparse.Namespace) -> int:
    """Read the drawing, find the hide in it, write its file."""
    about = said_of_hide(options)
    drawing = read_drawing(options.file, units=options.units)
    findings = list(drawing.findings)
    choice = LayerChoice(
        options.outline, tuple(options.flaws), tuple(options.zones), options.backbone, tuple(options.holes)
    )
    return tell(hide_in_drawing(drawing, choice, about, findings), findings, options)
