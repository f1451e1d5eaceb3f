"""Typical outlines: scaled to the area, parted as the trade parts a hide, and never passed off as measured."""

from __future__ import annotations

import pytest
from shapely.geometry import Polygon, box

from hides.errors import InputError
from hides.hide import Grade
from hides.hide_file import hide_from_data, hide_to_data
from hides.typical import ACROSS, ALONG, HALF, typical_hide

# common practice: what each cut usually measures, sq ft
USUAL = {
    "hide": 50,
    "side": 23,
    "back": 17,
    "butt": 20,
    "bend": 10.5,
    "double shoulder": 14,
    "shoulder": 7,
    "belly": 5.5,
}


@pytest.mark.parametrize(("cut", "feet"), USUAL.items())
def test_a_typical_outline_has_the_marked_area_and_says_that_it_is_an_estimate(cut: str, feet: float) -> None:
    hide = typical_hide(cut, f"{feet} sq ft")
    assert hide.measured_area == pytest.approx(feet * 92903.04, rel=1e-4)
    assert hide.area == pytest.approx(feet * 92903.04)
    assert hide.estimate
    assert hide.cut == cut
    assert hide.backbone is not None
    assert hide_from_data(hide_to_data(hide)) == hide


def test_bend_shoulder_and_belly_take_43_32_and_25_percent() -> None:
    """Common practice: the shares of one diagram of many."""
    half = Polygon(HALF)
    bend = half.intersection(box(0, 0, ACROSS, ALONG)).area
    belly = half.intersection(box(0, ALONG, 3000, 3000)).area
    assert bend / half.area == pytest.approx(0.43, abs=0.005)
    assert belly / half.area == pytest.approx(0.25, abs=0.005)
    assert (half.area - bend - belly) / half.area == pytest.approx(0.32, abs=0.005)


def test_the_butt_of_a_usual_hide_is_about_1400_by_1400_mm() -> None:
    """Common practice: a butt (croupon) of 1400 × 1400 mm, from hides of 45-55 sq ft."""
    x0, y0, x1, y1 = Polygon(typical_hide("butt", 0.43 * 47 * 92903.04).outline).bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((1400, 1400), rel=0.03)


def test_a_side_has_the_usual_weaker_zones_and_a_bend_none() -> None:
    side = typical_hide("side", "22 3/4 sq ft")
    assert {(zone.name, zone.grade) for zone in side.zones} == {
        ("belly", Grade.C),
        ("neck", Grade.B),
        ("hind shank", Grade.D),
        ("fore shank", Grade.D),
    }
    assert typical_hide("bend", "10 sq ft").zones == ()
    assert len(typical_hide("hide", "50 sq ft").zones) == 8


def test_a_hide_is_the_same_on_both_sides_of_its_backbone() -> None:
    hide = typical_hide("hide", "50 sq ft")
    (_, y), _ = hide.backbone or ((0, 0), (0, 0))
    mirrored = Polygon([(x, 2 * y - v) for x, v in hide.outline])
    assert mirrored.symmetric_difference(hide.polygon).area < 1e-3 * hide.measured_area


@pytest.mark.parametrize(
    ("cut", "area", "told"),
    [
        ("offcut", "3 sq ft", "unknown cut “offcut” of a typical hide"),
        ("sides", "20 sq ft", "did you mean “side”?"),
        ("side", "20", "“20” has no known unit of area"),
        ("side", "22 ³ sq ft", "means quarters: write 22 ³ as “22 3/4 sq ft”"),
        ("side", "0 sq ft", "is no area of leather"),
        ("side", -1.0, "is no area of leather"),
    ],
)
def test_what_has_no_typical_outline_is_refused(cut: str, area: str | float, told: str) -> None:
    with pytest.raises(InputError) as caught:
        typical_hide(cut, area)
    assert told in str(caught.value)
