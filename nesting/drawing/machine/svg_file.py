"""A job as SVG: millimetres, one group an operation, elements in cutting order, true arcs, hairlines without fill.

The user's unit is a millimetre and x is the hide's own; since SVG counts y downwards, y is the hide's with its sign
changed, and the view box says where the drawing lies.
"""

from __future__ import annotations

import math
from xml.sax.saxutils import escape, quoteattr

from hides.hide import Point
from nesting.drawing.machine.contours import Shape
from nesting.drawing.machine.job import MachineJob
from nesting.drawing.machine.operations import Operation
from nesting.drawing.machine.path import FLAT, Path, Round, arc_edge
from nesting.drawing.scene import printable

HAIRLINE = 0.1
ROOM = 2.0
"""mm around the drawing."""


def job_svg(job: MachineJob) -> str:
    """The job as an SVG document; the same job gives the same text."""
    left, low, right, high = job.box
    wide, tall = right - left + 2 * ROOM, high - low + 2 * ROOM
    view = f"{_n(left - ROOM)} {_n(-high - ROOM)} {_n(wide)} {_n(tall)}"
    head = f'width="{_n(wide)}mm" height="{_n(tall)}mm" viewBox="{view}"'
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {head}>',
        f"<title>{escape(printable(job.title))}</title>",
    ]
    for operation in job.all:
        lines += _group(operation)
    return "\n".join([*lines, "</svg>", ""])


def _group(operation: Operation) -> list[str]:
    layer = operation.layer
    name = layer.words.split(",")[0].replace(" ", "-")
    style = f'fill="none" stroke="{layer.colour}" stroke-width="{HAIRLINE:g}"'
    head = f"<g id={quoteattr(name)} data-layer={quoteattr(layer.name)} {style}>"
    body = [_element(shape, f"{name}-{number}") for number, shape in enumerate(operation.shapes, 1)]
    return [head, f"<title>{escape(layer.words)}</title>", *body, "</g>"]


def _element(shape: Shape, identity: str) -> str:
    if isinstance(shape, Round):
        x, y = shape.centre
        return f'<circle id="{identity}" cx="{_n(x)}" cy="{_n(-y)}" r="{_n(shape.diameter / 2)}"/>'
    return f'<path id="{identity}" d="{_course(shape)}"/>'


def _course(path: Path) -> str:
    words = [f"M {_point(path.points[0])}"]
    edges = path.edges()
    if path.closed and abs(edges[-1][2]) < FLAT:
        edges = edges[:-1]
    words += [_edge(a, b, bulge) for a, b, bulge in edges]
    return " ".join([*words, "Z"] if path.closed else words)


def _edge(a: Point, b: Point, bulge: float) -> str:
    if abs(bulge) < FLAT:
        return f"L {_point(b)}"
    arc = arc_edge(a, b, bulge)
    large, clockwise = int(abs(arc.sweep) > math.pi + 1e-9), int(bulge < 0)
    return f"A {_n(arc.radius)} {_n(arc.radius)} 0 {large} {clockwise} {_point(b)}"


def _point(point: Point) -> str:
    return f"{_n(point[0])} {_n(-point[1])}"


def _n(value: float) -> str:
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
