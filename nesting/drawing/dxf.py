"""A hide's scene as DXF: millimetres, the hide's own coordinates at full size, one layer for each kind of thing."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import ezdxf.filemanagement
from ezdxf._options import options
from ezdxf.enums import TextEntityAlignment

from nesting.drawing.scene import Area, Box, Circle, Item, Line, Scene, Text, bounds

LAYERS = {
    "hide": ("HIDE", 7), "hole": ("HOLES", 1), "edge": ("EDGE", 8), "zone": ("ZONES", 8), "offcut": ("OFFCUTS", 3),
    "piece": ("PIECES", 7), "cutout": ("CUTOUTS", 7), "cover": ("COVERED", 9), "punch": ("PUNCH", 6),
    "grain": ("GRAIN", 5), "flaw": ("FLAWS", 1), "clearance": ("CLEARANCE", 1), "backbone": ("BACKBONE", 4),
    "mark": ("MARKS", 4), "second mark": ("MARKS", 4), "third mark": ("MARKS", 4),
    "name": ("NAMES", 7), "leader": ("NAMES", 7),
    "flaw name": ("NOTES", 1), "zone name": ("NOTES", 8), "offcut name": ("NOTES", 3),
}  # fmt: skip
"""Layer and colour number of each of the scene's layers; what is not here (hatching, rulers) is for paper only."""
INNER = {
    "fold line": ("FOLD", 5), "crease line": ("CREASE", 5), "stitch line": ("STITCH", 3), "skive line": ("SKIVE", 2),
    "notch line": ("NOTCH", 1), "mark line": ("LINES", 8), "finished": ("FINISHED", 8),
}  # fmt: skip
"""The layers of lines that are not cut; only those are in a file that something lies on."""
ALIGN = {
    "left": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.CENTER,
    "right": TextEntityAlignment.RIGHT,
}
CAP = 0.73
"""DXF measures letters by their capitals."""


def dxf_text(scene: Scene) -> str:
    """The scene as a DXF (AC1024) document; the same scene gives the same text."""
    with fixed_dates():
        document = ezdxf.filemanagement.new("R2010", setup=False, units=4)
        document.header["$MEASUREMENT"] = 1
        for name, colour in dict(reversed(LAYERS.values())).items():
            document.layers.add(name, color=colour)
        used = {item.layer for item in scene}
        for name, colour in (INNER[layer] for layer in INNER if layer in used):
            document.layers.add(name, color=colour)
        space = document.modelspace()
        drawn = [item for item in scene if item.layer in LAYERS or item.layer in INNER]
        for item in drawn:
            _add(space, item, (LAYERS | INNER)[item.layer][0])
        if drawn:
            set_limits(document, bounds(drawn))
        return written(document)


def written(document: Any) -> str:
    """A document as text; the same document gives the same text.

    ezdxf adds the classes of what a document holds in the order of a set, which changes from run to run: they are told
    to it beforehand, by name.
    """
    for name in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(name)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue()


@contextmanager
def fixed_dates() -> Iterator[None]:
    """No time of day and no random name in the file."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def set_limits(document: Any, box: Box) -> None:
    """Tell the header where the drawing lies, so that a viewer shows all of it."""
    left, low, right, high = box
    space = document.modelspace()
    space.reset_extents((left, low, 0.0), (right, high, 0.0))
    space.reset_limits((left, low), (right, high))
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (left, low, 0.0), (right, high, 0.0)
    document.header["$LIMMIN"], document.header["$LIMMAX"] = (left, low), (right, high)


def _add(space: Any, item: Item, layer: str) -> None:
    style = {"layer": layer}
    if isinstance(item, Line):
        closed = len(item.points) > 3 and item.points[0] == item.points[-1]
        space.add_lwpolyline(item.points[:-1] if closed else item.points, close=closed, dxfattribs=style)
    elif isinstance(item, Area):
        # Holes of the hide come again as areas on their own layer.
        space.add_lwpolyline(item.rings[0], close=True, dxfattribs=style)
    elif isinstance(item, Circle):
        space.add_circle(item.centre, item.diameter / 2, dxfattribs=style)
    elif isinstance(item, Text):
        words = space.add_text(item.words, height=item.height * CAP, rotation=item.angle, dxfattribs=style)
        words.set_placement(item.at, align=ALIGN[item.anchor])
