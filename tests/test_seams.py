"""Seams: edges that are sewn agree in length and holes, also round a curve."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from test_project_file import HEAD, read

from hides.errors import InputError
from nesting.making.joints import joint_remarks, uses

BAG = """[[piece]]
name = "body"
count = 2
shape = { rectangle = [200, 150], corners = [40, 40, 0, 0] }
rows = [{ edge = ["left", "bottom", "right"], inset = 5, pitch = 5, diameter = 1, corners = "round", group = "side" }]
[[piece]]
name = "gusset"
shape = { strap = [50, "as seam gusset"] }
rows = [
  { edge = "right", inset = 5, pitch = 5, diameter = 1, group = "front" },
  { edge = "left", inset = 5, pitch = 5, diameter = 1, group = "back" },
]
[[fastener]]
name = "thread"
kind = "thread"
sizes = [{ name = "0.8 mm" }]
[[seam]]
name = "gusset"
edges = [
  { piece = "body", edge = ["left", "bottom", "right"], inset = 5, holes = "side" },
  { piece = "gusset", edge = "right", inset = 5, holes = "front" },
]
fastener = "thread"
pitch = 5
"""
LONG = 2 * 110 + 120 + 35 * math.pi
"""Closed form: both sides, the bottom, and two quarters of a circle with the radius 40 − 5."""


def test_a_gusset_is_as_long_as_the_line_it_is_sewn_to(tmp_path: Path) -> None:
    product = read(tmp_path, HEAD + BAG, 3.0)
    gusset = product.pieces[1]
    assert gusset.polygon.bounds[3] == pytest.approx(LONG, abs=0.002)
    (seam,) = product.making.seams
    assert [side.length for side in seam.sides] == pytest.approx([LONG, LONG], abs=0.002)
    assert sum(hole.group == "front" for hole in gusset.holes) == math.floor((LONG - 10) / 5) + 1


def test_a_seam_with_a_thread_is_sewn_and_its_holes_are_used(tmp_path: Path) -> None:
    """Derived: two threads along every pitch and through every hole of a stack of two."""
    product = read(tmp_path, HEAD + BAG, 3.0)
    (use,) = uses(product, product.making, 3.0)
    n = round(LONG / 5)
    assert use.number == pytest.approx(2 * (LONG + (n + 1) * 6), abs=0.1)
    assert use.stack == 6
    assert [remark.text for remark in joint_remarks(product, product.making)] == [
        "no joint uses the holes “back” of “gusset”"
    ]


def test_a_length_follows_a_seam_in_a_sum(tmp_path: Path) -> None:
    text = (HEAD + BAG).replace('"as seam gusset"', '"2 * (as seam gusset) / 2 + 10 mm - t"')
    text = text.replace(', holes = "side"', "").replace("pitch = 5\n", "pitch = 5\ntolerance = 9\n")
    assert read(tmp_path, text, 4.0).pieces[1].polygon.bounds[3] == pytest.approx(LONG + 6, abs=0.002)


def test_a_seam_of_a_left_and_right_piece_finds_the_holes_of_either(tmp_path: Path) -> None:
    text = HEAD + BAG.replace('name = "body"\ncount = 2', 'name = "body"\nhand = "both"').replace(
        'piece = "body"', 'piece = "body right"'
    )
    assert [piece.name for piece in read(tmp_path, text, 3.0).pieces] == ["body left", "body right", "gusset"]


BAD = {
    "lengths that disagree": (
        '"as seam gusset"', '"400 mm"',
        "seam “gusset”.edges[1].edge: “body” is 450.0 mm long there and “gusset” 400.0 mm, 50.0 mm apart; up to 1 mm",
    ),
    "holes that are not as many": (
        '{ edge = "right", inset = 5, pitch = 5,', '{ edge = "right", inset = 5, pitch = 6,',
        "edges[1].holes: “body” has 88 holes along it and “gusset” has 74; give both as many",
    ),
    "holes that drift apart": (
        '{ edge = "right", inset = 5, pitch = 5,', '{ edge = "right", inset = 5, number = 88, pitch = 4.9,',
        "hole 88 of “gusset” is 426.3 mm along it and that of “body” 435.0 mm",
    ),
    "holes off the line": ('inset = 5, holes = "front"', 'inset = 15, holes = "front"', "mm off the seam's line"),
    "a piece nobody named": ('piece = "gusset", edge', 'piece = "guset", edge', "did you mean “gusset”"),
    "an edge nobody named": (
        'edge = "right", inset = 5, holes', 'edge = "rihgt", inset = 5, holes', "did you mean “right”",
    ),
    "a seam's length where none is measured": (
        "[[piece]]", '[lengths]\nx = "as seam gusset"\n[[piece]]', "lengths.x: “as seam gusset” stands where no seam",
    ),
    "a group nobody named": ('holes = "front"', 'holes = "fornt"', "did you mean “front”"),
    "a seam nobody named": ('"as seam gusset"', '"as seam guset"', "piece “gusset”.shape.strap: unknown seam “guset”"),
    "a seam that follows itself": (
        "shape = { rectangle = [200, 150],", 'shape = { rectangle = [200, "as seam gusset"],', "follows its own length",
    ),
    "a thread nobody named": ('fastener = "thread"', 'fastener = "thraed"', "did you mean “thread”"),
    "a pitch longer than the seam": ("\npitch = 5\n", "\npitch = 500\n", "seam “gusset”.pitch: 500 mm is longer"),
    "a pitch without a thread": ('fastener = "thread"\n', "", "no thread is named"),
    "one edge": (
        '  { piece = "gusset", edge = "right", inset = 5, holes = "front" },\n', "", "name at least two edges",
    ),
    "a seam's length elsewhere": ("inset = 5, holes", 'inset = "as seam gusset", holes', "follows its own length"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_seams_that_disagree_get_one_line_with_both_figures(tmp_path: Path, name: str) -> None:
    old, new, told = BAD[name]
    assert old in BAG
    with pytest.raises(InputError) as caught:
        read(tmp_path, HEAD + BAG.replace(old, new, 1), 3.0)
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)
