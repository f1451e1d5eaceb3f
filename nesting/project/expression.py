"""Lengths written as small sums: `"pi * (80 + t) + 30"`. Read with our own evaluator; nothing is ever executed.

A sum may hold numbers, lengths with a unit (`3/8 in`), names (`pi`, `t`, the file's own lengths and choices),
`+ - * /`, brackets, `min`, `max`, `sqrt`, `hypot`, `sin`, `cos`, `tan`, `asin`, `acos`, `atan` (degrees, as all angles
are) and the fits of `nesting.project.fit`. Plain numbers in it are millimetres, as `t` is, whatever the file's units.
What it measures is kept with its value (`nesting.project.quantity`).
"""

from __future__ import annotations

import ast
import math
import operator
import re
from collections.abc import Callable

from hides.errors import InputError
from hides.units import LENGTH_UNITS, finite, length
from nesting.project.fit import FITS
from nesting.project.quantity import (
    Quantity,
    Rule,
    a_length,
    alike,
    halved,
    of_lengths,
    of_ratio,
    plain,
)

LONGEST = 200
DEEPEST = 30


def _turned(function: Callable[[float], float]) -> Callable[[float], float]:
    """A function of an angle in degrees; a quarter turn gives nought and one to the last digit."""
    return lambda degrees: round(function(math.radians(math.remainder(degrees, 360.0))), 15)


def _back(function: Callable[..., float]) -> Callable[..., float]:
    """A function that gives an angle, in degrees."""
    return lambda *sides: math.degrees(function(*sides))


FUNCTIONS: dict[str, tuple[Callable[..., float], int, int | None, Rule]] = {
    "min": (min, 1, None, alike),
    "max": (max, 1, None, alike),
    "sqrt": (math.sqrt, 1, 1, halved),
    "hypot": (math.hypot, 2, 2, alike),
    "sin": (_turned(math.sin), 1, 1, of_ratio),
    "cos": (_turned(math.cos), 1, 1, of_ratio),
    "tan": (_turned(math.tan), 1, 1, of_ratio),
    "asin": (_back(math.asin), 1, 1, of_ratio),
    "acos": (_back(math.acos), 1, 1, of_ratio),
    "atan": (_back(lambda y, x=1.0: math.atan2(y, x)), 1, 2, of_ratio),
    **{name: (fit, arity, arity, of_lengths) for name, (fit, arity) in FITS.items()},
}
"""Each function with the least and the most numbers it takes (None: as many as there are), what it measures."""
RESERVED = {"t", "pi", "min", "max", "sqrt", *LENGTH_UNITS}
"""Names that a file's own lengths and choices may not take. (A function is told from a length by its brackets.)"""

_SIGNS = str.maketrans({"×": "*", "·": "*", "÷": "/", "−": "-", "π": " pi "})
_FRACTIONS = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_UNIT = r"(?:mm|cm|m|inch(?:es)?|in|ft|feet|foot|yd)(?![A-Za-z_0-9])|[\"″'′]"
_MEASURE = re.compile(rf"(?<![A-Za-z_0-9.])(?:\d+\s+\d+/\d+|\d+/\d+|\d*\.?\d+|\d+\.)\s*[{_FRACTIONS}]?\s*(?:{_UNIT})")
_ONE_LENGTH = re.compile(rf"\s*[-+−]?[\d./\s{_FRACTIONS}]*[\d.{_FRACTIONS}]\s*[^\W\d_]*[\"″'′.]?\s*")
_OPERATORS: dict[type[ast.operator], Callable[[Quantity, Quantity], Quantity]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
}


def is_measure(text: str) -> bool:
    """Whether a text is one length with its unit (a number and at most one word), and no sum.

    >>> is_measure("5 1/2 in"), is_measure("140"), is_measure("2 * t"), is_measure("t")
    (True, True, False, False)
    """
    return not text.strip() or bool(_ONE_LENGTH.fullmatch(text))


def evaluate(text: str, value_of: Callable[[str], Quantity]) -> Quantity:
    """The value of a sum in mm, and what it measures; `value_of` gives that of each name or raises InputError.

    Raises InputError for anything that is not such a sum, for a length added to an area, for a division by zero and
    for a result that is no finite number. There are no powers, and length and depth are limited, so that no input
    takes long.
    """
    if len(text) > LONGEST:
        raise InputError(f"the sum is longer than {LONGEST} characters", remedy="split it with [lengths]")
    signed = text.translate(_SIGNS)
    marked = _MEASURE.sub(lambda match: f"({length(match.group())!r}).mm", signed)
    try:
        tree = ast.parse(marked.strip(), mode="eval")
        if marked == signed and not any(isinstance(node, ast.Name) for node in ast.walk(tree)):
            raise InputError(f"“{text}” has no unit", remedy='write a unit: "2 * 140 mm"')
        result = _value(tree.body, value_of, 0)
    except ZeroDivisionError as error:
        raise InputError(f"“{text}” divides by zero") from error
    except (SyntaxError, ValueError, RecursionError, MemoryError) as error:
        raise InputError(f"“{text}” is no sum that can be read", remedy=_EXAMPLE) from error
    finite(result.value)
    return result


_EXAMPLE = 'write it like "pi * (80 + t) + 30", with a sign between any two parts'


def _value(node: ast.expr, value_of: Callable[[str], Quantity], depth: int) -> Quantity:
    if depth > DEEPEST:
        raise InputError("the sum is nested too deeply", remedy="split it with [lengths]")
    match node:
        case ast.Constant(value=number) if isinstance(number, (int, float)) and not isinstance(number, bool):
            return plain(finite(number))
        case ast.Attribute(value=ast.Constant(value=float(mm)), attr="mm"):  # a length with its unit, marked as one
            return a_length(mm)
        case ast.Name(id=name):
            return value_of(name)
        case ast.UnaryOp(op=ast.USub() | ast.UAdd() as sign, operand=inner):
            value = _value(inner, value_of, depth + 1)
            return -value if isinstance(sign, ast.USub) else value
        case ast.BinOp(left=left, op=sign, right=right) if type(sign) in _OPERATORS:
            return _OPERATORS[type(sign)](_value(left, value_of, depth + 1), _value(right, value_of, depth + 1))
        case ast.Call(func=ast.Name(id=name), args=[_, *_] as arguments, keywords=[]) if name in FUNCTIONS:
            return _call(name, [_value(each, value_of, depth + 1) for each in arguments])
    raise InputError(f"“{ast.unparse(node)}” may not stand in a length", remedy=f"only + - * / ( ) {_FUNCTION_NAMES}")


_FUNCTION_NAMES = ", ".join(FUNCTIONS)


def _call(name: str, given: list[Quantity]) -> Quantity:
    arguments = [each.value for each in given]
    if name == "sqrt" and (len(arguments) != 1 or arguments[0] < 0):
        raise InputError("sqrt takes one number that is not below nought")
    function, least, most, rule = FUNCTIONS[name]
    if len(arguments) < least or (most is not None and len(arguments) > most):
        takes = f"{least}" if least == most else f"{least} to {most}" if most else "one or more"
        raise InputError(f"{name} is given {len(arguments)} numbers", remedy=f"it takes {takes}")
    try:
        powers = rule(*given)
    except InputError as error:
        raise InputError(f"{name}: {error.problem}", remedy=error.remedy) from error
    try:
        return Quantity(function(*arguments) if len(arguments) > 1 or most else arguments[0], powers)
    except ValueError as error:
        numbers = ", ".join(f"{each:g}" for each in arguments)
        why = f": {error}" if name in FITS else ""
        raise InputError(f"{name}({numbers}) has no value{why}", remedy="look at the numbers") from error
