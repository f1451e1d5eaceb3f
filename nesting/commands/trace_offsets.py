"""`hideplan trace offsets`: a hide file from distances taken with a tape along the backbone."""

from __future__ import annotations

import argparse

from hides.finding import Finding
from hides.offsets import read_offsets
from nesting.commands.tracing import add_hide_arguments, renamed, tell


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `hideplan trace offsets`."""
    parser.add_argument("file", metavar="FILE", help="a table of offsets (CSV); hides/FORMATS.md shows one")
    add_hide_arguments(parser)


def run(options: argparse.Namespace) -> int:
    """Read the table, write the hide file."""
    findings: list[Finding] = []
    hide = renamed(read_offsets(options.file, findings), options, options.file)
    return tell(hide, findings, options)
