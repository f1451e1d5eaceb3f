"""Lengths, areas and thicknesses as people write them, into millimetres and square millimetres.

1 in = 25.4 mm and 1 ft² = 92 903.04 mm² exactly (international yard and pound agreement, 1959).
1 leather ounce = 1/64 in (common practice).
"""

from __future__ import annotations

import math
import re

from hides.errors import InputError
from hides.hide import Thickness

LENGTH_UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8, "yd": 914.4}
AREA_UNITS = {
    "mm2": 1.0,
    "cm2": 1e2,
    "dm2": 1e4,
    "m2": 1e6,
    "sq in": 645.16,
    "sq ft": 92903.04,
    "sq yd": 836127.36,
}
FILE_UNITS = ("mm", "cm", "in")
OUNCE = 25.4 / 64
LARGEST = 1e6
"""Lengths beyond a kilometre are taken for a slip of unit; so are coordinates."""

_AREA_NAMES = {
    "mm²": "mm2", "cm²": "cm2", "dm²": "dm2", "m²": "m2", "sqft": "sq ft", "ft2": "sq ft", "ft²": "sq ft",
    "square feet": "sq ft", "square foot": "sq ft", "sf": "sq ft", "in2": "sq in", "in²": "sq in", "sqin": "sq in",
    "square inches": "sq in", "sq m": "m2", "sqm": "m2", "sq cm": "cm2", "sq dm": "dm2", "sq mm": "mm2",
}  # fmt: skip
_LENGTH_NAMES = {
    "inch": "in", "inches": "in", '"': "in", "″": "in", "feet": "ft", "foot": "ft", "'": "ft", "′": "ft",
    "millimetre": "mm", "millimetres": "mm", "centimetre": "cm", "centimetres": "cm",
}  # fmt: skip
_VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
    "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_NUMBER = re.compile(r"[+-]?(?:\d+\s+\d+/\d+|\d+/\d+|\d+\.?\d*(?:[eE][+-]?\d+)?|\.\d+)")


def read_number(text: str) -> tuple[float, str]:
    """The number a text begins with (whole, decimal, fraction or mixed) and the rest, stripped."""
    for sign, plain in _VULGAR.items():
        text = text.replace(sign, f" {plain}")
    text = text.strip().replace("−", "-")
    match = _NUMBER.match(text)
    if not match:
        raise InputError(f"“{text}” does not begin with a number")
    value = 0.0
    body = match.group()
    for part in body.lstrip("+-").split():
        top, _, bottom = part.partition("/")
        if bottom and float(bottom) == 0:
            raise InputError(f"“{body}” divides by zero")
        value += float(top) / float(bottom) if bottom else float(top)
    return (-value if body.startswith("-") else value), text[match.end() :].strip()


def length(value: object, units: str = "mm") -> float:
    """A length in mm: a number in `units`, or a string that carries its own unit.

    >>> length("5 1/2 in"), length("5½ in"), length(2, "cm"), length("0.5 ft")
    (139.7, 139.7, 20.0, 152.4)
    """
    if isinstance(value, str):
        number, unit = read_number(value)
        unit = _LENGTH_NAMES.get(unit.lower(), unit.lower())
        if unit not in LENGTH_UNITS:
            a_sum = unit[:1] in ("", "+", "-", "*", "/", "(", ")")
            problem = f"“{value}” has no unit" if a_sum else f"“{value}” has the unknown unit “{unit}”"
            raise InputError(problem, remedy='write a unit: "140 mm", "3/8 in", "5 1/2 in"')
        return _within_reason(number * LENGTH_UNITS[unit], value)
    return _within_reason(finite(value) * LENGTH_UNITS[units], value)


def area(value: object, units: str = "mm") -> float:
    """An area in mm²: a string with its unit, or a number in the square of `units`.

    >>> round(area("22 3/4 sq ft"), 2), area("211 dm2")
    (2113544.16, 2110000.0)
    """
    if isinstance(value, str):
        number, unit = read_number(value)
        mm2 = number * area_unit(unit, value)
    else:
        mm2 = finite(value) * LENGTH_UNITS[units] ** 2
    if not 0 < mm2 <= LARGEST**2:
        raise InputError(f"{value!r} is no area of leather", remedy='give a size above nought: "22 3/4 sq ft"')
    return mm2


def area_unit(name: str, context: str = "") -> float:
    """How many mm² one of the named unit is."""
    key = " ".join(name.lower().replace(".", "").split())
    key = _AREA_NAMES.get(key, key)
    if key not in AREA_UNITS:
        remedy = "use sq ft, sq in, m2, dm2, cm2 or mm2"
        if key[:1] in ("¹", "²", "³"):
            remedy = "a small figure on an invoice means quarters: write 22 ³ as “22 3/4 sq ft”"
        raise InputError(f"“{context or name}” has no known unit of area", remedy=remedy)
    return AREA_UNITS[key]


def thickness(value: object) -> Thickness:
    """A range of thickness: "10-11 oz", "4 oz", "4.0-4.4 mm", "3.2 mm", or [4.0, 4.4] in mm."""
    if isinstance(value, str):
        return _thickness_text(value)
    if isinstance(value, (list, tuple)) and len(value) == 2:
        return _thickness_range(finite(value[0]), finite(value[1]), value)
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return _thickness_range(finite(value), finite(value), value)
    raise InputError(f"{value!r} is no thickness", remedy='write "10-11 oz", "4.0-4.4 mm" or [4.0, 4.4]')


def finite(value: object) -> float:
    """A finite number, else InputError."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise InputError(f"{value!r} is not a number")
    try:
        number = float(value)
    except OverflowError as error:
        raise InputError("the number is too large") from error
    if not math.isfinite(number):
        raise InputError(f"{value!r} is not a finite number")
    return number


def _thickness_text(text: str) -> Thickness:
    low, rest = read_number(text)
    high = low
    if rest[:1] in ("-", "–", "—"):
        high, rest = read_number(rest[1:])
    units = {"oz": OUNCE, "ounce": OUNCE, "ounces": OUNCE, "mm": 1.0, "in": 25.4}
    if rest.lower() not in units:
        raise InputError(f"“{text}” has no unit of thickness", remedy='write "10-11 oz" or "4.0-4.4 mm"')
    factor = units[rest.lower()]
    return _thickness_range(low * factor, high * factor, text)


def _thickness_range(low: float, high: float, told: object) -> Thickness:
    if not 0 < low <= high <= 50:
        raise InputError(
            f"{told!r} is no thickness of leather", remedy="give low and high, above nought and below 50 mm"
        )
    return Thickness(low, high)


def _within_reason(mm: float, told: object) -> float:
    if abs(mm) > LARGEST:
        raise InputError(f"{told!r} is longer than a kilometre", remedy="look at the file's units")
    return mm
