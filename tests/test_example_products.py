"""The scenario's products that use what a pattern can say: each is read, laid, checked and drawn as a pattern."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from shapely.geometry import MultiPoint, Polygon

from hides.hide_file import read_hide
from nesting.check import faults
from nesting.drawing.piece_pattern import piece_patterns
from nesting.laying.lay_out import Want, lay_out
from nesting.making.joints import joint_remarks
from nesting.model.product import Piece, Product
from nesting.model.settings import Settings
from nesting.project.project_file import product_for, read_product
from nesting.result.layout_file import layout_from_data, layout_to_data

SCENARIO = Path(__file__).resolve().parents[1] / "nesting" / "scenario"
PRODUCTS = sorted(path for path in SCENARIO.glob("*.toml") if "hideplan-project" in path.read_text())


def piece(product: Product, name: str) -> Piece:
    (found,) = [each for each in product.pieces if each.name == name]
    return found


def holes(product: Product, name: str, group: str) -> list[tuple[float, float]]:
    """The holes of one group of a piece, mm."""
    return [hole.at for hole in piece(product, name).holes if hole.group == group]


def high(product: Product, name: str) -> float:
    """How far a piece reaches along its grain line, mm."""
    _, low, _, top = Polygon(piece(product, name).outline).bounds
    return top - low


@pytest.mark.parametrize("path", PRODUCTS, ids=lambda path: path.stem)
def test_every_products_seams_and_joints_agree(path: Path) -> None:
    product = read_product(path, 2.2)
    assert [remark.text for remark in joint_remarks(product, product.making) if remark.fault] == []


def test_there_are_ten_products() -> None:
    assert len(PRODUCTS) >= 10


@pytest.mark.parametrize(
    ("project", "hide", "leathers"),
    [
        ("satchel", "shoulder-1", ()),
        ("satchel", "offcut-1", ("lining",)),
        ("belt", "side-1", ()),
        ("key-fob", "offcut-1", ()),
        ("knife-sheath", "offcut-1", ()),
        ("card-case", "offcut-1", ("shell",)),
        ("watch-strap", "offcut-1", ("shell",)),
        ("spectacles-case", "offcut-1", ("shell",)),
        ("notebook-cover", "shoulder-1", ()),
        ("collar-and-lead", "bend-1", ()),
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


def test_a_sheath_is_sewn_through_both_halves_and_the_welt() -> None:
    """Closed form: a straight side, and a quarter of a circle with the radius of the corner less the inset."""
    product = read_product(SCENARIO / "knife-sheath.toml", 3.0)
    half = (2 * (28 + 3) + math.pi * 3.0) / 2 + 9
    bend = half - 6
    line = (122 - bend) + math.pi / 2 * (bend - 4)
    # both ends of the row stand off by the inset; common practice: as many as go, and one more
    number = math.floor((line - 2 * 4) / 4) + 1
    front, back = holes(product, "sheath", "front"), holes(product, "sheath", "back")
    assert len(front) == len(back) == len(holes(product, "welt", "seam")) == number
    # folded over, each hole meets its fellow
    assert MultiPoint([(-x, y) for x, y in back]).hausdorff_distance(MultiPoint(front)) < 1e-6


def test_the_sheaths_loop_changes_sides_with_the_hand() -> None:
    right, left = (
        read_product(SCENARIO / "knife-sheath.toml", 3.0, chosen={"hand": hand}) for hand in ("right", "left")
    )
    assert [x for x, _ in holes(right, "sheath", "loop")] == pytest.approx([-14, -14])
    assert [x for x, _ in holes(left, "sheath", "loop")] == pytest.approx([14, 14])


def test_a_card_lies_in_its_pocket() -> None:
    """ISO/IEC 7810 (ID-1): 85.60 by 53.98 mm. It goes between the seams, and the backmost shows above the lips."""
    for pockets in (1, 4):
        product = read_product(SCENARIO / "card-case.toml", 1.2, chosen={"pockets": pockets})
        inside = Polygon(piece(product, "inside").outline).bounds
        assert (inside[3] - 6) / 2 - 2 * 3 >= 85.60
        assert inside[2] - 2 * 3 == pytest.approx(53.98 + (pockets - 1) * 12)
        assert sum(each.count for each in product.pieces if "pocket" in each.name) == 2 * pockets


def test_a_watch_strap_goes_round_the_wrist() -> None:
    """Closed form: on its middle line the strap is half its thickness farther out, so 2π·t/2 longer than the wrist."""
    for thick in (2.0, 4.0):
        product = read_product(SCENARIO / "watch-strap.toml", 1.8, chosen={"thick": f"{thick} mm"})
        sizes = [y for _, y in holes(product, "long part", "size")]
        (bar,) = piece(product, "short part").cutouts
        buckle = (Polygon(bar).bounds[1] + Polygon(bar).bounds[3]) / 2
        assert sizes[3] + buckle + 46 == pytest.approx(175 + math.pi * thick, abs=0.01)


def test_a_spectacles_gusset_follows_its_front() -> None:
    """Closed form: both sides, the bottom, two quarters of a circle with the radius 24 − 4."""
    product = read_product(SCENARIO / "spectacles-case.toml", 2.0, chosen={"wide": "180 mm"})
    assert high(product, "gusset") == pytest.approx(2 * (62 - 24) + (180 - 48) + math.pi * 20, abs=0.01)


def test_a_notebook_cover_holds_a_sheet_of_its_size() -> None:
    """ISO 216: A5 is 148 by 210 mm, A6 105 by 148 mm."""
    for size, wide, tall in (("A5", 148, 210), ("A6", 105, 148)):
        product = read_product(SCENARIO / "notebook-cover.toml", 2.0, chosen={"size": size})
        cover = Polygon(piece(product, "cover").outline).bounds
        assert cover[3] - 2 * 4 == pytest.approx(tall + 2 * 2)
        # half of once round the notebook's back and its bends, and two leaves with play and seam
        assert cover[2] == pytest.approx(2 * (wide + 2 + 4) + 14 + math.pi * 2.0 / 2, abs=0.01)


def test_a_lead_spliced_from_two_is_as_long_as_asked() -> None:
    """Closed form: two equal parts, and once the lap."""
    product = read_product(SCENARIO / "collar-and-lead.toml", 4.0, chosen={"lead": "1500 mm"})
    parts = high(product, "lead 1"), high(product, "lead 2")
    assert sum(parts) - 80 == pytest.approx(60 + 1500 + 280, abs=0.01)
    assert parts[0] == pytest.approx(parts[1], abs=0.01)
    # common practice: the neck is measured from the buckle's bar to the middle hole
    assert holes(product, "collar", "size")[2][1] - 60 == pytest.approx(400)
