"""Tables read field by field: types, ranges, nearest names."""

from __future__ import annotations

from typing import Any

import pytest

from hides.errors import InputError, NeedsThickness
from hides.fields import Fields, told, unknown

TABLE = Fields.of(
    {"name": "loop", "count": 3, "size": 2.5, "turn": True, "list": [1], "none": None},
    ("name", "count", "size", "turn", "list", "none", "more"),
    "file",
    "piece 1",
)


def test_fields_are_given_as_they_stand() -> None:
    assert (TABLE.text("name"), TABLE.whole("count"), TABLE.number("size")) == ("loop", 3, 2.5)
    assert (TABLE.flag("turn"), TABLE.items("list"), TABLE.choice("name", ("loop", "tab"))) == (True, [1], "loop")


def test_an_absent_field_has_its_default() -> None:
    assert (TABLE.text("more", "x"), TABLE.whole("more", 7), TABLE.number("more", 1.5)) == ("x", 7, 1.5)
    assert (TABLE.flag("more", False), TABLE.items("more", ()), TABLE.has("none")) == (False, (), False)


@pytest.mark.parametrize(
    ("call", "line"),
    [
        (lambda: TABLE.text("more"), "file: piece 1.more: is missing; add it"),
        (lambda: TABLE.text("count"), "file: piece 1.count: is 3, not a text; write a text in quotation marks"),
        (lambda: TABLE.whole("size"), "file: piece 1.size: is 2.5; write a whole number from 0 to 1000000"),
        (lambda: TABLE.whole("turn"), "file: piece 1.turn: is True; write a whole number from 0 to 1000000"),
        (lambda: TABLE.number("size", low=3, high=4), "file: piece 1.size: is 2.5; write a number from 3 to 4"),
        (lambda: TABLE.flag("count"), "file: piece 1.count: is 3; write true or false"),
        (lambda: TABLE.items("name"), "file: piece 1.name: is “loop”, not a list; write it in square brackets"),
        (lambda: TABLE.choice("name", ("loops", "tab")), "file: piece 1.name: unknown “loop”; did you mean “loops”?"),
        (lambda: Fields.of(3, (), "file", "x"), "file: x: is 3, not a table of fields"),
        (lambda: Fields.of({"nmae": 1}, ("name",), "file"), "file: unknown field “nmae”; did you mean “name”?"),
        (lambda: Fields.of({"zzz": 1}, ("name",), "file"), "file: unknown field “zzz”; known: name"),
    ],
)
def test_a_slip_is_told_with_file_field_and_remedy(call: Any, line: str) -> None:
    with pytest.raises(InputError) as caught:
        call()
    assert str(caught.value) == line


def test_an_error_keeps_its_kind_when_it_is_told_from_further_out() -> None:
    with pytest.raises(NeedsThickness, match=r"file: piece 1\.size: uses t"), TABLE.reading("size"):
        raise NeedsThickness("uses t")


def test_long_values_are_told_short() -> None:
    assert len(told("x" * 1000)) <= 62
    assert len(str(unknown("x" * 1000, "x" * 1000, ("name",)))) < 200


def test_a_file_of_another_kind_is_told_as_that_whatever_its_fields() -> None:
    with pytest.raises(InputError) as caught:
        Fields.of_format({"format": "hideplan-hide-1", "outline": []}, "hideplan-order-1", ("format",), "a.toml", "x")
    assert caught.value.field == "format"
    assert "hideplan-hide-1" in str(caught.value)
    for data in ({}, {"format": 3}, {"format": "hideplan-order-1", "outline": []}):
        with pytest.raises(InputError):
            Fields.of_format(data, "hideplan-order-1", ("format",), "a.toml", "x")
