"""A hide as the content of a hide file, in the hide's own units."""

from __future__ import annotations

from typing import Any

from hides.hide import Flaw, Hide, HidePhoto, Ring, Segment, Thickness, Zone
from hides.units import LENGTH_UNITS, OUNCE, area

FORMAT = "hideplan-hide-1"
DIGITS = 9


def hide_to_data(hide: Hide) -> dict[str, Any]:
    """The content of a hide file; fields that hold their default are left out, besides those every reader wants."""
    unit = LENGTH_UNITS[hide.units]
    price = hide.price and {"per_area": hide.price.per_area, "unit": hide.price.unit, "currency": hide.price.currency}
    data = {
        "format": FORMAT,
        "name": hide.name,
        "units": hide.units,
        "cut": hide.cut,
        "estimate": hide.estimate or None,
        "leather": hide.leather or None,
        "colour": hide.colour or None,
        "lot": hide.lot or None,
        "parent": hide.parent or None,
        "photo": _photo(hide.photo, unit),
        "grade": hide.grade.label,
        "thickness": _thickness(hide.thickness),
        "edge": _number(hide.edge, unit),
        "area": None if hide.area is None else _area(hide.area),
        "price": price,
        "backbone": _segment(hide.backbone, unit),
        "outline": _points(hide.outline, unit),
        "holes": [_points(ring, unit) for ring in hide.holes] or None,
        "flaws": [_flaw(flaw, unit) for flaw in hide.flaws],
        "zones": [_zone(zone, unit) for zone in hide.zones],
    }
    return {name: value for name, value in data.items() if value is not None}


def _flaw(flaw: Flaw, unit: float) -> dict[str, Any]:
    return {
        "kind": flaw.kind,
        "grade": flaw.grade.label,
        "clearance": _number(flaw.clearance, unit),
        "outline": _points(flaw.outline, unit),
    }


def _zone(zone: Zone, unit: float) -> dict[str, Any]:
    data = {
        "name": zone.name,
        "grade": zone.grade.label,
        "thickness": _thickness(zone.thickness),
        "backbone": _segment(zone.backbone, unit),
        "outline": _points(zone.outline, unit),
    }
    return {name: value for name, value in data.items() if value is not None}


def _photo(photo: HidePhoto | None, unit: float) -> dict[str, Any] | None:
    return None if photo is None else {"file": photo.file, "box": [_number(each, unit) for each in photo.box]}


def _segment(segment: Segment | None, unit: float) -> list[list[float]] | None:
    return None if segment is None else _points(segment, unit)


def _points(points: Ring | Segment, unit: float) -> list[list[float]]:
    return [[_number(x, unit), _number(y, unit)] for x, y in points]


def _number(mm: float, unit: float) -> float:
    """A length in the file's unit, with more digits than it is held to; whole numbers without a point."""
    value = round(mm / unit, DIGITS)
    return int(value) if value == int(value) else value


def _thickness(value: Thickness | None) -> str | list[float] | None:
    """In ounces where it was given in whole or half ounces, else in mm; always to read back the same."""
    if value is None:
        return None
    low, high = (round(2 * mm / OUNCE) / 2 for mm in (value.low, value.high))
    if (low * OUNCE, high * OUNCE) == (value.low, value.high):
        return f"{low:g} oz" if low == high else f"{low:g}-{high:g} oz"
    return [value.low, value.high]


def _area(mm2: float) -> str:
    """In quarters of a square foot where it is so marked, else in mm²; always to read back the same."""
    feet = f"{round(mm2 / 92903.04 * 4) / 4:g} sq ft"
    if round(mm2 / 92903.04 * 4) > 0 and area(feet) == mm2:
        return feet
    return f"{mm2!r} mm2"
