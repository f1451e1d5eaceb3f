"""A piece's outline as SVG path data: `path = "M 0 0 H 80 V 60 A 40 40 0 0 1 0 60 Z"`.

The data is that of SVG 1.1, section 8.3, in the project file's units; its y runs up, as all of a piece's points do.
"""

from __future__ import annotations

from shapely.geometry import Polygon

from hides.drawing.svg_path import path_lines
from hides.errors import InputError
from hides.fields import told
from hides.rings import mend_ring
from nesting.geometry.simplify import outer
from nesting.project.contour import TOLERANCE, Contour, contour_of
from nesting.project.curves import FINE
from nesting.project.shapes import PieceShape, refuse_openings, simple_ring

LONGEST = 20_000


def path_shape(value: object, unit: float) -> PieceShape:
    """The shape that path data draws: the ring that holds all others is the outline, those in it are cut out."""
    if not isinstance(value, str) or not value.strip() or len(value) > LONGEST:
        raise InputError(f"is {told(value)}, no path data", remedy='write SVG path data: "M 0 0 H 80 V 60 Z"')
    rings = []
    for points, closed in path_lines(value, FINE / unit):
        if not closed and points[0] != points[-1]:
            raise InputError(f"is open: it ends in {_at(points[-1])}", remedy="close every part with Z")
        rings.append(mend_ring([(x * unit, y * unit) for x, y in points], unit=unit).ring)
    if not rings:
        raise InputError("draws nothing", remedy='write SVG path data: "M 0 0 H 80 V 60 Z"')
    rings.sort(key=lambda ring: -Polygon(ring).area)
    whole = Polygon(rings[0])
    for ring in rings[1:]:
        if not whole.contains(Polygon(ring)):
            raise InputError("draws two outlines that do not lie in one another", remedy="give each piece its own path")
    refuse_openings(whole, rings[1:])
    contour = contour_of(rings[0])
    return PieceShape(_ring(contour, whole), tuple(simple_ring(ring) for ring in rings[1:]), contour=contour)


def _ring(contour: Contour, whole: Polygon) -> tuple[tuple[float, float], ...]:
    if all(edge.straight for edge in contour.edges):
        return tuple(contour.points)
    return simple_ring(list(outer(whole, TOLERANCE - FINE).exterior.coords))


def _at(point: tuple[float, float]) -> str:
    return f"[{point[0]:.6g}, {point[1]:.6g}]"
