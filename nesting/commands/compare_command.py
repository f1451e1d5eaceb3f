"""`hideplan compare PROJECT LEATHERS`: the product in each leather and thickness."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path

from hides.errors import InputError
from hides.fields import whole_number
from hides.whole_file import write_whole
from nesting.commands.loading import load_meanwhile
from nesting.commands.solving import (
    add_choose_argument,
    add_solving_arguments,
    chosen_from,
    deadline_from,
    settings_from,
    watch_from,
)
from nesting.commands.swapped import refuse_swapped
from nesting.compare.comparison import USUAL_BATCH, Comparison, compare
from nesting.compare.data import comparison_csv, comparison_json
from nesting.compare.leathers_file import read_leathers
from nesting.compare.table import comparison_text
from nesting.laying.lay_out import solve

LARGEST_BATCH = 100_000
USUAL_SEEDS, MOST_SEEDS = 3, 100
Writer = Callable[[Comparison], bytes | str]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """PROJECT, LEATHERS, the batch, the files to write, and how it searches."""
    parser.add_argument("project", metavar="PROJECT", help="the project file (TOML)")
    parser.add_argument("leathers", metavar="LEATHERS", help="the leathers file (TOML)")
    parser.add_argument(
        "--batch", default=str(USUAL_BATCH), metavar="N", help=f"products made in one batch [{USUAL_BATCH}]"
    )
    parser.add_argument(
        "--seeds",
        default=str(USUAL_SEEDS),
        metavar="N",
        help=f"search every hide from so many seeds, to tell how far figures shift with the search [{USUAL_SEEDS}]",
    )
    parser.add_argument("--json", action="store_true", help="print the comparison as JSON")
    parser.add_argument(
        "--out",
        action="append",
        default=[],
        metavar="FILE",
        help="also write a file, by its ending .pdf, .csv or .json; may be given several times",
    )
    add_choose_argument(parser)
    parser.add_argument(
        "--leather",
        default="",
        metavar="NAME",
        help="of a product of several leathers compare this one, the others as the project has them [all]",
    )
    add_solving_arguments(parser)


def run(options: argparse.Namespace) -> int:
    """Compare, print, write."""
    writers = [(path, _writer(path)) for path in options.out]
    number, settings, seeds = _batch(options.batch), settings_from(options), _seeds(options.seeds)
    refuse_swapped("compare {0} {1}", options.project, ["project"], options.leathers, ["leathers"])
    leathers = read_leathers(options.leathers)
    draws = any(path.lower().endswith(".pdf") for path in options.out)
    if draws:
        load_meanwhile("scipy.optimize", "nesting.compare.sheet")
    with watch_from(options, deadline_from(options, draws)) as watch:
        comparison = compare(
            options.project, leathers, settings, watch, number, solve, chosen_from(options), options.leather, seeds
        )
    sys.stdout.write(comparison_json(comparison) if options.json else comparison_text(comparison))
    for path, write in writers:
        write_whole(path, write(comparison))
    return 0 if comparison.by_cost else 1


def _batch(text: str) -> int:
    number = whole_number(text)
    if number is None or not 1 <= number <= LARGEST_BATCH:
        remedy = f"give a whole number from 1 to {LARGEST_BATCH}"
        raise InputError(f"“{text[:40]}” is no number of products", where="--batch", remedy=remedy)
    return number


def _seeds(text: str) -> int:
    number = whole_number(text)
    if number is None or not 1 <= number <= MOST_SEEDS:
        raise InputError(f"“{text[:40]}” is no number of seeds", where="--seeds", remedy=f"give 1 to {MOST_SEEDS}")
    return number


def _writer(path: str) -> Writer:
    writers: dict[str, Writer] = {".json": comparison_json, ".csv": comparison_csv, ".pdf": _pdf}
    ending, folder = Path(path).suffix.lower(), Path(path).parent
    if ending not in writers:
        raise InputError(f"“{path}” ends in no kind of file known", where="--out", remedy="use .pdf, .csv or .json")
    if not folder.is_dir():
        raise InputError(f"there is no folder “{folder}”", where="--out", remedy="name a file in a folder that exists")
    return writers[ending]


def _pdf(comparison: Comparison) -> bytes:
    from nesting.compare.sheet import comparison_pdf

    return comparison_pdf(comparison)
