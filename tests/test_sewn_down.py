"""Pieces sewn down in the middle of another, lines with corners and arcs, thicknesses of other leathers, purposes."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from test_project_file import HEAD, read

from hides.errors import InputError
from nesting.drawing.pattern_words import punch_words
from nesting.making.joints import joint_remarks, uses
from nesting.project.project_file import read_product

BAG = """[[leather]]
name = "shell"
thickness = "2 mm"
[[leather]]
name = "lining, thin"
thickness = "0.8 mm"
[[piece]]
name = "front"
shape = { rectangle = [220, 180] }
lines = [{ kind = "stitch", name = "pocket", points = [
  [40, 140], { at = [40, 30], round = 15 }, { at = [180, 30], round = 15 }, [180, 140]] }]
rows = [{ line = "pocket", pitch = 4, diameter = 1, group = "pocket", ends = 5 }]
[[piece]]
name = "pocket"
shape = { rectangle = [150, 115], corners = [20, 20, 0, 0] }
rows = [
  { edge = ["left", "bottom", "right"], inset = 5, pitch = 4, diameter = 1, corners = "round", group = "rim" },
]
[[fastener]]
name = "thread"
kind = "thread"
sizes = [{ name = "0.8 mm" }]
[[seam]]
name = "pocket"
edges = [{ piece = "pocket", edge = ["left", "bottom", "right"], inset = 5, holes = "rim" },
         { piece = "front", line = "pocket", holes = "pocket" }]
fastener = "thread"
pitch = 4
"""
LONG = 2 * (110 - 15) + (140 - 30) + 15 * math.pi
"""Closed form: two sides, the bottom and two quarters of a circle of 15 mm."""


def test_a_pocket_is_sewn_down_along_a_line_amid_the_panel(tmp_path: Path) -> None:
    product = read(tmp_path, HEAD + BAG, 2.0)
    (seam,) = product.making.seams
    assert [side.length for side in seam.sides] == pytest.approx([LONG, LONG], abs=0.02)
    front, pocket = product.pieces
    assert len(front.holes) == len(pocket.holes) == math.floor((LONG - 10) / 4) + 1
    (use,) = uses(product, product.making, 2.0)
    assert use.stack == 4
    assert not joint_remarks(product, product.making)


def test_a_length_follows_the_line_it_is_sewn_to(tmp_path: Path) -> None:
    """A gusset about a pocket: as long as the line on the panel."""
    gusset = '[[piece]]\nname = "gusset"\nshape = { strap = [30, "as seam pleat"] }\n'
    sides = '[{ piece = "gusset", edge = "left" }, { piece = "front", line = "pocket" }]'
    seam = f'[[seam]]\nname = "pleat"\nedges = {sides}\n'
    product = read(tmp_path, HEAD + BAG.replace("[[fastener]]", gusset + "[[fastener]]", 1) + seam, 2.0)
    assert product.pieces[2].polygon.bounds[3] == pytest.approx(LONG, abs=0.02)


@pytest.mark.parametrize("t", [2.0, 3.0])
def test_a_sum_may_hold_the_thickness_of_another_leather(tmp_path: Path, t: float) -> None:
    wide = BAG.replace("[220, 180]", '["220 - 2 * (t of lining, thin) - t of shell", 180]')
    assert read(tmp_path, HEAD + wide, t).pieces[0].polygon.bounds[2] == pytest.approx(220 - 3 * t)


def test_only_the_leather_that_is_laid_takes_the_hides_thickness(tmp_path: Path) -> None:
    path = tmp_path / "bag.toml"
    path.write_text(HEAD + BAG.replace("[220, 180]", '["220 - 2 * (t of lining, thin) - t", 180]'))
    assert read_product(path, 2.5, leather="shell").pieces[0].polygon.bounds[2] == pytest.approx(220 - 1.6 - 2.5)


def test_holes_that_nothing_fastens_say_their_purpose(tmp_path: Path) -> None:
    row = 'line = [[20, 160], [200, 160]], number = 5, ends = 0, diameter = 4, group = "lace", purpose = "lace"'
    product = read(tmp_path, HEAD + BAG.replace("rows = [", f"rows = [{{ {row} }},", 1), 2.0)
    assert not joint_remarks(product, product.making)
    assert "punch 4 mm × 5 (lace)" in punch_words(product.pieces[0])


SLIPS = {
    "a line that is not there": ('line = "pocket", holes', 'line = "poket", holes', "did you mean “pocket”"),
    "an edge beside a line": (
        'line = "pocket", holes',
        'line = "pocket", edge = "top", holes',
        "cannot stand beside line",
    ),
    "lengths that disagree": ("[40, 140], {", "[40, 170], {", "mm apart"),
    "a row along a line that is not there": ('line = "pocket", pitch', 'line = "seam", pitch', "line “seam”"),
    "an end that is rounded": ("[180, 140]] }", "{ at = [180, 140], round = 4 }] }", "an end of the line"),
    "a corner rounded by more than its sides": ("round = 15", "round = 150", "take"),
    "a leather nobody named": ("[220, 180]", '["220 - t of lining", 180]', "leather “lining”"),
}


@pytest.mark.parametrize("name", SLIPS)
def test_slips_in_lines_and_leathers_get_one_line(tmp_path: Path, name: str) -> None:
    right, wrong, word = SLIPS[name]
    assert right in BAG
    with pytest.raises(InputError) as error:
        read(tmp_path, HEAD + BAG.replace(right, wrong, 1), 2.0)
    line = str(error.value)
    assert "\n" not in line
    assert word in line
    assert error.value.remedy
    assert "piece “front”" in line or "seam “pocket”" in line
