"""`hideplan trace`: the ways in which a hide becomes a hide file."""

from __future__ import annotations

import argparse
import importlib

from nesting.commands import Parser

WAYS = {
    "photo": "from a photograph and four marks of a measured rectangle",
    "drawing": "from a DXF or SVG drawing",
    "offsets": "from a table of distances taken with a tape along the backbone",
    "typical": "from a cut and its area alone: a typical outline, marked as an estimate",
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Each way has its own options, read only when it is asked for."""
    listing = "\n".join(f"  {name:<8} {text}" for name, text in WAYS.items())
    parser.usage = "hideplan trace WAY ..."
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.epilog = f"ways:\n{listing}\n\n“hideplan trace WAY --help” tells more of each."
    parser.add_argument("way", choices=WAYS, metavar="WAY", help=argparse.SUPPRESS)
    parser.add_argument("rest", nargs=argparse.REMAINDER, help=argparse.SUPPRESS)


def run(options: argparse.Namespace) -> int:
    """Hand over to the way that was asked for."""
    way = importlib.import_module(f"nesting.commands.trace_{options.way}")
    text = WAYS[options.way]
    parser = Parser(prog=f"hideplan trace {options.way}", description=f"A hide file {text}.")
    way.add_arguments(parser)
    return int(way.run(parser.parse_args(options.rest)))
