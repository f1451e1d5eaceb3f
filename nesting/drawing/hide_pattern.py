"""A whole hide's layout at full size over many pages."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry import Polygon

from nesting.drawing.hide_scene import hide_scene, upright
from nesting.drawing.names import named
from nesting.drawing.paper import Paper
from nesting.drawing.scene import Box, Item, Page, Scene, bounds
from nesting.drawing.sheet_style import PLAIN, SheetStyle
from nesting.drawing.tile_pages import assembly_plan, first_page, printing_notes, shown_size, tile_pages
from nesting.drawing.tiling import Tiling, tiled
from nesting.model.layout import HideLayout, Layout

LETTERS = 3.0
"""Lettering at full size, over that of the cut sheet."""
PAPER_ONLY = {"datum", "datum name", "edge hatch", "offcut name"}
PLANNED = {"hide", "piece"}


def hide_pattern(layout: Layout, each: HideLayout, style: SheetStyle = PLAIN) -> list[Page]:
    """The pages: test square with assembly plan first, then every page with something on it."""
    shown = upright(each)
    scene = [item for item in hide_scene(layout, shown, LETTERS, style.units) if item.layer not in PAPER_ONLY]
    paper, tiling = fewest_pages(scene, style.paper)
    title = f"Full-size layout: {each.hide.name}"
    square = 101.6 if style.units == "in" else 100.0
    plan = assembly_plan(tiling, _planned(scene), Paper(style.paper), square)
    first = first_page(Paper(style.paper), title, printing_notes(tiling, style.units), style.units, plan)
    laid = [(one.name, Polygon(one.placement.outline)) for one in named(layout, shown)]
    return [first, *tile_pages(tiling, paper, each.hide.name, lambda box: _names_in(laid, box))]


def _names_in(laid: Sequence[tuple[str, Polygon]], box: Box) -> str:
    """The names of the pieces that a tile shows."""
    shown = shapely.box(*box)
    return ", ".join(name for name, shape in laid if shape.intersects(shown))


def fewest_pages(scene: list[Item], paper_name: str) -> tuple[Paper, Tiling]:
    """The drawing tiled on paper standing or lying, whichever takes fewer pages."""
    around = bounds(scene)
    choices = [Paper(paper_name, lying) for lying in (False, True)]
    found = [(paper, tiled(scene, around, shown_size(paper))) for paper in choices]
    return min(found, key=lambda each: len(each[1].filled))


def _planned(scene: list[Item]) -> Scene:
    return tuple(item for item in scene if item.layer in PLANNED)
