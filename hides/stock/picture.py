"""A small picture of a hide (SVG): its outline with holes, flaws, zones and the direction of the backbone."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape

from shapely import get_parts
from shapely.geometry import Polygon

from hides.hide import Grade, Hide, Point, Ring

LINE = "#3b3128"
SHADES = {Grade.A: "#e8dcc8", Grade.B: "#d6c4a4", Grade.C: "#bfa77f", Grade.D: "#a1865e", Grade.NONE: "#6b5d50"}
"""Darker is worse; unusable leather is the darkest."""
MARGIN = 6.0


def picture(hide: Hide, width: float = 240.0, height: float = 180.0) -> str:
    """An SVG element of `width` by `height` pixels; the hide fills it, y upwards."""
    scale, corner = _fit(hide, width, height)

    def place(point: Point) -> Point:
        return corner[0] + point[0] * scale, corner[1] - point[1] * scale

    parts = [
        _path([hide.outline, *hide.holes], place, SHADES[hide.grade]),
        *(
            _path(rings, place, SHADES[max(zone.grade, hide.grade)], "3 2")
            for zone in hide.zones
            if (rings := _on(hide, zone.outline))
        ),
        *(
            _path(rings, place, SHADES[max(flaw.grade, hide.grade)])
            for flaw in hide.flaws
            if (rings := _on(hide, flaw.outline))
        ),
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
    scale = min((width - 2 * MARGIN) / (x1 - x0), (height - 2 * MARGIN) / (y1 - y0))
    return scale, (width / 2 - scale * (x0 + x1) / 2, height / 2 + scale * (y0 + y1) / 2)


def _on(hide: Hide, ring: Ring) -> list[Ring]:
    """The parts of a flaw or zone that lie on the leather."""
    parts = get_parts(Polygon(ring).intersection(hide.polygon))
    return [tuple(part.exterior.coords[:-1]) for part in parts if isinstance(part, Polygon) and not part.is_empty]


def _path(rings: Sequence[Ring], place: Callable[[Point], Point], fill: str, dashes: str = "none") -> str:
    steps = "".join("M" + "L".join(_pair(place(point)) for point in ring) + "Z" for ring in rings)
    return f'<path d="{steps}" fill="{fill}" fill-rule="evenodd" stroke="{LINE}" stroke-dasharray="{dashes}"/>'


def _line(start: Point, end: Point) -> str:
    """The backbone: a thin dashed line with a dot where it begins."""
    dot = f'<circle cx="{start[0]:.1f}" cy="{start[1]:.1f}" r="2" fill="{LINE}"/>'
    return f'<path d="M{_pair(start)}L{_pair(end)}" stroke="{LINE}" stroke-dasharray="8 3 2 3"/>{dot}'


def _pair(point: Point) -> str:
    return f"{point[0]:.1f} {point[1]:.1f}"
