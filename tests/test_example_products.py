"""The scenario's products that use what a pattern can say: each is read, laid, checked and drawn as a pattern."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from shapely.geometry import Polygon

from hides.hide_file import read_hide
from nesting.check import faults
from nesting.drawing.piece_pattern import piece_patterns
from nesting.laying.lay_out import Want, lay_out
from nesting.making.joints import joint_remarks
from nesting.model.settings import Settings
from nesting.project.project_file import product_for, read_product
from nesting.result.layout_file import layout_from_data, layout_to_data

SCENARIO = Path(__file__).resolve().parents[1] / "nesting" / "scenario"


@pytest.mark.parametrize(
    ("project", "hide", "leathers"),
    [
        ("satchel", "shoulder-1", ()),
        ("satchel", "offcut-1", ("lining",)),
        ("belt", "side-1", ()),
        ("key-fob", "offcut-1", ()),
    ],
)
def test_each_product_is_laid_checked_and_drawn(project: str, hide: str, leathers: tuple[str, ...]) -> None:
    on = read_hide(SCENARIO / f"{hide}.json")
    product = product_for(SCENARIO / f"{project}.toml", on, leathers=leathers)
    layout = lay_out(on, [Want(product, limit=1)], Settings(effort="quick"))
    assert layout.counts[0].complete >= 1
    assert not faults(layout)
    data = layout_to_data(layout)
    assert layout_to_data(layout_from_data(data)) == data
    assert len(piece_patterns(layout)) >= 2


def test_the_satchels_gusset_follows_its_body() -> None:
    """Closed form: both sides, the bottom, two quarters of a circle with the radius 35 − 5."""
    product = read_product(SCENARIO / "satchel.toml", 2.2)
    line = 2 * (195 - 35) + (260 - 70) + 30 * math.pi
    (gusset,) = [piece for piece in product.pieces if piece.name == "gusset"]
    assert Polygon(gusset.outline).bounds[3] == pytest.approx(line, abs=0.01)
    assert [remark.text for remark in joint_remarks(product, product.making) if remark.fault] == []
    wide = read_product(SCENARIO / "satchel.toml", 2.2, chosen={"width": "300 mm", "lined": False})
    assert wide.name == "Quay satchel, width 300 mm, lined no"
    assert "lining" not in [piece.name for piece in wide.pieces]


def test_a_belts_middle_hole_lies_at_the_waist() -> None:
    """Common practice: the waist is measured from the buckle's bar to the hole in use."""
    product = read_product(SCENARIO / "belt.toml", 4.0, chosen={"waist": "40 in"})
    belt = product.pieces[0]
    holes = [hole.at[1] for hole in belt.holes if hole.group == "size"]
    assert holes[2] - 70 == pytest.approx(40 * 25.4)
    assert Polygon(belt.outline).bounds[3] == pytest.approx(70 + 1016 + 150)
    assert [remark.text for remark in joint_remarks(product, product.making) if remark.fault] == []
