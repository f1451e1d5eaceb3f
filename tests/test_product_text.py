"""A project file changed from the page: equal value, and nothing lost that the form does not know."""

from __future__ import annotations

import copy
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hides.errors import InputError
from nesting.project.editing import Add, Put, Take, edited, value_at
from nesting.project.toml_sections import sections_of, text_of

SCENARIO = Path(__file__).parent.parent / "nesting" / "scenario"
FORMATS = Path(__file__).parent.parent / "nesting" / "FORMATS.md"
PROJECTS = sorted(path for path in SCENARIO.glob("*.toml") if "hideplan-project" in path.read_text())
EXAMPLES = [
    block
    for block in re.findall(r"```toml\n(.*?)```", FORMATS.read_text(), re.DOTALL)
    if "hideplan-project" in block or "[[piece]]" in block
]
TEXTS = [path.read_text() for path in PROJECTS] + EXAMPLES
ODD = '''# a shop's own words
name = "Odd"   # the name
note = """
[[piece]]  no header: it stands in a text
"""
size.wide = 3

# the first
[[piece]]
name = 'tab'  # in other quotes
shape = { polygon = [[0, 0], # first
   [10, 0],   # second
   [10, 20]  # third
 ] }   # shape

# What lies on what
[[joint]]
name = "j"

[[piece]]   # late
name = "ring"
[piece.shape]
circle = 3
[[piece.holes]]
at = [0, 0]

[[piece.holes]]   # the second
at = [1, 1]
# under it

# end'''


def comments(text: str) -> list[str]:
    """Every comment of a text that has no # in its values."""
    return re.findall(r"#.*", text)


def paths(value: Any, at: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """The way to everything in a plain value."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [found for key, item in items for found in ((*at, key), *paths(item, (*at, key)))]


@pytest.mark.parametrize("text", [*TEXTS, ODD, ODD.replace("\n", "\r\n"), "", "# nothing\n", "\n[a]\nb = 1"])
def test_the_sections_of_a_text_are_the_text(text: str) -> None:
    assert text_of(sections_of(text)) == text


@pytest.mark.parametrize("text", [*TEXTS, ODD])
def test_what_is_put_anew_leaves_every_byte_but_its_own(text: str) -> None:
    """Every plain value of every project put back as it is: the same value, the same comments."""
    value = tomllib.loads(text)
    for path in paths(value):
        old = value_at(value, path)
        if not isinstance(old, (dict, list)):
            made = edited(text, [Put(path, old)])
            assert tomllib.loads(made) == value, path
            assert comments(made) == comments(text), path


@pytest.mark.parametrize("text", [*TEXTS, ODD])
@given(data=st.data())
@settings(max_examples=25, deadline=None)
def test_any_change_gives_its_value_and_keeps_the_comments(text: str, data: st.DataObject) -> None:
    value = tomllib.loads(text)
    path = data.draw(st.sampled_from(paths(value)))
    new = data.draw(st.one_of(st.integers(-99, 99), st.sampled_from(["pi * (80 + t)", 'a "b" #c', "5½ in", True, 2.5])))
    old = value_at(value, path)
    if isinstance(old, (dict, list)):
        return
    wanted = copy.deepcopy(value)
    value_at(wanted, path[:-1])[path[-1]] = new
    made = edited(text, [Put(path, new)])
    assert tomllib.loads(made) == wanted
    assert set(comments(text)) <= {each for line in made.splitlines() for each in _tails(line)}


def _tails(line: str) -> list[str]:
    return [line[i:] for i, sign in enumerate(line) if sign == "#"]


@pytest.mark.parametrize("text", [path.read_text() for path in PROJECTS])
def test_every_field_of_every_piece_can_be_taken_and_given_again(text: str) -> None:
    value = tomllib.loads(text)
    for i, piece in enumerate(value["piece"]):
        for name, old in piece.items():
            without = edited(text, [Take(("piece", i, name))])
            wanted = copy.deepcopy(value)
            del wanted["piece"][i][name]
            assert tomllib.loads(without) == wanted
            assert tomllib.loads(edited(without, [Put(("piece", i, name), old)])) == value


@pytest.mark.parametrize("text", [path.read_text() for path in PROJECTS])
def test_pieces_come_and_go(text: str) -> None:
    value = tomllib.loads(text)
    more = {"name": "tab", "shape": {"rectangle": [20, 30]}, "holes": [{"at": [10, 10], "diameter": 4}]}
    made = edited(text, [Add(("piece",), more)])
    assert tomllib.loads(made) == {**value, "piece": [*value["piece"], more]}
    assert comments(made) == comments(text)
    assert tomllib.loads(edited(made, [Take(("piece", len(value["piece"])))])) == value
    for i in range(len(value["piece"])):
        left = [piece for j, piece in enumerate(value["piece"]) if j != i]
        assert tomllib.loads(edited(text, [Take(("piece", i))])).get("piece", []) == left


def test_new_tables_stand_where_a_person_would_write_them() -> None:
    made = edited('format = "hideplan-project-1"\n', [Add(("joint",), {"name": "j"}), Add(("piece",), {"name": "a"})])
    made = edited(made, [Put(("lengths", "roll"), "60 mm"), Add(("piece",), {"name": "b"})])
    assert made == (
        'format = "hideplan-project-1"\n\n[lengths]\nroll = "60 mm"\n\n[[piece]]\nname = "a"\n\n[[piece]]\n'
        'name = "b"\n\n[[joint]]\nname = "j"\n'
    )


def test_tables_written_in_other_ways_are_changed_in_place() -> None:
    made = edited(ODD, [Put(("piece", 1, "shape", "circle"), 5), Put(("piece", 0, "grade"), "B")])
    made = edited(made, [Add(("piece", 1, "holes"), {"at": [2, 2]}), Add(("piece", 0, "shape", "polygon"), [0, 20])])
    made = edited(
        made, [Put(("size", "wide"), 4), Take(("piece", 1, "holes", 0)), Put(("piece", 0, "shape", "fold"), "y")]
    )
    value = tomllib.loads(made)
    assert value["piece"][1] == {"name": "ring", "shape": {"circle": 5}, "holes": [{"at": [1, 1]}, {"at": [2, 2]}]}
    assert value["piece"][0]["shape"] == {"polygon": [[0, 0], [10, 0], [10, 20], [0, 20]], "fold": "y"}
    assert value["size"] == {"wide": 4}
    assert comments(made) == comments(ODD)


def test_fields_taken_out_of_a_table_in_braces_leave_no_blanks() -> None:
    text = '[[piece]]\nlines = [{ kind = "skive", edge = "b, c", width = 3.50, left = "1 mm" }]  # thin\n'
    left = edited(text, [Take(("piece", 0, "lines", 0, "left"))])
    assert left == text.replace(', left = "1 mm"', "")
    first = edited(left, [Take(("piece", 0, "lines", 0, "kind"))])
    assert first == '[[piece]]\nlines = [{ edge = "b, c", width = 3.50 }]  # thin\n'


def test_windows_endings_and_a_byte_order_mark_stay() -> None:
    text = "\ufeff" + ODD.replace("\n", "\r\n")
    made = edited(text, [Put(("name",), "Even"), Add(("piece",), {"name": "b"})])
    assert made.startswith("\ufeff")
    assert made.count("\n") == made.count("\r\n")


@pytest.mark.parametrize(
    ("edit", "words"),
    [
        (Put(("piece", 9, "name"), "a"), r"piece\[9\]: is not there"),
        (Take(("piece", 0, "colour")), r"piece\[0\]\.colour: is not there"),
        (Put(("piece", 0, "name"), float("nan")), "is no number"),
    ],
)
def test_a_change_that_cannot_be_made_says_so(edit: Any, words: str) -> None:
    with pytest.raises(InputError, match=words):
        edited(ODD, [edit])


def test_a_text_that_is_no_toml_is_not_touched() -> None:
    with pytest.raises(InputError, match=r"no TOML.*line 1"):
        edited("name = \n", [Put(("name",), "a")])
