"""One hide with its pieces as a drawing by itself: SVG and PNG at a page of its own size, DXF at full size."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nesting.drawing.canvas import png_bytes
from nesting.drawing.dxf import dxf_text
from nesting.drawing.ground import under
from nesting.drawing.hide_scene import hide_scene, upright
from nesting.drawing.rulers import FAR, ROOM
from nesting.drawing.scene import Page, box_of, mapped
from nesting.drawing.svg import svg_text
from nesting.model.layout import HideLayout, Layout

if TYPE_CHECKING:
    from hides.photo import FlatPicture

LETTERS = 8.0
"""Lettering of a drawing at full size, over that of a cut sheet."""
PICTURE = 300.0
"""Longest side of the hide in a PNG, mm."""


def hide_svg(layout: Layout, each: HideLayout, units: str = "mm") -> str:
    """The hide at full size, its backbone level, as SVG."""
    return svg_text(_page(layout, each, LETTERS, 1.0, units), f"Layout of {each.hide.name}")


def hide_png(
    layout: Layout, each: HideLayout, units: str = "mm", dots: float = 150.0, photo: FlatPicture | None = None
) -> bytes:
    """The hide as a picture about 300 mm wide at so many dots an inch, over its photo where there is one."""
    left, low, right, high = box_of(upright(each).hide.outline)
    k = max(right - left, high - low) / PICTURE
    return png_bytes(_page(layout, each, k, 1 / k, units, photo), dots)


def hide_dxf(layout: Layout, each: HideLayout, units: str = "mm") -> str:
    """The hide at full size in its own coordinates (millimetres) as DXF."""
    return dxf_text(hide_scene(layout, each, LETTERS, units))


def _page(
    layout: Layout, each: HideLayout, k: float, scale: float, units: str, photo: FlatPicture | None = None
) -> Page:
    """The drawing on a page just large enough, at `scale`."""
    shown = upright(each)
    left, low, right, high = box_of(shown.hide.outline)
    near, far = (room * k * scale for room in (ROOM, FAR))
    shift = near - left * scale, near - low * scale
    items = mapped(hide_scene(layout, shown, k, units, photo is not None), scale, shift)
    wide, tall = (right - left) * scale + near + far, (high - low) * scale + near + far
    return Page(wide, tall, items, pen=k * scale, under=under(photo, each.hide, scale, shift))
