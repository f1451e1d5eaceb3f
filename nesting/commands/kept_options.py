"""`yield`: pieces that stay, leather that is cut already, and parts of a product."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from hides.errors import InputError
from hides.fields import whole_number
from hides.hide import Hide
from nesting.model.layout import Placement
from nesting.project.part import pieces_in
from nesting.result.kept import lain_on, without_cut
from nesting.result.layout_file import read_layout


def add_kept_arguments(parser: argparse.ArgumentParser) -> None:
    """--keep, --gone and --pieces."""
    group = parser.add_argument_group("what is there already, and what is wanted")
    group.add_argument(
        "--keep",
        metavar="LAYOUT.json",
        help='leave the pieces of this layout where they lie (those with "keep": true, or all) and fill the rest',
    )
    group.add_argument(
        "--gone",
        metavar="LAYOUT.json",
        action="append",
        default=[],
        help="the pieces of this layout are cut already: lay nothing there; may be given again",
    )
    group.add_argument(
        "--pieces",
        metavar="NAME=NUMBER",
        action="append",
        default=[],
        help="only so many of these pieces of the product, once: strap=1; may be given again",
    )
    group.add_argument(
        "--most",
        metavar="N",
        help="lay no more than N products, at one side, so that what is left of the hide stays of use",
    )
    group.add_argument(
        "--catalogue",
        metavar="PROJECT",
        action="append",
        default=[],
        help="with --most: what is left is also judged by this product; may be given again",
    )


def most_from(options: argparse.Namespace) -> int | None:
    """How many products are laid at most; None where nobody says. InputError names what cannot be read."""
    if options.most is None:
        if options.catalogue:
            raise InputError("goes with --most", where="--catalogue", remedy="say how many products there are to be")
        return None
    if options.pieces:
        raise InputError("is given beside --pieces", where="--most", remedy="leave one of the two out")
    number = whole_number(options.most)
    if number is None or not 1 <= number <= MOST:
        raise InputError(f"“{options.most[:40]}” is no number of products", where="--most", remedy=f"give 1 to {MOST}")
    return number


MOST = 100_000
"""The greatest number of products that anybody asks of one hide."""


def pieces_from(options: argparse.Namespace) -> dict[str, int]:
    """The pieces asked for; InputError names what cannot be read."""
    found: dict[str, object] = {}
    for text in options.pieces:
        name, _, number = text.rpartition("=")
        many = whole_number(number)
        if not name.strip() or many is None:
            raise InputError(f"“{text}” names no pieces", where="--pieces", remedy="write NAME=NUMBER: strap=1")
        if name.strip() in found:
            raise InputError(f"“{name.strip()}” is named twice", where="--pieces", remedy="name it once")
        found[name.strip()] = many
    try:
        return pieces_in(found) if found else {}
    except InputError as error:
        raise error.within(where="--pieces") from error


def without_gone(hide: Hide, paths: Sequence[str]) -> Hide:
    """The hide without the leather that is cut already."""
    for path in paths:
        hide = without_cut(hide, read_layout(path), path)
    return hide


def former_from(options: argparse.Namespace, hide: Hide) -> tuple[Placement, ...]:
    """The pieces of the layout named by --keep; those that are to stay say so."""
    return lain_on(read_layout(options.keep), hide, options.keep) if options.keep else ()
