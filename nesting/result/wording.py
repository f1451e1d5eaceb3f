"""Lengths, areas and counts as a maker reads them, in the units of the file or of the sheet."""

from __future__ import annotations

from collections.abc import Iterable

from hides.units import AREA_UNITS

INCH = 25.4


def length_text(mm: float, units: str = "mm", step: float = 0.1, part: int = 16) -> str:
    """A length without its unit: mm to the nearest `step`, cm to a tenth of it, inches to the nearest 1/`part`.

    >>> length_text(312.44), length_text(312.44, step=1), length_text(312.44, "cm"), length_text(139.7, "in")
    ('312.4', '312', '31.2', '5 1/2')
    """
    if units == "in":
        return _inches(mm, part)
    if units == "cm":
        mm, step = mm / 10, max(step, 1.0) / 10
    places = 0 if step >= 1 else 1
    text = f"{round(mm / step) * step:.{places}f}"
    text = text.removesuffix(".0")
    return "0" if text == "-0" else text


def place_text(mm: float, units: str = "mm", part: int = 32) -> str:
    """Where a mark is pricked: to half a millimetre, to 0.05 cm, or to the nearest 1/`part` of an inch.

    >>> place_text(312.44), place_text(312.44, "cm"), place_text(-139.9, "in"), place_text(-0.1)
    ('312.5', '31.25', '-5 1/2', '0')
    """
    if units == "in":
        return _inches(mm, part)
    halves = round(2 * mm) / 2 or 0.0
    return f"{halves / 10:.2f}".removesuffix("0").removesuffix(".0") if units == "cm" else f"{halves:g}"


def area_text(mm2: float, units: str = "mm") -> str:
    """An area with its unit: dm² for metric sheets, square feet for inches.

    >>> area_text(2113544.16), area_text(2113544.16, "in")
    ('211.4 dm²', '22.75 sq ft')
    """
    return f"{area_number(mm2, units)} {area_unit_name(units)}"


def area_number(mm2: float, units: str = "mm") -> str:
    """The figure of `area_text` alone."""
    return f"{mm2 / AREA_UNITS['sq ft']:.2f}" if units == "in" else f"{mm2 / AREA_UNITS['dm2']:.1f}"


def area_unit_name(units: str = "mm") -> str:
    """The unit of `area_text` alone."""
    return "sq ft" if units == "in" else "dm²"


def share_text(part: float, whole: float) -> str:
    """A part of a whole as a percentage with one decimal; of nothing it is a dash."""
    return f"{100 * part / whole:.1f} %" if whole > 0 else "–"


def money(amount: float, currency: str) -> str:
    """An amount of money with two decimals."""
    return f"{amount:,.2f} {currency}".replace(",", " ").strip()


def in_all(amounts: Iterable[float]) -> float:
    """What amounts of money come to that are each told to the cent, so that a column adds up.

    >>> in_all([152.254, 134.124])
    286.37
    """
    return sum(round(100 * amount) for amount in amounts) / 100


def count_text(number: int, noun: str, plural: str = "") -> str:
    """A number with its noun: "1 piece", "2 pieces"."""
    return f"{number} {noun if number == 1 else plural or noun + 's'}"


def _inches(mm: float, part: int) -> str:
    whole = round(abs(mm) / INCH * part)
    number, top = divmod(whole, part)
    bottom = part
    while top and top % 2 == 0:
        top, bottom = top // 2, bottom // 2
    text = " ".join(t for t in (str(number) if number or not top else "", f"{top}/{bottom}" if top else "") if t)
    return f"-{text}" if mm < 0 and whole else text
