"""Pages drawn as PDF and PNG through matplotlib's renderers. The same pages give the same bytes."""

from __future__ import annotations

import io
import warnings
from collections.abc import Sequence
from functools import cache
from typing import Any

import matplotlib
import numpy as np
from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.path import Path
from matplotlib.transforms import Affine2D, Bbox, TransformedBbox
from numpy.typing import NDArray
from PIL import Image

from nesting.drawing.lettering import font_file, width_of
from nesting.drawing.look import LAYERS, Ink, tint
from nesting.drawing.scene import Area, Box, Circle, Item, Line, Page, Picture, Scene, Text, turned_by

MM = 1 / 25.4
POINT = 72 / 25.4
"""Points in a millimetre."""


def pdf_bytes(pages: Sequence[Page], title: str) -> bytes:
    """A PDF of pages, each at its exact size; no time of day in it."""
    stream = io.BytesIO()
    told = {"Title": title, "Creator": "hideplan", "Producer": "hideplan", "CreationDate": None}
    style = matplotlib.rc_context({"pdf.fonttype": 42, "pdf.compression": 6})
    with _quiet(), style, PdfPages(stream, metadata=told) as book:
        for page in pages:
            book.savefig(_figure(page))
    return stream.getvalue()


def png_bytes(page: Page, dots: float = 150.0) -> bytes:
    """A PNG of one page at so many dots an inch."""
    figure = _figure(page)
    figure.set_dpi(dots)
    FigureCanvasAgg(figure)
    stream = io.BytesIO()
    with _quiet():
        figure.savefig(stream, format="png", dpi=dots, metadata={"Software": None})
    return stream.getvalue()


class _quiet(warnings.catch_warnings):
    """Letters that the typeface lacks show as boxes; nobody needs a warning for each."""

    def __enter__(self) -> Any:
        entered = super().__enter__()
        warnings.filterwarnings("ignore", message=".*[Gg]lyph.*")
        return entered


def _figure(page: Page) -> Figure:
    figure = Figure(figsize=(page.width * MM, page.height * MM), facecolor="white")
    if page.under:
        figure.add_artist(_Pictured(page.under))
    if page.window:
        figure.add_artist(_Drawn(page.seen, page.window, page.pen, page.hollow))
    figure.add_artist(_Drawn(page.items, None, page.pen, False))
    return figure


class _Pictured(Artist):
    """Pictures as one thing that matplotlib can draw."""

    def __init__(self, pictures: Sequence[Picture]) -> None:
        super().__init__()
        self._pictures = pictures

    def draw(self, renderer: Any) -> None:
        """Draw them with the renderer's own call, which takes the lowest row first."""
        figure: Any = self.get_figure()
        to_dots = Affine2D().scale(MM) + figure.dpi_scale_trans
        for picture in self._pictures:
            left, low, right, high = picture.box
            (x, y), (to_x, to_y) = to_dots.transform([(left, low), (right, high)])
            gc = renderer.new_gc()
            if renderer.option_scale_image():
                renderer.draw_image(gc, x, y, _opaque(picture.pixels), Affine2D().scale(to_x - x, to_y - y))
            else:
                shown = Image.fromarray(picture.pixels).resize((round(to_x - x), round(to_y - y)))
                renderer.draw_image(gc, round(x), round(y), _opaque(np.asarray(shown)))
            gc.restore()


def _opaque(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The picture with its lowest row first, and nothing shining through."""
    full = np.full((*pixels.shape[:2], 1), 255, np.uint8)
    return np.concatenate([pixels[::-1], full], axis=2)


class _Drawn(Artist):
    """A scene as one thing that matplotlib can draw."""

    def __init__(self, scene: Scene, window: Box | None, pen: float, hollow: bool) -> None:
        super().__init__()
        self._scene, self._window, self._pen, self._hollow = scene, window, pen, hollow

    def draw(self, renderer: Any) -> None:
        """Draw every item with the renderer's own path and text calls."""
        figure: Any = self.get_figure()
        to_dots = Affine2D().scale(MM) + figure.dpi_scale_trans
        for item in self._scene:
            gc = renderer.new_gc()
            if self._window:
                left, low, right, high = self._window
                gc.set_clip_rectangle(TransformedBbox(Bbox([[left, low], [right, high]]), to_dots))
            self._draw_item(renderer, gc, item, to_dots)
            gc.restore()

    def _draw_item(self, renderer: Any, gc: Any, item: Item, to_dots: Any) -> None:
        ink = LAYERS[item.layer]
        if isinstance(item, Text):
            _draw_text(renderer, gc, item, ink, to_dots)
            return
        fill = tint(item.tint) if isinstance(item, Area) and item.tint is not None else ink.fill
        gc.set_foreground(ink.line or "none")
        gc.set_linewidth(ink.width * POINT * self._pen if ink.line else 0)
        gc.set_joinstyle("round")
        gc.set_capstyle("butt")
        if ink.dash:
            gc.set_dashes(0, [d * POINT * self._pen for d in ink.dash])
        gc.set_antialiased(True)
        bare = isinstance(item, Line) or (self._hollow and isinstance(item, Area))
        solid = matplotlib.colors.to_rgba(fill, ink.veil) if fill and not bare else None
        renderer.draw_path(gc, _path(item), to_dots, solid)


def _path(item: Line | Area | Circle) -> Path:
    if isinstance(item, Line):
        return Path(item.points)
    if isinstance(item, Circle):
        return Path.circle(item.centre, item.diameter / 2)
    rings = [Path([*ring, ring[0]], closed=True) for ring in item.rings]
    return Path.make_compound_path(*rings)


def _draw_text(renderer: Any, gc: Any, item: Text, ink: Ink, to_dots: Any) -> None:
    if not item.words:
        return
    back = {"left": 0.0, "middle": 0.5, "right": 1.0}[item.anchor] * width_of(item.words, item.height, item.bold)
    dx, dy = turned_by((-back, 0), item.angle)
    x, y = to_dots.transform((item.at[0] + dx, item.at[1] + dy))
    if renderer.flipy():
        y = renderer.get_canvas_width_height()[1] - y
    gc.set_foreground(ink.line)
    renderer.draw_text(gc, x, y, item.words, _font(item.bold, item.height), item.angle, ismath=False)


@cache
def _font(bold: bool, height: float) -> FontProperties:
    """The typeface at a size; a sheet has a thousand words and a dozen sizes."""
    return FontProperties(fname=str(font_file(bold)), size=height * POINT)
