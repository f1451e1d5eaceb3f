"""A small picture of a hide (SVG): its outline with holes, flaws, zones and the direction of the backbone."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape

from hides.hide import Grade, Hide, Point, Ring

LEATHER, LINE, UNUSABLE = "#e8dcc8", "#3b3128", "#6b5d50"
SHADES = {Grade.A: "#dccdb2", Grade.B: "#d2bf9d", Grade.C: "#bfa77f", Grade.D: "#a88e66", Grade.NONE: UNUSABLE}
"""Darker is worse; unusable leather is the darkest."""
MARGIN = 6.0


def picture(hide: Hide, width: float = 240.0, height: float = 180.0) -> str:
    """An SVG element of `width` by `height` pixels; the hide fills it, y upwards."""
    scale, corner = _fit(hide, width, height)

    def place(point: Point) -> Point:
        return corner[0] + point[0] * scale, corner[1] - point[1] * scale

    parts = [
        _path([hide.outline, *hide.holes], place, LEATHER),
        *(_path([zone.outline], place, SHADES[max(zone.grade, hide.grade)], "3 2") for zone in hide.zones),
        *(_path([flaw.outline], place, SHADES[flaw.grade]) for flaw in hide.flaws),
        _path([hide.outline], place, "none"),
        *([_line(*map(place, hide.backbone))] if hide.backbone else []),
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" width="{width:g}"'
        f' height="{height:g}" role="img"><title>{escape(hide.name)}</title>{"".join(parts)}</svg>'
    )


def _fit(hide: Hide, width: float, height: float) -> tuple[float, Point]:
    """Scale, and where hide coordinates (0, 0) lie in the picture."""
    x0, y0, x1, y1 = hide.polygon.bounds
    scale = min((width - 2 * MARGIN) / max(x1 - x0, 1e-9), (height - 2 * MARGIN) / max(y1 - y0, 1e-9))
    return scale, (width / 2 - scale * (x0 + x1) / 2, height / 2 + scale * (y0 + y1) / 2)


def _path(rings: Sequence[Ring], place: Callable[[Point], Point], fill: str, dashes: str = "none") -> str:
    steps = "".join("M" + "L".join(_pair(place(point)) for point in ring) + "Z" for ring in rings)
    return f'<path d="{steps}" fill="{fill}" fill-rule="evenodd" stroke="{LINE}" stroke-dasharray="{dashes}"/>'


def _line(start: Point, end: Point) -> str:
    """The backbone: a thin dashed line with a dot where it begins."""
    dot = f'<circle cx="{start[0]:.1f}" cy="{start[1]:.1f}" r="2" fill="{LINE}"/>'
    return f'<path d="M{_pair(start)}L{_pair(end)}" stroke="{LINE}" stroke-dasharray="8 3 2 3"/>{dot}'


def _pair(point: Point) -> str:
    return f"{point[0]:.1f} {point[1]:.1f}"
