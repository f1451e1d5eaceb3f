"""Sums in lengths: what may stand in them, and that nothing else is ever evaluated."""

from __future__ import annotations

import contextlib
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hides.errors import InputError, NeedsThickness
from nesting.project.expression import LONGEST, evaluate, is_measure
from nesting.project.measures import Measures
from nesting.project.quantity import a_length, plain


def value(text: str, t: float = 3.0) -> float:
    return Measures("mm", t).length(text)


@pytest.mark.parametrize(
    ("diameter", "t", "middle", "inner", "outer"),
    [(25, 3, 87.96, 78.54, 97.39)],
)
def test_a_loops_length_is_that_of_its_middle_line(
    diameter: float, t: float, middle: float, inner: float, outer: float
) -> None:
    """Worked example, derived: circles of diameter d + t, d and d + 2 t."""
    assert value(f"pi * ({diameter} + t)", t) == pytest.approx(middle, abs=0.005)
    assert value(f"pi * {diameter}", t) == pytest.approx(inner, abs=0.005)
    assert value(f"pi * ({diameter} + 2 * t)", t) == pytest.approx(outer, abs=0.005)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("t", 3),
        ("pi * (80 + t) + 30", math.pi * 83 + 30),
        ("3/8 in + t", 9.525 + 3),
        ("5 1/2 in - 2 * t", 139.7 - 6),
        ("5½ in + t", 139.7 + 3),
        ("2 cm + 1 mm", 21),
        ("2 * 140 mm", 280),
        ("2*3/8 in", 19.05),
        ("max(t, 5)", 5),
        ("min(t, 5, 4)", 3),
        ("sqrt(t * t)", 3),
        ("-t + 10", 7),
        ("π × (80 + t) ÷ 2", math.pi * 83 / 2),
        ("10 − t", 7),
        ("1/3 * t", 1),
        ("(t)", 3),
        ("sqrt(t * t + 16)", 5),
        ("sqrt(1600) + t", 43),
        ("t * t / 4 + 1", 3.25),
        ("12 mm * (4 mm / (2 mm))", 24),
        ("20 mm * sin(90 * t / (9 mm))", 10),
        ("cos(atan(40 mm, 30 mm)) * 5", 3),
        ("hypot(t, 4)", 5),
    ],
)
def test_a_sum_has_its_value_in_millimetres(text: str, mm: float) -> None:
    assert value(text) == pytest.approx(mm, abs=1e-9)


def test_plain_numbers_in_a_sum_are_millimetres_whatever_the_files_units() -> None:
    assert Measures("in", 3.0).length("t + 10") == 13
    assert Measures("in", 3.0).length(10) == 254


@pytest.mark.parametrize(
    ("text", "plain"), [("5 1/2 in", True), ("140", True), ("-3 mm", True), ("2 * t", False), ("t", False)]
)
def test_a_number_with_one_unit_is_a_length_and_no_sum(text: str, plain: bool) -> None:
    assert is_measure(text) is plain


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("140", "no unit"),
        ("2 * 140", "no unit"),
        ("140 parsec", "unknown unit"),
        ("t ** 9999999", "may not stand"),
        ("9**9**9**9 * t", "may not stand"),
        ("t % 2", "may not stand"),
        ("t // 2", "may not stand"),
        ("__import__('os').system('true')", "may not stand"),
        ("t.real", "may not stand"),
        ("[t][0]", "may not stand"),
        ("t if t else 1", "may not stand"),
        ("(lambda: t)()", "may not stand"),
        ("'a' * t", "may not stand"),
        ("True + t", "may not stand"),
        ("1j + t", "may not stand"),
        ("min()  + t", "may not stand"),
        ("min(*[t])", "may not stand"),
        ("sqrt(0 - t)", "sqrt"),
        ("sqrt(t, t)", "sqrt"),
        ("1 / (t - t)", "divides by zero"),
        ("pi * (80 + t", "no sum"),
        ("2 t", "unit"),
        ("3 * 2 t", "no sum"),
        ("t +", "no sum"),
        ("", "number"),
        ("t + d", "unknown name"),
        ("1e999 * t", "finite"),
        ("1e200 * 1e200 * t", "finite"),
        ("1e9 * t", "kilometre"),
        ("t" + " + t" * 60, "longer than"),
        ("(" * 40 + "t" + ")" * 40 + " + -" + "-" * 60 + "t", "nested"),
        ("t\n+ 1", "no sum"),
        ("t = 4", "no sum"),
        ("4 mm * 4 mm", "comes to an area"),
        ("t * t * 3", "comes to an area"),
        ("4 mm / t", "comes to a plain number"),
        ("40 mm * sin(30) / t", "comes to a plain number"),
        ("sin(30)", "comes to a plain number"),
        ("40 mm * sin(30 mm)", "sin: is given a length"),
        ("acos(t) * t", "acos: is given a length"),
        ("t + t * t", "a length and an area stand in one sum"),
        ("t + atan(1, 2)", "a length and a plain number stand in one sum"),
        ("max(t, t * t)", "max: a length and an area stand in one sum"),
        ("hypot(t, t / (3 mm))", "hypot: a length and a plain number"),
        ("around(t * t, t)", "around: is given an area"),
        ("(4.0).m + t", "may not stand"),
    ],
)
def test_what_is_no_length_is_refused_with_a_reason(text: str, told: str) -> None:
    with pytest.raises(InputError) as caught:
        value(text)
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_sum_that_uses_t_asks_for_it() -> None:
    with pytest.raises(NeedsThickness, match="thickness t"):
        Measures().length("t + 1")


def test_named_lengths_use_one_another() -> None:
    named = {"roll": "80 mm", "wrap": "pi * (roll + t)", "loop": "wrap + 30"}
    assert Measures("mm", 3, named).length("loop") == pytest.approx(math.pi * 83 + 30)


def test_named_lengths_that_go_round_in_a_circle_are_refused() -> None:
    measures = Measures("mm", 3, {"a": "b + 1", "b": "c + 1", "c": "a + 1"})
    with pytest.raises(InputError, match="a → b → c → a"):
        measures.length("a")


def test_doubling_names_are_read_once_each(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each of twelve names is twice the one before: 12 readings, not 2^12."""
    read: list[str] = []
    as_it_is = Measures._read_named
    monkeypatch.setattr(Measures, "_read_named", lambda self, name: read.append(name) or as_it_is(self, name))
    named = {"n0": 1e-3, **{f"n{k}": f"n{k - 1} + n{k - 1}" for k in range(1, 12)}}
    assert Measures("mm", 3, named).length("n11") == pytest.approx(1e-3 * 2**11)
    assert sorted(read) == sorted(named)


SUMS = st.recursive(
    st.sampled_from(["t", "pi", "2", "0.5", "10 mm", "3/8 in"]),
    lambda inner: st.builds(lambda a, sign, b: f"({a} {sign} {b})", inner, st.sampled_from("+-*/"), inner),
    max_leaves=8,
)


@settings(max_examples=150, deadline=None)
@given(SUMS, st.floats(0.5, 8))
def test_a_sum_agrees_with_pythons_own_arithmetic(text: str, t: float) -> None:
    """`eval` on a text of our own making is the reference here; the product never uses it."""
    bare = text.replace("10 mm", "10.0").replace("3/8 in", "9.525")
    try:
        expected = eval(bare, {"__builtins__": {}}, {"t": t, "pi": math.pi})
    except ZeroDivisionError:
        expected = None
    if expected is None or len(text) > LONGEST or not any(word in text for word in ("t", "pi", "mm")):
        return
    known = {"t": a_length(t), "pi": plain(math.pi)}
    with contextlib.suppress(InputError):  # a length and an area are not added
        assert evaluate(text, known.__getitem__).value == pytest.approx(expected, rel=1e-12, abs=1e-12)


LENGTHS = st.recursive(
    st.sampled_from(["t", "10 mm", "3/8 in"]),
    lambda inner: st.builds(lambda a, sign, b: f"({a} {sign} {b})", inner, st.sampled_from("+-*/"), inner),
    max_leaves=8,
)


@settings(max_examples=300, deadline=None)
@given(LENGTHS)
def test_a_sum_of_lengths_is_one_just_where_it_grows_with_its_unit(text: str) -> None:
    """Dimensional homogeneity (Bridgman 1922): all lengths twice and three times as long make a length that is so."""

    def grown(by: float) -> float:
        bare = text.replace("10 mm", f"({10 * by})").replace("3/8 in", f"({9.525 * by})")
        return float(eval(bare, {"__builtins__": {}}, {"t": 2.7 * by}))

    try:
        sizes = [grown(by) for by in (1.0, 2.0, 3.0)]
    except ZeroDivisionError:
        return
    if len(text) > LONGEST or not 1e-6 < abs(sizes[0]) < 1e6:
        return  # what comes to nought, as t * t - t * t, grows with anything
    try:
        length = Measures("mm", 2.7).length(text)
    except InputError:
        assert sizes != pytest.approx([sizes[0], 2 * sizes[0], 3 * sizes[0]], rel=1e-9) or "- " in text
        return
    assert [length, 2 * length, 3 * length] == pytest.approx(sizes, rel=1e-9)


@settings(max_examples=200, deadline=None)
@given(st.text(alphabet="tpi0123456789+-*/(). ,m½\"'x", max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    with contextlib.suppress(InputError):
        assert math.isfinite(value(text))
