"""Leathers, products and a stand-in for the search, for tests of the comparison."""

from __future__ import annotations

from pathlib import Path

from boards import board, lain

from hides.hide import Thickness
from hides.hide_file import write_hide
from nesting.compare.comparison import Comparison, compare
from nesting.compare.leather import Leather
from nesting.compare.leathers_file import read_leathers
from nesting.laying.case import Case
from nesting.model.layout import Areas, HideLayout, Layout, ProductCount
from nesting.model.settings import Watch

SQ_FT = 92903.04
STRAP = """\
format = "hideplan-project-1"
name = "Loop strap"

[[piece]]
name = "loop"
count = 2
shape = { rectangle = [30, "pi * (25 + t) + 20"] }
holes = [{ at = [15, 12], diameter = 4.8, group = "a" }, { at = [15, 50], diameter = 4.8, group = "b" }]

[[piece]]
name = "strap"
shape = { rectangle = [30, 200] }
holes = [{ at = [15, 60], diameter = 4.8, group = "a" }, { at = [15, 140], diameter = 4.8, group = "b" }]
"""
LEATHER = """\
[[leather]]
name = "bridle"
thickness = "10-11 oz"
price = { per_area = 9.5, unit = "sq ft", currency = "EUR" }
density = 900
hides = ["board.json"]
"""


def share_of_area(case: Case, watch: Watch) -> Layout:
    """A stand-in for the search: as many products as seven tenths of the hide's area hold, one piece drawn."""
    hide, product, settings = case.hide, case.wants[0].product, case.settings
    number = int(0.7 * hide.measured_area / product.area)
    whole = hide.measured_area
    worked = number * product.area
    laid = (lain(product.pieces[0], 20, 20),) if number else ()
    one = HideLayout(hide, laid, Areas(whole, whole, worked, 0.0, 0.0, 0.0, whole - worked))
    count = ProductCount(product.name, number, number + 1)
    return Layout((count,), (product,), settings.gap, settings.seed, settings.effort, (one,))


def project_file(folder: Path, making: str = "", pieces: str = STRAP) -> Path:
    """A project file of a strap with two loops, and further tables."""
    path = folder / "strap.toml"
    path.write_text(pieces + making, "utf-8")
    return path


def leathers_file(folder: Path, text: str = LEATHER) -> Path:
    """A leathers file beside a hide file `board.json` of 1000 by 600 mm."""
    write_hide(folder / "board.json", board(thickness=Thickness(4.0, 4.4)))
    path = folder / "leathers.toml"
    path.write_text(f'format = "hideplan-leathers-1"\n{text}', "utf-8")
    return path


def leathers(folder: Path, text: str = LEATHER) -> tuple[Leather, ...]:
    """The leathers of such a file."""
    return read_leathers(leathers_file(folder, text))


def compared(folder: Path, making: str = "", text: str = LEATHER, number: int = 10) -> Comparison:
    """A comparison with the stand-in for the search."""
    return compare(project_file(folder, making), leathers(folder, text), number=number, solve=share_of_area)
