"""DXF drawings, read with ezdxf: lines, arcs, circles, ellipses, splines, polylines with bulges, points, blocks.

Layers of patterns after ASTM D6673-10 are kept as they are named: 1 boundary, 7 grain line, 11 internal cutout,
13 drill holes; its blocks are read by name, one a piece.
"""

from __future__ import annotations

import logging
import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from io import BytesIO

from ezdxf import recover
from ezdxf.document import Drawing as Document
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.insert import Insert
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.polyline import Polyline
from ezdxf.entities.spline import Spline
from ezdxf.math import Vec2, Vec3, bulge_to_arc

from hides.drawing.drawing import Drawing, DrawnCircle, DrawnShape, Mark, Names
from hides.drawing.spline import spline_points
from hides.errors import InputError
from hides.fields import unknown
from hides.finding import Finding
from hides.hide import Point
from hides.units import LARGEST, LENGTH_UNITS

INSUNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m", 10: "yd", 14: "dm"}
_MILLIMETRES = {**LENGTH_UNITS, "dm": 100.0}
MOST_ENTITIES = 50_000
DEEPEST = 16
SPLINE_FRAME = 16
"""Flag of a polyline's vertex that only steers a curve."""
_PLAIN = {"LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE", "POINT"}


def read_dxf(content: bytes, units: str | None, fallback: str | None, block: str | None, tolerance: float) -> Drawing:
    """The drawing in a DXF file; the arguments are those of `read_drawing`. Loose ends are not joined yet."""
    document, findings = _document(content)
    unit = _unit(document, units, fallback, findings)
    reader = _DxfReader(document, _MILLIMETRES[unit], tolerance)
    layout = _block(document, block) if block is not None else _whole(document, findings)
    _refuse_endless(document, layout)
    for entity in layout:
        _read(reader, entity, block or "")
    findings.extend(reader.passed_over())
    return Drawing(tuple(reader.shapes), tuple(reader.marks), tuple(findings))


def _read(reader: _DxfReader, entity: DXFEntity, block: str) -> None:
    try:
        reader.read(entity, block)
    except InputError:
        raise
    except Exception as error:  # a damaged entity can make the library raise anything
        layer = _layer(entity)
        problem = f"a {entity.dxftype()[:40]} on layer “{layer}” cannot be drawn"
        raise InputError(problem, remedy="draw it anew") from error


def _layer(entity: DXFEntity) -> str:
    """The layer of an entity; one of a kind that nobody knows has none."""
    return str(entity.dxf.get("layer", "0")) if entity.dxf.is_supported("layer") else "0"


def _document(content: bytes) -> tuple[Document, list[Finding]]:
    if content.startswith(b"AutoCAD Binary DXF"):
        raise InputError("is a binary DXF", remedy="save it as a text (ASCII) DXF")
    if b"SECTION" not in content:
        raise InputError("is no DXF drawing", remedy="export it anew as DXF")
    logging.getLogger("ezdxf").setLevel(logging.CRITICAL)
    try:
        document, auditor = recover.read(BytesIO(content))
    except Exception as error:  # a damaged file can make the library raise anything
        reason = " ".join(str(error).split())[:100] or type(error).__name__
        raise InputError(f"is no DXF drawing that can be read ({reason})", remedy="export it anew as DXF") from error
    count = len(auditor.errors)
    told = [Finding("damaged", f"the drawing is damaged in {count} places; look at what was read")] if count else []
    return document, told


def _unit(document: Document, units: str | None, fallback: str | None, findings: list[Finding]) -> str:
    number = int(document.header.get("$INSUNITS", 0))
    stated = INSUNITS.get(number) or _pattern_units(document)
    if number and not stated and units is None:
        problem = f"states a unit that nothing of leather is drawn in ($INSUNITS {number})"
        raise InputError(problem, remedy="save it in mm, cm, m, inches or feet")
    if units is not None:
        if stated and stated != units:
            findings.append(Finding("units-overruled", f"the drawing says {stated}; it is read in {units} as asked"))
        return units
    unit = stated or fallback
    if unit is None:
        raise InputError("does not say its unit", remedy="say it with --units mm, cm or in")
    return unit


def _pattern_units(document: Document) -> str | None:
    """What a pattern's text says: ASTM D6673 writes “UNITS: METRIC” (mm) or “UNITS: ENGLISH” (in), from memory."""
    for text in _texts(document):
        match = re.match(r"\s*UNITS\s*:\s*(METRIC|ENGLISH)", str(text.dxf.get("text", "")), re.IGNORECASE)
        if match:
            return "mm" if match.group(1).upper() == "METRIC" else "in"
    return None


def _texts(document: Document) -> Iterator[DXFEntity]:
    for layout in (document.modelspace(), *document.blocks):
        yield from layout.query("TEXT")


def _block(document: Document, name: str) -> Iterable[DXFEntity]:
    names = _own_blocks(document)
    for each in names:
        if each.lower() == name.lower():
            return document.blocks.get(each)
    raise unknown(f"block “{name}”", name, names or ("the drawing has no blocks",))


def _own_blocks(document: Document) -> list[str]:
    return [block.name for block in document.blocks if not block.name.startswith("*") and len(block)]


def dxf_parts(content: bytes) -> list[str]:
    """The blocks of a DXF file by name."""
    return _own_blocks(_document(content)[0])


def _whole(document: Document, findings: list[Finding]) -> Iterable[DXFEntity]:
    """What is laid out; where nothing is, the one block there is."""
    space = document.modelspace()
    if len(space):
        return space
    names = _own_blocks(document)
    if not names:
        raise InputError("holds no shape", remedy="draw the outline as lines, curves or polylines")
    if len(names) > 1:
        raise InputError(
            f"lays nothing out and has {len(names)} blocks ({', '.join(names[:6])})", remedy="name one of them"
        )
    findings.append(Finding("block-taken", f"nothing is laid out; its one block “{names[0]}” is taken"))
    return document.blocks.get(names[0])


def _refuse_endless(document: Document, layout: Iterable[DXFEntity]) -> None:
    """Count what all blocks come to when they are taken apart, without taking them apart."""
    counted: dict[str, int] = {}

    def total(entities: Iterable[DXFEntity], depth: int) -> int:
        if depth > DEEPEST:
            raise InputError(f"its blocks nest deeper than {DEEPEST}", remedy="explode them and save anew")
        count = 0
        for entity in entities:
            count += within(entity, depth) if isinstance(entity, Insert) else 1
        if count > MOST_ENTITIES:
            raise InputError(f"comes to more than {MOST_ENTITIES} entities", remedy="leave out what is no shape")
        return count

    def within(insert: Insert, depth: int) -> int:
        name = str(insert.dxf.name).lower()
        if name not in counted:
            counted[name] = total(document.blocks.get(name) or (), depth + 1)
        return (1 + counted[name]) * insert.mcount

    total(layout, 0)


def bulged(start: Vec2, end: Vec2, bulge: float, tolerance: float) -> list[Vec2]:
    """The points between `start` and `end` on a polyline's arc; its bulge is the tangent of a quarter of the angle."""
    if start.isclose(end):
        return []
    centre, first, last, radius = bulge_to_arc(start, end, bulge)
    span = (last - first) % math.tau
    step = 2 * math.acos(max(1 - tolerance / radius, 0.0))
    count = max(2, math.ceil(span / max(step, 1e-3)))
    turns = [first + span * i / count for i in range(1, count)]
    points = [centre + Vec2.from_angle(turn, radius) for turn in turns]
    return points if bulge > 0 else points[::-1]


def _is_3d(entity: DXFEntity) -> bool:
    return isinstance(entity, Polyline) and bool(entity.is_3d_polyline)


class _DxfReader:
    """Collects shapes and marks from entities, blocks taken apart."""

    def __init__(self, document: Document, unit: float, tolerance: float) -> None:
        self.unit = unit
        self.tolerance = tolerance / unit
        self.shapes: list[DrawnShape] = []
        self.marks: list[Mark] = []
        self.hidden = {layer.dxf.name.lower() for layer in document.layers if layer.is_off() or layer.is_frozen()}
        self.skipped: Counter[str] = Counter()

    def read(self, entity: DXFEntity, block: str) -> None:
        """Take one entity; `block` is the innermost block it stands in."""
        kind = entity.dxftype()
        if _layer(entity).lower() in self.hidden:
            self.skipped[f"{kind} on a layer that is switched off"] += 1
        elif isinstance(entity, Insert):
            self._insert(entity)
        elif kind in _PLAIN:
            self._plain(entity, kind, Names(str(entity.dxf.get("layer", "0")), "", block))
        else:
            self.skipped[kind] += 1

    def passed_over(self) -> list[Finding]:
        """A finding for each kind of entity that is no shape."""
        return [Finding("passed-over", f"{count} × {kind} passed over") for kind, count in sorted(self.skipped.items())]

    def _insert(self, insert: Insert) -> None:
        layer = insert.dxf.get("layer", "0")
        for single in insert.multi_insert() if insert.mcount > 1 else (insert,):
            for part in single.virtual_entities():
                if part.dxf.get("layer", "0") == "0":
                    part.dxf.layer = layer
                self.read(part, insert.dxf.name)

    def _plain(self, entity: DXFEntity, kind: str, names: Names) -> None:
        if kind == "POINT":
            self.marks.append(Mark(self._point(entity.dxf.location), names))
            return
        points, closed = self._flattened(entity, kind)
        points = points[:-1] if closed and len(points) > 1 and math.dist(points[0], points[-1]) < 1e-5 else points
        if len(points) > 1:
            self.shapes.append(DrawnShape(tuple(points), closed, names, self._circle(entity, kind)))

    def _flattened(self, entity: DXFEntity, kind: str) -> tuple[list[Point], bool]:
        if kind == "LINE":
            return [self._point(entity.dxf.start), self._point(entity.dxf.end)], False
        if kind in ("LWPOLYLINE", "POLYLINE"):
            return self._polyline(entity)
        if isinstance(entity, Spline):
            self._refuse_far(entity)
            points = [self._point(point) for point in spline_points(entity, self.tolerance)]
            return points, len(points) > 3 and math.dist(points[0], points[-1]) < 1e-5
        self._refuse_far(entity)
        distance = self.tolerance
        if kind in ("ARC", "CIRCLE"):
            distance = min(distance, abs(entity.dxf.radius) / 10)
            if distance == 0:
                return [], False
        points = [self._point(point) for point in entity.flattening(distance)]  # type: ignore[attr-defined]
        closed = kind == "CIRCLE" or (kind != "ARC" and len(points) > 3 and points[0] == points[-1])
        return points, closed

    def _refuse_far(self, entity: DXFEntity) -> None:
        """A curve without bounds would be refined without end."""
        if isinstance(entity, Spline):
            points = [Vec3(point) for point in (*entity.control_points, *entity.fit_points)]
        else:
            reach = entity.dxf.major_axis if entity.dxftype() == "ELLIPSE" else (entity.dxf.radius, 0, 0)
            points = [Vec3(entity.dxf.center), Vec3(reach)]
        if not all(point.magnitude * self.unit <= 2 * LARGEST for point in points):
            layer = entity.dxf.get("layer", "0")
            raise InputError(
                "a curve reaches further than a kilometre",
                field=f"{entity.dxftype()} on layer “{layer}”",
                remedy="look at the drawing's units",
            )

    def _polyline(self, entity: DXFEntity) -> tuple[list[Point], bool]:
        if isinstance(entity, LWPolyline):
            corners = [(Vec2(x, y), bulge) for x, y, bulge in entity.get_points("xyb")]
        elif isinstance(entity, Polyline) and (entity.is_2d_polyline or entity.is_3d_polyline):
            kept = [vertex for vertex in entity.vertices if not vertex.dxf.flags & SPLINE_FRAME]
            corners = [(Vec2(vertex.dxf.location), vertex.dxf.get("bulge", 0.0)) for vertex in kept]
        else:
            self.skipped["mesh"] += 1
            return [], False
        closed = bool(entity.is_closed)
        flat: list[Vec2] = []
        for place, (start, bulge) in enumerate(corners):
            flat.append(start)
            if bulge and (closed or place + 1 < len(corners)):
                end = corners[(place + 1) % len(corners)][0]
                flat.extend(bulged(start, end, bulge, self.tolerance))
        to_wcs = entity.ocs().to_wcs
        flat3 = [Vec3(point) for point in flat]
        return [self._point(point if _is_3d(entity) else to_wcs(point)) for point in flat3], closed

    def _circle(self, entity: DXFEntity, kind: str) -> DrawnCircle | None:
        if kind != "CIRCLE":
            return None
        return DrawnCircle(self._point(entity.ocs().to_wcs(entity.dxf.center)), 2 * entity.dxf.radius * self.unit)  # type: ignore[attr-defined]

    def _point(self, point: object) -> Point:
        return round(point.x * self.unit, 6) + 0.0, round(point.y * self.unit, 6) + 0.0  # type: ignore[attr-defined]
