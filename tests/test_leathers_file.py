"""The leathers file: what it says is read, and every slip is told in one line with file, field and remedy."""

from __future__ import annotations

from pathlib import Path

import pytest
from leathers import LEATHER, SQ_FT, leathers, leathers_file

from hides.errors import InputError
from hides.hide import Grade
from nesting.compare.leathers_file import read_leathers

SCENARIO = Path(__file__).resolve().parents[1] / "nesting" / "scenario"


def test_a_leather_is_read_with_its_samples(tmp_path: Path) -> None:
    (one,) = leathers(tmp_path)
    assert (one.name, one.currency, one.density) == ("bridle", "EUR", 900)
    assert one.thickness.low == pytest.approx(10 * 25.4 / 64)
    assert one.hides[0].thickness == one.thickness
    assert one.hides[0].price is None
    assert not one.estimate


def test_a_typical_outline_measures_the_marked_area_times_the_discrepancy(tmp_path: Path) -> None:
    text = LEATHER.replace(
        'hides = ["board.json"]', 'typical = { cut = "side", area = "22 sq ft" }\ndiscrepancy = 0.95'
    )
    (one,) = leathers(tmp_path, text)
    (hide,) = one.hides
    assert one.estimate
    assert hide.measured_area == pytest.approx(0.95 * 22 * SQ_FT, rel=1e-6)
    assert one.landed_cost(hide) == pytest.approx(22 * 9.5)


def test_a_typical_outline_is_tried_in_every_grade_it_comes_in(tmp_path: Path) -> None:
    text = LEATHER.replace(
        'hides = ["board.json"]', 'typical = { cut = "bend", area = "10 sq ft" }\ngrades = ["A", "C"]'
    )
    (one,) = leathers(tmp_path, text)
    assert [hide.grade for hide in one.hides] == [Grade.A, Grade.C]
    assert len({hide.name for hide in one.hides}) == 2


@pytest.mark.parametrize("density", ['"0.9 g/cm3"', '"900 kg/m3"', '"900 kg/m³"', "900.0"])
def test_a_density_may_carry_its_unit(tmp_path: Path, density: str) -> None:
    assert leathers(tmp_path, LEATHER.replace("density = 900", f"density = {density}"))[0].density == pytest.approx(900)


def test_freight_by_another_unit_of_area_than_the_price_is_converted(tmp_path: Path) -> None:
    (one,) = leathers(tmp_path, LEATHER + 'freight = { per_area = 10, unit = "m2", per_hide = 3 }\n')
    (hide,) = one.hides
    assert one.freight(hide) == pytest.approx(3 + 10 * 0.6)
    assert one.landed_cost(hide) == pytest.approx(3 + 6 + 9.5 * 600_000 / SQ_FT)


def test_a_zone_keeps_its_share_of_the_hides_thickness(tmp_path: Path) -> None:
    for leather in read_leathers(SCENARIO / "leathers.toml"):
        for hide in leather.hides:
            assert hide.thickness == leather.thickness
            assert all(z.thickness.high <= leather.thickness.high + 1e-9 for z in hide.zones if z.thickness)


BAD = {
    "unknown field": ("density = 900", "densty = 900", "leather 1", "did you mean “density”?"),
    "kilograms": ("density = 900", 'density = "900 kg"', "density", "kg/m3"),
    "grams a cubic centimetre": ("density = 900", "density = 0.9", "density", "write 900"),
    "a weight of nothing": ("density = 900", "density = 0", "density", "from 300 to 1500"),
    "no number": ("density = 900", 'density = "heavy"', "density", "number"),
    "negative price": ("per_area = 9.5", "per_area = -9.5", "price.per_area", "not below nought"),
    "text price": ("per_area = 9.5", 'per_area = "9.5"', "price.per_area", "not a number"),
    "no price": ("per_area = 9.5, ", "", "price.per_area", "give one of them"),
    "two prices": ("per_area = 9.5", "per_area = 9.5, per_hide = 200", "price.per_area", "not both"),
    "unit of a price by hide": ("per_area = 9.5", "per_hide = 200", "price.unit", "leave it out"),
    "no currency": (', currency = "EUR"', "", "price.currency", "is missing"),
    "unknown unit": ('"sq ft"', '"sq feeet"', "price.unit", "sq ft"),
    "unit of length": ('"sq ft"', '"ft"', "price.unit", "use sq ft"),
    "thickness without unit": ('"10-11 oz"', '"10-11"', "thickness", "unit of thickness"),
    "thickness the wrong way": ('"10-11 oz"', '"11-10 oz"', "thickness", "low and high"),
    "empty hides": ('hides = ["board.json"]', "hides = []", "hides", "from 1"),
    "hides as a text": ('hides = ["board.json"]', 'hides = "board.json"', "hides", "square brackets"),
    "hides as numbers": ('hides = ["board.json"]', "hides = [1]", "hides", "hide files"),
    "missing hide file": ('"board.json"', '"bord.json"', "bord.json", "cannot be read"),
    "neither hides nor typical": ('hides = ["board.json"]', "", "hides", "give one of them"),
    "cut without an outline": (
        'hides = ["board.json"]', 'typical = { cut = "wing", area = "9 sq ft" }', "typical.cut", "unknown",
    ),
    "offcut as typical": (
        'hides = ["board.json"]', 'typical = { cut = "offcut", area = "9 sq ft" }', "typical.cut", "unknown",
    ),
    "typical without area": ('hides = ["board.json"]', 'typical = { cut = "side" }', "typical.area", "is missing"),
    "area without unit": ('hides = ["board.json"]', 'typical = { cut = "side", area = "9" }', "typical.area", "unit"),
    "empty grades": ("density = 900", "grades = []", "grades", "empty"),
    "unknown grade": ("density = 900", 'grades = ["E"]', "grades", "known: A, B, C, D"),
    "grade twice": ("density = 900", 'grades = ["A", "A"]', "grades", "once"),
    "sample of another grade": ("density = 900", 'grades = ["B"]', "hides", "leave grades out"),
    "discrepancy in per cent": ("density = 900", "discrepancy = 98", "discrepancy", "0.98"),
    "freight without figure": ("density = 900", "freight = {}", "freight.per_hide", "leave freight out"),
    "negative freight": ("density = 900", "freight = { per_hide = -1 }", "freight.per_hide", "not below nought"),
    "freight by area without unit": ("density = 900", "freight = { per_area = 1 }", "freight.unit", "is missing"),
    "endless number": ("density = 900", "density = inf", "density", "finite"),
    "no name": ('name = "bridle"', "", "leather 1.name", "is missing"),
}  # fmt: skip


@pytest.mark.parametrize("slip", BAD)
def test_a_slip_is_told_in_one_line_with_file_field_and_remedy(tmp_path: Path, slip: str) -> None:
    old, new, field, remedy = BAD[slip]
    assert old in LEATHER
    with pytest.raises(InputError) as caught:
        leathers(tmp_path, LEATHER.replace(old, new))
    line = str(caught.value)
    assert str(tmp_path) in line
    assert field in line
    assert remedy in line
    assert "\n" not in line


WHOLE = {
    "no leathers": ("", "leather"),
    "empty list": ("leather = []\n", "from 1"),
    "leather as a table": ("[leather]\nname = 'x'\n", "square brackets"),
    "not TOML": ("[[leather\n", "TOML"),
    "unknown table": (LEATHER + "[extra]\na = 1\n", "extra"),
    "two of one name": (LEATHER + LEATHER, "two are named"),
    "two currencies": (LEATHER + LEATHER.replace("bridle", "chrome").replace("EUR", "SEK"), "one currency"),
}


@pytest.mark.parametrize("slip", WHOLE)
def test_a_slip_of_the_whole_file_is_told(tmp_path: Path, slip: str) -> None:
    text, words = WHOLE[slip]
    with pytest.raises(InputError, match=words) as caught:
        leathers(tmp_path, text)
    assert str(tmp_path / "leathers.toml") in str(caught.value)


def test_a_missing_file_and_another_format_are_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_leathers(tmp_path / "none.toml")
    path = leathers_file(tmp_path)
    path.write_text(path.read_text("utf-8").replace("leathers-1", "leathers-2"), "utf-8")
    with pytest.raises(InputError, match="format: is “hideplan-leathers-2”"):
        read_leathers(path)
