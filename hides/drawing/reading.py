"""Drawings read from files or bytes: the right reader by the name, then loose ends joined."""

from __future__ import annotations

import math
from pathlib import Path, PurePath

from hides.bounded_file import read_bounded, refuse_larger
from hides.drawing.drawing import Drawing
from hides.drawing.joining import joined
from hides.errors import InputError
from hides.units import LARGEST

SUFFIXES = (".dxf", ".svg")
TOLERANCE = 0.05
"""How far (mm) a flattened curve may leave the drawn one."""
MOST_BYTES = 30_000_000
LARGER = "leave out what is no shape"
UNITS = ("mm", "cm", "m", "in", "ft")


def read_drawing(
    path: Path | str,
    *,
    units: str | None = None,
    fallback: str | None = None,
    block: str | None = None,
    tolerance: float = TOLERANCE,
) -> Drawing:
    """The drawing in a DXF or SVG file, in mm with y upwards.

    `units` (mm, cm, m, in, ft) overrules what the file says, `fallback` holds where it says nothing; without either
    a file that does not say is refused. `block` reads one block of a DXF (or one group or element of an SVG) as it
    is defined, instead of the whole as it is laid out. Curves are flattened to within `tolerance` mm.
    Raises InputError that names the file and what is wrong.
    """
    content = read_bounded(path, MOST_BYTES, LARGER)
    return drawing_from_bytes(content, str(path), units=units, fallback=fallback, block=block, tolerance=tolerance)


def drawing_from_bytes(
    content: bytes,
    name: str,
    *,
    units: str | None = None,
    fallback: str | None = None,
    block: str | None = None,
    tolerance: float = TOLERANCE,
) -> Drawing:
    """As `read_drawing`, from the content of a file called `name`."""
    refuse_larger(content, MOST_BYTES, name, LARGER)
    for unit in (units, fallback):
        if unit is not None and unit not in UNITS:
            raise InputError(f"“{unit}” is no unit of a drawing", where=name, remedy=f"use {', '.join(UNITS)}")
    suffix = PurePath(name).suffix.lower()
    try:
        if suffix == ".dxf":
            from hides.drawing.dxf import read_dxf as read
        elif suffix == ".svg":
            from hides.drawing.svg import read_svg as read
        else:
            raise InputError(f"“{suffix or 'no ending'}” is no drawing that can be read", remedy="give .dxf or .svg")
        drawing = read(content, units, fallback, block, tolerance)
        _refuse_odd(drawing)
    except InputError as error:
        raise error.within(name) from error
    shapes, findings = joined(drawing.shapes)
    return Drawing(shapes, drawing.marks, (*drawing.findings, *findings), name)


def parts_of(path: Path) -> list[str]:
    """What may be named as `block` of a drawing: the blocks of a DXF, the named groups and elements of an SVG."""
    content = read_bounded(path, MOST_BYTES, LARGER)
    if path.suffix.lower() == ".dxf":
        from hides.drawing.dxf import dxf_parts as parts
    else:
        from hides.drawing.svg import svg_parts as parts
    return list(dict.fromkeys(parts(content)))


def _refuse_odd(drawing: Drawing) -> None:
    if not drawing.shapes and not drawing.marks:
        raise InputError("holds no shape", remedy="draw the outline as lines, curves or polylines")
    for shape in drawing.shapes:
        for x, y in shape.points:
            if not (math.isfinite(x) and math.isfinite(y)):
                raise InputError("holds a point that is not finite", field=shape.names.told, remedy="draw it anew")
            if max(abs(x), abs(y)) > LARGEST:
                raise InputError(
                    f"point [{x:.6g}, {y:.6g}] mm is more than a kilometre away",
                    field=shape.names.told,
                    remedy="look at the drawing's units",
                )
