"""`hideplan interlock PROJECT`: how well each piece nests with itself, and what is lost between the pieces."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from pathlib import Path

from hides.errors import InputError, NeedsThickness
from hides.units import thickness
from hides.whole_file import write_whole
from nesting.commands.solving import add_choose_argument, chosen_from
from nesting.drawing.interlock_page import interlock_page
from nesting.lattice.interlock import Interlock, interlocks, pairings
from nesting.model.product import Product
from nesting.project.choices import Chosen
from nesting.project.project_file import read_product
from nesting.project.settings_reader import distance
from nesting.result.interlock_words import interlock_data, interlock_text

Draw = Callable[[str, list[Interlock]], str | bytes]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """PROJECT, the gap, the leather's thickness, what to write."""
    parser.add_argument("project", metavar="PROJECT", help="the project file (TOML)")
    parser.add_argument("--gap", default="0", metavar="LENGTH", help="distance kept between pieces [0]")
    parser.add_argument(
        "--thickness",
        metavar="T",
        help='the leather\'s, where lengths use it: "3.2 mm", "8-9 oz" (its middle) '
        "[what the project states of each of its leathers]",
    )
    add_choose_argument(parser)
    parser.add_argument("--out", metavar="FILE", help="also draw it: a file that ends in .svg, .png or .pdf")
    parser.add_argument("--json", action="store_true", help="print the assessment as JSON")


def run(options: argparse.Namespace) -> int:
    """Assess, draw, print."""
    draw = _drawer(options.out) if options.out else None
    gap = distance("--gap", options.gap)
    product = _product(options.project, options.thickness, chosen_from(options))
    found = interlocks(product, gap)
    pairs = pairings(found, gap)
    if draw:
        write_whole(options.out, draw(product.name, found))
    if options.json:
        print(json.dumps(interlock_data(product.name, found, pairs, gap), ensure_ascii=False, indent=1))
    else:
        sys.stdout.write(interlock_text(product.name, found, pairs, gap))
    return 0


def _product(path: str, told: str | None, chosen: Chosen) -> Product:
    try:
        t = thickness(told).middle if told else None
    except InputError as error:
        raise error.within(where="--thickness") from error
    try:
        return read_product(path, t, chosen=chosen)
    except NeedsThickness as error:
        problem = "a length of the project uses the leather's thickness, and nothing states it"
        raise InputError(problem, where=path, remedy='add --thickness "3.2 mm" or the like') from error


def _drawer(path: str) -> Draw:
    makers: dict[str, Draw] = {".svg": _svg, ".png": _png, ".pdf": _pdf}
    ending = Path(path).suffix.lower()
    if ending not in makers:
        raise InputError(f"“{path}” ends in no kind of picture known", where="--out", remedy="use .svg, .png or .pdf")
    return makers[ending]


def _svg(name: str, found: list[Interlock]) -> str:
    from nesting.drawing.svg import svg_text

    return svg_text(interlock_page(name, found), f"Interlock of {name}")


def _png(name: str, found: list[Interlock]) -> bytes:
    from nesting.drawing.canvas import png_bytes

    return png_bytes(interlock_page(name, found), 200.0)


def _pdf(name: str, found: list[Interlock]) -> bytes:
    from nesting.drawing.canvas import pdf_bytes

    return pdf_bytes([interlock_page(name, found)], f"Interlock of {name}")
