"""Drawings (DXF, SVG) as shapes in millimetres, y upwards: for hides, and for the pieces of a project.

Terms. *Shape*: a ring or an open line, with the names it goes by: layer, id, block, and those of the groups it stands
in. *Mark*: a single point. *Finding*: what the reader mended, joined or passed over; nothing is left out silently.

>>> drawing = read_drawing("side.dxf")                            # doctest: +SKIP
>>> [shape.ring() for shape in drawing.named("outline")]          # doctest: +SKIP
"""

from hides.drawing.drawing import Drawing, DrawnCircle, DrawnShape, Mark
from hides.drawing.reading import SUFFIXES, TOLERANCE, drawing_from_bytes, parts_of, read_drawing

__all__ = [
    "SUFFIXES",
    "TOLERANCE",
    "Drawing",
    "DrawnCircle",
    "DrawnShape",
    "Mark",
    "drawing_from_bytes",
    "parts_of",
    "read_drawing",
]
