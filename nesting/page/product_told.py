"""What the product bench shows of a project's text: every piece with its outline, measures and handles, and what is
wrong, with the piece and the field it concerns.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import shapely

from hides.errors import InputError
from hides.hide import Point
from nesting.making.joints import Misfit, Use, fastener_remarks, joint_remarks, misfits, uses
from nesting.model.choice import Choice
from nesting.model.product import Piece, Product
from nesting.project.contour import Contour
from nesting.project.editing import path_words, read_text, value_at
from nesting.project.handles import Handle
from nesting.project.overview import SeenPiece, overview

FINE = 0.02
"""How far (mm) a drawn edge may stand off the true one."""
_NAMED = re.compile(r"(piece|joint|seam|fastener|leather) “(.*?)”\.?(.*)", re.DOTALL)
_OTHER_HAND = (" left", " right", *(f" {number}" for number in range(1, 5)))


def told(text: str, path: Path, t: float, leather: str = "", chosen: dict[str, Any] | None = None) -> dict[str, Any]:
    """A project's text as the bench shows it, in leather `t` mm thick. Raises nothing a person can mend."""
    try:
        data = read_text(text)
    except InputError as error:
        return {"unreadable": True, "problem": {"line": str(error), "field": "", "problem": str(error), "remedy": ""}}
    seen = overview(data, path, t, chosen, leather)
    names = [piece.name for piece in seen.pieces]
    making = _making(seen.product, t) if seen.product else {"joints": [], "off": [], "remarks": []}
    return {
        "unreadable": False,
        "name": data.get("name", ""),
        "units": seen.units,
        "problem": _problem(seen.problem, names, path.name),
        "pieces": [_piece(piece, i, names, path.name) for i, piece in enumerate(seen.pieces)],
        "choices": [_choice(choice) for choice in seen.choices],
        "leathers": [{"name": each.name, "t": each.t} for each in seen.leathers],
        "tables": {key: value for key, value in data.items() if key != "piece"},
        "findings": [str(finding) for finding in seen.findings],
        **making,
    }


def _making(product: Product, t: float) -> dict[str, Any]:
    """Joints with their stacks and fasteners, and holes that do not agree."""
    making = product.making
    found = uses(product, making, t)
    remarks = [*joint_remarks(product, making), *fastener_remarks(found)]
    return {
        "joints": [_joint(use, [each for each in remarks if each.joint == use.joint.name]) for use in found],
        "off": [_off(each) for each in misfits(product, making)],
        "remarks": [{"joint": each.joint, "text": each.text, "fault": each.fault} for each in remarks],
        "seams": [
            {"name": seam.name, "sides": [{"piece": s.piece, "length": round(s.length, 2)} for s in seam.sides]}
            for seam in making.seams
        ],
    }


def _off(each: Misfit) -> dict[str, Any]:
    return {"joint": each.joint, "piece": each.piece, "at": _point(each.at), "off": round(each.off, 3)}


def _joint(use: Use, remarks: Sequence[Any]) -> dict[str, Any]:
    return {
        "name": use.joint.name,
        "stack": round(use.stack, 2),
        "fastener": use.fastener.name if use.fastener else "",
        "size": use.size.name if use.size else "",
        "number": round(use.amount, 3),
        "fault": any(each.fault for each in remarks),
        "layers": [{"piece": layer.piece, "groups": layer.groups} for layer in use.joint.layers],
    }


def _problem(error: InputError | None, names: Sequence[str], file: str) -> dict[str, Any] | None:
    """An error with the number of the piece it is about (None: no piece), and the field within it."""
    if error is None:
        return None
    plain = InputError(error.problem, where="", field=error.field, remedy=error.remedy)
    found = _NAMED.fullmatch(error.field)
    kind, name, field = found.groups() if found else ("", "", error.field)
    piece = _table_number(name, names) if kind == "piece" else _counted(error.field)
    if piece is not None and kind != "piece":
        field = error.field.partition(".")[2]
    return {
        "line": str(plain),
        "kind": kind,
        "name": name,
        "piece": piece,
        "field": field.strip("."),
        "problem": error.problem,
        "remedy": error.remedy,
    }


def _counted(field: str) -> int | None:
    """The number of a piece that has no name yet: “piece 2”."""
    found = re.match(r"piece (\d+)", field)
    return int(found[1]) - 1 if found else None


def _table_number(name: str, names: Sequence[str]) -> int | None:
    for told_name in (name, *(name.removesuffix(end) for end in _OTHER_HAND)):
        if told_name in names:
            return names.index(told_name)
    return None


def _piece(seen: SeenPiece, index: int, names: Sequence[str], file: str) -> dict[str, Any]:
    return {
        "index": index,
        "name": seen.name,
        "table": seen.table,
        "problem": _problem(seen.problem, names, file),
        "made": [_made(piece) for piece in seen.pieces],
        "edges": _edges(seen.contour) if seen.contour else [],
        "handles": [_handle(each, seen.table) for each in seen.handles],
    }


def _made(piece: Piece) -> dict[str, Any]:
    west, south, east, north = piece.polygon.bounds
    return {
        "name": piece.name,
        "count": piece.count,
        "outline": _points(piece.outline),
        "cutouts": [_points(ring) for ring in piece.cutouts],
        "holes": [{"at": _point(hole.at), "diameter": hole.diameter, "group": hole.group} for hole in piece.holes],
        "lines": [{"kind": line.kind, "points": _points(line.points), "name": line.name} for line in piece.lines],
        "finished": _points(piece.finished) if piece.finished else None,
        "covered": [{"outline": _points(each.outline), "grade": each.grade.label} for each in piece.covered],
        "size": [round(east - west, 3), round(north - south, 3)],
        "area": round(piece.area, 1),
        "grade": piece.grade.label,
        "along": piece.along.value,
    }


def _edges(contour: Contour) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    for edge in contour.edges:
        line = shapely.LineString(edge.points)
        told_points = [_point(p) for p in shapely.simplify(line, FINE).coords]
        found.append({"name": edge.name, "points": told_points, "length": round(line.length, 2)})
    return found


def _handle(handle: Handle, table: dict[str, Any]) -> dict[str, Any]:
    values = [None if path is None else value_at(table, path) for path in (handle.x, handle.y)]
    return {
        "kind": handle.kind,
        "at": _point(handle.at),
        "x": handle.x,
        "y": handle.y,
        "fields": [None if path is None else path_words(path) for path in (handle.x, handle.y)],
        "values": values,
        "scale": handle.scale,
        "corner": handle.corner,
    }


def _choice(choice: Choice) -> dict[str, Any]:
    return {"name": choice.name, "kind": choice.kind, "told": choice.told, "words": list(choice.words)}


def _point(point: Point) -> list[float]:
    return [round(point[0], 4), round(point[1], 4)]


def _points(points: Sequence[Point]) -> list[list[float]]:
    return [_point(point) for point in points]
