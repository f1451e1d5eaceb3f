"""A page as SVG: millimetres as units, one group for each layer's run, no scripts, no time of day."""

from __future__ import annotations

from itertools import groupby
from xml.sax.saxutils import escape, quoteattr

from hides.hide import Point, Ring
from nesting.drawing.lettering import width_of
from nesting.drawing.look import LAYERS, tint
from nesting.drawing.scene import Area, Circle, Item, Line, Page, Text, printable

COLOURS = {"piece": "#2b2420", "cutout": "#1f5673", "punch": "#8a2f1d", "grain": "#7d5ba6", "hide": "#9a6a2f"}
"""Lines that must be told apart where somebody cuts by the drawing; other layers keep the look's own."""
HAIRLINE = 0.25
"""mm: the stroke of those lines."""
ANCHORS = {"left": "start", "middle": "middle", "right": "end"}


def svg_text(page: Page, title: str) -> str:
    """The page's items as an SVG document at true size (`window` and `seen` are not drawn)."""
    runs = [
        (layer, list(run))
        for (layer, _), run in groupby(page.items, key=lambda item: (item.layer, isinstance(item, Text)))
    ]
    groups = [_group(layer, run, page, number) for number, (layer, run) in enumerate(runs, 1)]
    size = f'width="{_n(page.width)}mm" height="{_n(page.height)}mm" viewBox="0 0 {_n(page.width)} {_n(page.height)}"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size}>'
    return "\n".join(
        [
            '<?xml version="1.0" encoding="UTF-8"?>',
            head,
            f"<title>{escape(printable(title))}</title>",
            *groups,
            "</svg>",
            "",
        ]
    )


def _group(layer: str, items: list[Item], page: Page, number: int) -> str:
    ink, name = LAYERS[layer], layer.replace(" ", "-")
    wide = HAIRLINE if layer in COLOURS else ink.width * page.pen
    line = f'stroke="{COLOURS.get(layer, ink.line) or "none"}" stroke-width="{_n(wide)}"'
    dash = f' stroke-dasharray="{" ".join(_n(d * page.pen) for d in ink.dash)}"' if ink.dash else ""
    style = f'fill="{ink.fill or "none"}" {line}{dash} stroke-linejoin="round"'
    if isinstance(items[0], Text):
        style = f'fill="{ink.line}" stroke="none" font-family="DejaVu Sans, Verdana, sans-serif"'
    body = "\n".join(_element(item, page.height) for item in items)
    return f'<g id="{name}-{number}" class={quoteattr(name)} {style}>\n{body}\n</g>'


def _element(item: Item, height: float) -> str:
    if isinstance(item, Line):
        return f'<polyline points="{_points(item.points, height)}" fill="none"/>'
    if isinstance(item, Circle):
        x, y = item.centre
        return f'<circle cx="{_n(x)}" cy="{_n(height - y)}" r="{_n(item.diameter / 2)}"/>'
    if isinstance(item, Area):
        fill = f' fill="{tint(item.tint)}"' if item.tint is not None else ""
        rings = " ".join(f"M {_points(ring, height)} Z" for ring in item.rings)
        return f'<path d="{rings}" fill-rule="evenodd"{fill}/>'
    return _text(item, height)


def _text(item: Text, height: float) -> str:
    x, y = _n(item.at[0]), _n(height - item.at[1])
    turn = f' transform="rotate({_n(-item.angle)} {x} {y})"' if item.angle else ""
    weight = ' font-weight="bold"' if item.bold else ""
    # The stated length keeps a label in its place whatever typeface the viewer has.
    long = _n(width_of(item.words, item.height, item.bold))
    return (
        f'<text x="{x}" y="{y}" font-size="{_n(item.height)}" text-anchor="{ANCHORS[item.anchor]}" '
        f'textLength="{long}" lengthAdjust="spacingAndGlyphs"{weight}{turn}>{escape(item.words)}</text>'
    )


def _points(points: tuple[Point, ...] | Ring, height: float) -> str:
    return " ".join(f"{_n(x)},{_n(height - y)}" for x, y in points)


def _n(value: float) -> str:
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
