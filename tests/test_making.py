"""The tables of a product's making: read strictly; joints checked against common practice."""

from __future__ import annotations

from pathlib import Path

import pytest
from leathers import STRAP, project_file

from hides.errors import InputError
from hides.units import thickness
from nesting.making.joints import fastener_remarks, joint_remarks, stack_of, uses
from nesting.model.product import Product
from nesting.project.project_file import read_product

T = thickness("10-11 oz").middle
SCENARIO = Path(__file__).resolve().parents[1] / "nesting" / "scenario"
JOINT = """
[[joint]]
name = "ends"
fastener = "post"
layers = [{ piece = "loop", holes = ["a", "b"] }, { piece = "strap", holes = ["a", "b"] }]
"""
POST = """
[[fastener]]
name = "post"
kind = "post"
hole = "3/16 in"
sizes = [
  { name = "1/4 in", length = "1/4 in", price = 0.4, weight = 3 },
  { name = "3/8 in", length = "3/8 in", price = 0.5 },
]
"""
MONEY = """
[price]
currency = "EUR"
"""
WORK = """
[labour]
rate = 30
cut = "1 m"
assembly = 10
"""
ALL = JOINT + POST + MONEY + WORK + '[[material]]\nname = "wax"\namount = 5\nunit = "g"\n'


def read(folder: Path, making: str, pieces: str = STRAP) -> Product:
    return read_product(project_file(folder, making, pieces), T)


def texts(product: Product) -> list[str]:
    return [remark.text for remark in joint_remarks(product, product.making)]


def test_holes_that_do_not_agree_are_named_with_how_far_they_are_off(tmp_path: Path) -> None:
    """The loop's holes are 38 mm apart, the strap's 80: one of them is 42 mm off wherever the other falls."""
    product = read(tmp_path, ALL)
    (line,) = [remark for remark in joint_remarks(product, product.making) if remark.fault]
    assert line.joint == "ends"
    assert "42.0 mm off hole" in line.text
    assert "“loop”" in line.text or "“strap”" in line.text


def test_holes_that_agree_are_not_remarked_on(tmp_path: Path) -> None:
    assert texts(read(tmp_path, ALL, STRAP.replace("[15, 140]", "[15, 98]"))) == []


def test_holes_that_agree_only_turned_over_are_said_to(tmp_path: Path) -> None:
    third = '{ at = [15, 50], diameter = 4.8, group = "b" }, { at = [20, 70], diameter = 4.8, group = "b" }'
    pieces = STRAP.replace('{ at = [15, 50], diameter = 4.8, group = "b" }', third)
    other = '{ at = [15, 98], diameter = 4.8, group = "b" }, { at = [10, 118], diameter = 4.8, group = "b" }'
    pieces = pieces.replace('{ at = [15, 140], diameter = 4.8, group = "b" }', other)
    (line,) = texts(read(tmp_path, ALL, pieces))
    assert "only when one of them is turned over" in line


def test_a_stack_is_the_sum_of_its_layers_plies_and_washers(tmp_path: Path) -> None:
    layers = '{ piece = "loop", holes = "a", plies = 2 }, { thickness = "1.5 mm" }, { piece = "strap", holes = "a" }'
    product = read(tmp_path, f'[[joint]]\nname = "j"\nlayers = [{layers}]\n')
    assert stack_of(product.making.joints[0], 4.0) == pytest.approx(3 * 4.0 + 1.5)


def test_edge_distances_below_common_practice_are_warned_of(tmp_path: Path) -> None:
    """3/8 in from hole centre to edge for screw posts, two hole diameters for anything (common practice)."""
    pieces = STRAP.replace("at = [15, 60]", "at = [9, 60]").replace("at = [15, 140]", "at = [9, 98]")
    assert [
        line
        for line in texts(read(tmp_path, ALL, pieces))
        if "2 holes" in line and "9.0 mm from it" in line and "9.6 mm" in line
    ]
    rivets = ALL.replace('kind = "post"', 'kind = "rivet"')
    small = pieces.replace("diameter = 4.8", "diameter = 4")
    assert not any(
        "near the edge" in line for line in texts(read(tmp_path, rivets.replace('hole = "3/16 in"', ""), small))
    )
    assert any("3/8 in" in line for line in texts(read(tmp_path, ALL, small)))


def test_holes_near_the_edge_are_told_once_for_all_joints_and_can_be_set(tmp_path: Path) -> None:
    pieces = STRAP.replace("at = [15, 60]", "at = [9, 60]").replace("at = [15, 140]", "at = [9, 98]")
    pieces = pieces.replace("at = [15, 12]", "at = [8, 12]")
    lines = [line for line in texts(read(tmp_path, ALL, pieces)) if "near the edge" in line]
    assert len(lines) == 1
    assert 'edge = "' in lines[0]
    assert "[[fastener]]" in lines[0]
    set_ = ALL.replace('hole = "3/16 in"', 'hole = "3/16 in"\nedge = "7 mm"')
    assert not any("near the edge" in line for line in texts(read(tmp_path, set_, pieces)))


def test_rivets_nearer_than_8_mm_are_warned_of(tmp_path: Path) -> None:
    """Rivet centres at least 8 mm apart (common practice)."""
    rivets = ALL.replace('kind = "post"', 'kind = "rivet"')
    near = STRAP.replace("[15, 50]", "[15, 19]").replace("[15, 140]", "[15, 67]")
    assert any("7.0 mm apart" in line and "8 mm" in line for line in texts(read(tmp_path, rivets, near)))
    far = STRAP.replace("[15, 50]", "[15, 20]").replace("[15, 140]", "[15, 68]")
    assert not any("apart" in line for line in texts(read(tmp_path, rivets, far)))


def test_holes_much_wider_than_the_fastener_are_warned_of(tmp_path: Path) -> None:
    """The hole is snug on the shaft, 3/16 in for the usual screw post (common practice)."""
    pieces = STRAP.replace("[15, 140]", "[15, 98]").replace("diameter = 4.8", "diameter = 6")
    assert any("6 mm wide, and post takes 4.76 mm" in line for line in texts(read(tmp_path, ALL, pieces)))


def test_groups_that_no_joint_uses_are_told(tmp_path: Path) -> None:
    making = ALL.replace('["a", "b"]', '"a"')
    assert "no joint uses the holes “b” of “loop”" in texts(read(tmp_path, making))


def test_a_list_without_a_fitting_size_says_what_is_wanted(tmp_path: Path) -> None:
    product = read(tmp_path, ALL.replace('{ name = "1/4 in", length = "1/4 in", price = 0.4, weight = 3 },', ""))
    (remark,) = fastener_remarks(uses(product, product.making, T))
    assert remark.fault
    assert "stack of 8.3 mm; wanted is a post 4.1 to 7.4 mm long" in remark.text


def test_the_scenarios_rack_goes_together_without_a_remark() -> None:
    for ounces in ("8-9 oz", "10-11 oz", "11-12 oz"):
        t = thickness(ounces).middle
        product = read_product(SCENARIO / "map-rack.toml", t)
        found = uses(product, product.making, t)
        assert not joint_remarks(product, product.making)
        assert not fastener_remarks(found)
    sizes = {use.joint.name: use.size.name for use in found if use.size}
    assert sizes["label tabs"] == "1/4 in"
    assert sizes["loops"] == "3/8 in"


SLIPS = {
    "unknown table": ("[price]", "[prices]", "prices", "did you mean “price”?"),
    "unknown field of a joint": ("layers =", "layer =", "joint 1", "did you mean “layers”?"),
    "unknown piece": ('{ piece = "loop"', '{ piece = "lop"', "layers[0].piece", "did you mean “loop”?"),
    "unknown group": ('piece = "strap", holes = ["a", "b"]', 'piece = "strap", holes = "c"', "layers[1].holes",
                      "known: a, b"),
    "no holes named": ('piece = "strap", holes = ["a", "b"]', 'piece = "strap"', "layers[1].holes", "is missing"),
    "unlike numbers": ('piece = "strap", holes = ["a", "b"]', 'piece = "strap", holes = "a"', "layers",
                       "side by side"),
    "one layer": (', { piece = "strap", holes = ["a", "b"] }', "", "layers", "from 2"),
    "empty layers": ('layers = [{ piece = "loop", holes = ["a", "b"] }, { piece = "strap", holes = ["a", "b"] }]',
                     "layers = []", "layers", "from 2"),
    "unknown fastener": ('fastener = "post"', 'fastener = "posts"', "fastener", "did you mean “post”?"),
    "more joints than pieces": ('fastener = "post"\n', 'fastener = "post"\ncount = 2\n', "joint “ends”",
                               "look at its count"),
    "pitch without a seam": ('fastener = "post"\n', 'fastener = "post"\npitch = 4\n', "pitch", "seam"),
    "seam without thread": ('fastener = "post"\n', 'fastener = "post"\nseam = 40\npitch = 4\n', "seam", "thread"),
    "tolerance of nothing": ('fastener = "post"\n', 'fastener = "post"\ntolerance = 0\n', "tolerance", "at least"),
    "unknown kind": ('kind = "post"', 'kind = "nail"', "fastener “post”.kind", "did you mean “snap”?"),
    "field of another kind": ('kind = "post"', 'kind = "post"\nproud = 3', "proud", "belongs to a rivet"),
    "share above one": ('kind = "post"', 'kind = "post"\nshare = [0.6, 1.2]', "share", "[0.6, 0.85]"),
    "share of one number": ('kind = "post"', 'kind = "post"\nshare = [0.6]', "share", "two"),
    "no sizes": ("sizes = [", "sizes = []\nold = [", "fastener 1", "unknown field “old”"),
    "size without length": ('length = "3/8 in", ', "", "sizes[1].length", "is missing"),
    "length without unit": ('length = "3/8 in"', 'length = "3/8"', "sizes[1].length", "unit"),
    "negative price of a size": ("price = 0.5", "price = -0.5", "sizes[1].price", "from 0"),
    "two sizes of one name": ('name = "3/8 in"', 'name = "1/4 in"', "sizes", "own name"),
    "money without a currency": (MONEY, "", "fastener", "currency"),
    "rate as a text": ("rate = 30", 'rate = "30"', "labour.rate", "not a number"),
    "negative rate": ("rate = 30", "rate = -30", "labour.rate", "from 0"),
    "speed of nothing": ('cut = "1 m"', "cut = 0", "labour.cut", "at least"),
    "unknown name in a speed": ('cut = "1 m"', 'cut = "2 * tt"', "labour.cut", "did you mean “t”?"),
    "edges of an unknown piece": ("assembly = 10", 'edges = ["straps"]', "labour.edges", "did you mean “strap”?"),
    "multiplier below one": ('currency = "EUR"', 'currency = "EUR"\nretail = 0.5', "price.retail", "from 1"),
    "unknown overhead": ('currency = "EUR"', 'currency = "EUR"\noverhead = { rent = 1 }', "price.overhead", "rent"),
    "amount of nothing": ("amount = 5", "amount = 0", "material “wax”.amount", "write a number"),
    "care as a text": ("[price]", '[care]\nhangs = "yes"\n[price]', "care.hangs", "true or false"),
}  # fmt: skip


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_in_the_making_is_told_when_the_project_is_read(tmp_path: Path, slip: str) -> None:
    old, new, field, remedy = SLIPS[slip]
    assert old in ALL
    with pytest.raises(InputError) as caught:
        read(tmp_path, ALL.replace(old, new, 1))
    line = str(caught.value)
    assert line.startswith(str(tmp_path / "strap.toml"))
    assert field in line
    assert remedy in line
    assert "\n" not in line


@pytest.mark.parametrize(
    ("sum_", "words"), [("pi * (d + tt)", "did you mean “t”?"), ("around", "circle: around → around")]
)
def test_unknown_and_circular_names_in_lengths_with_t_are_told(tmp_path: Path, sum_: str, words: str) -> None:
    text = STRAP.replace("[[piece]]", f'[lengths]\nd = 25\naround = "{sum_}"\n\n[[piece]]', 1)
    with pytest.raises(InputError, match=r"lengths\.around") as caught:
        read(tmp_path, ALL, text)
    assert words in str(caught.value)
