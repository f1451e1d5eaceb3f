"""How well each piece of a project nests with itself, as `hideplan interlock` tells it, with its picture."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from nesting.drawing.interlock_page import interlock_page
from nesting.drawing.svg import svg_text
from nesting.lattice.interlock import Interlock, interlocks, pairings
from nesting.page.folder import Folder
from nesting.page.projects import product_in
from nesting.project.settings_reader import distance
from nesting.result.interlock_words import TERMS, interlock_data


def interlock(folder: Folder, file: str, told: Mapping[str, str], t: float | None) -> dict[str, Any]:
    """The assessment as data, with the terms in words; `gap` as it is typed."""
    name, found, gap = _found(folder, file, told, t)
    return {**interlock_data(name, found, pairings(found, gap), gap), "terms": TERMS}


def interlock_svg(folder: Folder, file: str, told: Mapping[str, str], t: float | None) -> str:
    """The same as a picture."""
    name, found, _ = _found(folder, file, told, t)
    return svg_text(interlock_page(name, found), f"Interlock of {name}")


def _found(folder: Folder, file: str, told: Mapping[str, str], t: float | None) -> tuple[str, list[Interlock], float]:
    gap = distance("gap", told.get("gap", "").strip() or "0")
    product = product_in(folder, file, t)
    return product.name, interlocks(product, gap), gap
