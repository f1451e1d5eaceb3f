"""The leathers file (TOML, format hideplan-leathers-1; described in nesting/FORMATS.md), read strictly."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from hides.errors import InputError
from hides.fields import Fields, told, unknown
from hides.hide import CUTS, Grade, Hide, Thickness, Zone
from hides.hide_file import read_hide
from hides.typical import typical_hide
from hides.typical_flaws import with_typical_flaws
from hides.units import area, area_unit, read_number, thickness
from nesting.compare.leather import Leather
from nesting.project.toml_file import read_toml

FORMAT = "hideplan-leathers-1"
FIELDS = (
    "name", "thickness", "price", "freight", "discrepancy", "density", "colour", "grades", "hides", "typical",
    "splitting", "finish", "tax", "pack", "labour",
)  # fmt: skip
LIGHTEST, HEAVIEST = 300.0, 1500.0
"""Densities of leather lie well inside these, kg/m³; beyond them a unit was mistaken."""
MOST_LEATHERS = 50
MOST_HIDES = 50


def read_leathers(path: Path | str) -> tuple[Leather, ...]:
    """The leathers of a file with their sample hides; all are priced in one currency.

    Raises InputError that names the file, the leather, the field and what would be right.

    >>> from importlib.resources import files
    >>> [leather.name for leather in read_leathers(str(files("nesting") / "scenario" / "leathers.toml"))][:1]
    ['bridle side, 10-11 oz']
    """
    path = Path(path)
    data = read_toml(path, "a leathers file")
    fields = Fields.of_format(data, FORMAT, ("format", "leather"), str(path), f'a leathers file says "{FORMAT}"')
    rows = fields.items("leather")
    if not 0 < len(rows) <= MOST_LEATHERS:
        raise fields.wrong("leather", f"there are {len(rows)} leathers", f"write from 1 to {MOST_LEATHERS} [[leather]]")
    leathers = tuple(_leather(row, index, path) for index, row in enumerate(rows, 1))
    _refuse_doubles(fields, leathers)
    _refuse_mixed_currencies(fields, leathers)
    return leathers


def _leather(row: object, index: int, path: Path) -> Leather:
    fields = Fields.of(row, FIELDS, str(path), f"leather {index}")
    name = fields.text("name")
    fields = Fields(fields.data, str(path), f"leather “{name}”")
    with fields.reading("thickness") as value:
        thick = thickness(value)
    price = _price(fields)
    per_area, per_hide = _freight(fields)
    leather = Leather(
        name=name,
        thickness=thick,
        **price,
        freight_per_area=per_area,
        freight_per_hide=per_hide,
        discrepancy=_discrepancy(fields),
        density=_density(fields),
        colour=fields.text("colour", ""),
        grades=_grades(fields),
        splitting=_for_area(fields, "splitting"),
        finish=_for_area(fields, "finish"),
        tax=fields.number("tax", 0.0, low=0, high=100) / 100,
        pack=fields.whole("pack", 1, low=1, high=1000),
        labour=fields.number("labour", 1.0, low=0.1, high=10),
    )
    return replace(leather, hides=_samples(fields, leather, path.parent))


def _price(fields: Fields) -> dict[str, Any]:
    table = Fields.of(
        fields.required("price"),
        ("per_area", "per_hide", "unit", "currency"),
        fields.where,
        f"{fields.path}.price",
    )
    if table.has("per_area") == table.has("per_hide"):
        raise table.wrong("per_area", "or per_hide must be given, and not both", "give one of them")
    money = {"currency": table.text("currency")}
    if table.has("per_hide"):
        if table.has("unit"):
            raise table.wrong("unit", "belongs to per_area", "leave it out")
        return {**money, "per_hide": _money(table, "per_hide")}
    return {**money, "per_area": _money(table, "per_area"), "unit": _unit(table)}


def _money(table: Fields, name: str) -> float:
    amount = table.number(name)
    if not 0 <= amount <= 1e7:
        raise table.wrong(name, f"{amount:g} is no price", "give one that is not below nought")
    return amount


def _unit(table: Fields) -> str:
    with table.reading("unit") as value:
        if not isinstance(value, str):
            raise InputError(f"is {told(value)}, not a unit of area", remedy='write "sq ft", "dm2" or "m2"')
        area_unit(value)
        return value


def _freight(fields: Fields) -> tuple[float, float]:
    """Freight for an area (in the price's unit) and for a hide."""
    if not fields.has("freight"):
        return 0.0, 0.0
    known = ("per_area", "per_hide", "unit")
    table = Fields.of(fields.required("freight"), known, fields.where, f"{fields.path}.freight")
    if not table.has("per_area") and not table.has("per_hide"):
        raise table.wrong("per_hide", "or per_area is missing", "give one of them, or leave freight out")
    per_hide = _money(table, "per_hide") if table.has("per_hide") else 0.0
    if not table.has("per_area"):
        return 0.0, per_hide
    own = fields.data["price"].get("unit", "sq ft")
    return _money(table, "per_area") * area_unit(own) / area_unit(_unit(table)), per_hide


def _for_area(fields: Fields, name: str) -> float:
    """What a work done on the leather costs, in the price's unit of area."""
    if not fields.has(name):
        return 0.0
    table = Fields.of(fields.required(name), ("per_area", "unit"), fields.where, f"{fields.path}.{name}")
    own = fields.data["price"].get("unit", "sq ft")
    return _money(table, "per_area") * area_unit(own) / area_unit(_unit(table))


def _discrepancy(fields: Fields) -> float:
    value = fields.number("discrepancy", 1.0)
    if not 0.5 <= value <= 1.5:
        raise fields.wrong("discrepancy", f"{value:g} is no measured over marked area", "give one near 1, such as 0.98")
    return value


def _density(fields: Fields) -> float | None:
    """kg/m³, as a number or with its unit."""
    if not fields.has("density"):
        return None
    with fields.reading("density") as value:
        if isinstance(value, str):
            return _reasonable(*_density_text(value))
        return _reasonable(fields.number("density"), str(value))


def _density_text(text: str) -> tuple[float, str]:
    number, unit = read_number(text)
    unit = re.sub(r"\s", "", unit.replace("³", "3").replace("^", "").lower())
    if unit == "g/cm3":
        return number * 1000, text
    if unit == "kg/m3":
        return number, text
    what = "a weight, and no density" if unit in ("kg", "g", "lb") else "no unit of density"
    raise InputError(f"“{text}”: “{unit}” is {what}", remedy="write a number in kg/m3, such as 900")


def _reasonable(density: float, given: str) -> float:
    if LIGHTEST <= density <= HEAVIEST:
        return density
    remedy = f"write it in kg/m3, from {LIGHTEST:g} to {HEAVIEST:g}; most leather has 400 to 1100"
    if LIGHTEST <= 1000 * density <= HEAVIEST:
        remedy = f"if that is g/cm3 (kg a litre), write {1000 * density:g}"
    raise InputError(f"{given} kg/m3 is no density of leather", remedy=remedy)


def _grades(fields: Fields) -> tuple[Grade, ...]:
    if not fields.has("grades"):
        return ()
    letters = fields.items("grades")
    usable = [grade.label for grade in Grade if grade is not Grade.NONE]
    if not letters:
        raise fields.wrong("grades", "is an empty list", f"name grades it comes in: {', '.join(usable)}")
    for letter in letters:
        if letter not in usable:
            raise unknown(f"grade {told(letter)}", str(letter), usable).within(fields.where, f"{fields.path}.grades")
    if len(set(letters)) < len(letters):
        raise fields.wrong("grades", "names a grade twice", "name each once")
    return tuple(Grade[letter] for letter in letters)


def _samples(fields: Fields, leather: Leather, folder: Path) -> tuple[Hide, ...]:
    if fields.has("hides") == fields.has("typical"):
        raise fields.wrong("hides", "or typical must be given, and not both", "give one of them")
    found = _typical(fields, leather) if fields.has("typical") else _hide_files(fields, leather, folder)
    return tuple(of_thickness(hide, leather.thickness) for hide in found)


def _hide_files(fields: Fields, leather: Leather, folder: Path) -> list[Hide]:
    names = fields.items("hides")
    if not 0 < len(names) <= MOST_HIDES:
        raise fields.wrong("hides", f"lists {len(names)} hides", f"name from 1 to {MOST_HIDES} hide files, or typical")
    found = []
    for name in names:
        if not isinstance(name, str):
            raise fields.wrong("hides", f"holds {told(name)}, not the name of a file", "name hide files")
        hide = read_hide(folder / name)
        if leather.grades and hide.grade not in leather.grades:
            problem = f"“{name}” is of grade {hide.grade.label}, and the leather's grades leave that out"
            raise fields.wrong("hides", problem, "add it to grades, or leave grades out")
        found.append(replace(hide, price=None))
    return found


def _typical(fields: Fields, leather: Leather) -> list[Hide]:
    """One typical outline for each grade the leather comes in, as large as the marked area truly measures.

    With typical flaws, unless the file asks for none.
    """
    known = ("cut", "area", "flaws", "seed")
    table = Fields.of(fields.required("typical"), known, fields.where, f"{fields.path}.typical")
    cut = table.choice("cut", CUTS)
    with table.reading("area") as value:
        marked = area(value)
    with table.reading("cut"):
        hide = replace(typical_hide(cut, marked * leather.discrepancy), area=marked, price=None)
    if table.flag("flaws", True):
        hide = with_typical_flaws(hide, table.whole("seed", 1, low=0, high=10**6))
    grades = leather.grades or (hide.grade,)
    several = len(grades) > 1
    return [replace(hide, grade=g, name=f"{hide.name}, grade {g.label}" if several else hide.name) for g in grades]


def of_thickness(hide: Hide, thick: Thickness) -> Hide:
    """The hide as if it were of another thickness; zones keep their share of the hide's own."""
    factor = thick.middle / hide.thickness.middle if hide.thickness else None
    zones = tuple(_scaled(zone, factor) for zone in hide.zones)
    return replace(hide, thickness=thick, zones=zones)


def _scaled(zone: Zone, factor: float | None) -> Zone:
    if zone.thickness is None or factor is None:
        return zone
    return replace(zone, thickness=Thickness(zone.thickness.low * factor, zone.thickness.high * factor))


def _refuse_doubles(fields: Fields, leathers: Sequence[Leather]) -> None:
    names = [leather.name for leather in leathers]
    for name in names:
        if names.count(name) > 1:
            raise fields.wrong("leather", f"two are named {told(name)}", "give each its own name")


def _refuse_mixed_currencies(fields: Fields, leathers: Sequence[Leather]) -> None:
    first = leathers[0]
    for leather in leathers:
        if leather.currency != first.currency:
            problem = f"“{leather.name}” is priced in {leather.currency} and “{first.name}” in {first.currency}"
            raise fields.wrong("leather", problem, "give all prices in one currency")
