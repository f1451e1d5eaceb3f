"""A job as DXF: millimetres, one layer an operation, entities in cutting order, true arcs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import ezdxf.filemanagement

from nesting.drawing.dxf import fixed_dates, set_limits, written
from nesting.drawing.machine.contours import Shape
from nesting.drawing.machine.job import MachineJob
from nesting.drawing.machine.operations import ToolLayer
from nesting.drawing.machine.path import Path, Round
from nesting.drawing.scene import Box


def job_dxf(job: MachineJob) -> str:
    """The job as a DXF (AC1024) document; the same job gives the same text."""
    with fixed_dates():
        document = new_document([operation.layer for operation in job.all], job.box)
        for operation in job.all:
            for shape in operation.shapes:
                add_shape(document.modelspace(), shape, operation.layer.name)
        return written(document)


def new_document(layers: Sequence[ToolLayer], box: Box) -> Any:
    """An empty document in millimetres with these layers, whose header tells the limits."""
    document = ezdxf.filemanagement.new("R2010", setup=False, units=4)
    document.header["$MEASUREMENT"] = 1
    for layer in layers:
        made = document.layers.add(layer.name, true_color=int(layer.colour[1:], 16))
        made.description = layer.words
    set_limits(document, box)
    return document


def add_shape(space: Any, shape: Shape, layer: str) -> None:
    """A circle as a circle, one straight edge as a line, anything else as a polyline with bulges."""
    style = {"layer": layer}
    if isinstance(shape, Round):
        space.add_circle(shape.centre, shape.diameter / 2, dxfattribs=style)
    elif len(shape.points) == 2 and not shape.closed and shape.bulges == (0.0,):
        space.add_line(*shape.points, dxfattribs=style)
    else:
        space.add_lwpolyline(_corners(shape), format="xyb", close=shape.closed, dxfattribs=style)


def _corners(path: Path) -> list[tuple[float, float, float]]:
    bulges = path.bulges if path.closed else (*path.bulges, 0.0)
    return [(x, y, bulge) for (x, y), bulge in zip(path.points, bulges, strict=True)]
