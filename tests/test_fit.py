"""Lengths by what a piece holds, against closed forms, and functions of angles in sums."""

from __future__ import annotations

import math

import numpy as np
import pytest

from hides.errors import InputError
from nesting.project.fit import arch, around, around_box, lace, over
from nesting.project.measures import Measures


def value(text: str, t: float = 3.0) -> float:
    return Measures("mm", t).length(text)


def test_a_loop_is_as_long_as_its_middle_line() -> None:
    """Worked example, derived: d 25, t 3 is 87.96 mm."""
    assert around(25, 3) == pytest.approx(87.96, abs=0.005)
    assert value("around(25 mm, t) + 30") == pytest.approx(117.96, abs=0.005)


def test_a_box_without_height_is_a_sheet_wrapped() -> None:
    """Closed form: both faces, and half a circle of the leather's middle line at either edge."""
    assert around_box(50, 0, 4) == pytest.approx(100 + math.pi * 4)


def test_an_arch_of_half_a_circle_is_half_its_circumference() -> None:
    assert arch(100, 50, 6) == pytest.approx(math.pi * 53)


@pytest.mark.parametrize(("w", "h"), [(100, 10), (100, 80), (30, 29)])
def test_an_arch_has_the_length_of_its_circle(w: float, h: float) -> None:
    """Against the arc measured in small steps on the circle through both feet and the top."""
    r = (w * w / 4 + h * h) / (2 * h)
    start = math.atan2(r - h, w / 2) if h < r else -math.atan2(h - r, w / 2)
    turns = np.linspace(start, math.pi - start, 20_001)
    steps = np.hypot(np.diff(r * np.cos(turns)), np.diff(r * np.sin(turns)))
    assert arch(w, h, 0) == pytest.approx(steps.sum(), rel=1e-7)


def test_a_strap_over_a_roll_with_upright_sides_is_a_gate() -> None:
    """Closed form: two straight sides of (d − t)/2 and half a circle of the middle line."""
    assert over(60, 64, 4) == pytest.approx(56 + math.pi * 32)


def test_a_strap_over_a_roll_is_the_hull_of_circle_and_holes() -> None:
    """Against the convex hull of the circle and the two holes, less the flat side."""
    from shapely.geometry import MultiPoint, Point

    d, s, t = 60.0, 120.0, 4.0
    circle = Point(0, (d - t) / 2).buffer((d + t) / 2, quad_segs=20_000)
    cut = [(x, y) for x, y in circle.exterior.coords if y >= 0]
    hull = MultiPoint([*cut, (-s / 2, 0), (s / 2, 0)]).convex_hull
    assert over(d, s, t) == pytest.approx(hull.length - s, rel=1e-6)


def test_a_lace_goes_in_and_out() -> None:
    """Closed form: four pitches, and five times through 4 mm of leather and its own millimetre."""
    assert lace(5, 10, 4, 1) == 40 + 25


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("100 mm * sin(30)", 50),
        ("100 mm * cos(60)", 50),
        ("100 mm * cos(90)", 0),
        ("10 mm * tan(45)", 10),
        ("hypot(3 mm, 4 mm)", 5),
        ("1 mm * atan(1)", 45),
        ("1 mm * atan(1, -1)", 135),
        ("1 mm * asin(0.5)", 30),
        ("(50 mm + t) * pi / 180 * 2 * atan(1)", 53 * math.pi / 2),
        ("max(3 mm)", 3),
    ],
)
def test_functions_of_angles_take_and_give_degrees(text: str, mm: float) -> None:
    assert value(text) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("hypot(3 mm)", "it takes 2"),
        ("asin(2 * t / (1 mm))", "asin(6) has no value"),
        ("around_box(-40 mm, 10, t)", "what it goes round has a width and a height"),
        ("over(60, 10, t)", "the holes lie under the round thing"),
        ("arch(0, 10, t)", "an arch has a width and a height"),
        ("lace(1.5, 5, t, t)", "a lace goes through whole holes"),
        ("around(-5 mm, t)", "what it goes round has a thickness"),
        ("sin(t, t)", "it takes 1"),
    ],
)
def test_a_function_without_a_value_is_told(text: str, told: str) -> None:
    with pytest.raises(InputError) as caught:
        value(text)
    assert told in str(caught.value)


def test_a_length_may_be_named_as_a_function_is() -> None:
    measures = Measures("mm", 3.0, {"arch": 20, "over": "arch + 1"})
    measures.check_names()
    assert measures.length("arch(2 * over, arch, t) + arch") == pytest.approx(arch(42, 20, 3) + 20)
