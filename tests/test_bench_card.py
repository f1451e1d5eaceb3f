"""Bench cards: punches, edges, straps' ends and joints in the order of making, from a layout alone."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from layouts import laid_by_hand, rectangle
from leathers import STRAP, project_file

from hides.errors import InputError
from hides.hide import Thickness
from nesting.commands import main
from nesting.drawing.cards.card import Card, card_of, edge_length
from nesting.drawing.cards.card_pages import cards_pages, cards_pdf
from nesting.drawing.cards.strap_ends import strap_ends
from nesting.drawing.cards.words import step_lines, thickness_words
from nesting.drawing.piece_pattern import product_patterns
from nesting.drawing.scene import Text
from nesting.drawing.sheet_style import SheetStyle
from nesting.model.layout import Layout
from nesting.model.product import Piece, Product
from nesting.project.project_file import read_product
from nesting.project.shapes import circle, strap
from nesting.result.layout_file import layout_from_data, layout_to_data, write_layout

SCENARIO = Path(__file__).resolve().parents[1] / "nesting" / "scenario"
T = 10.5 * 25.4 / 64


@pytest.fixture(scope="module")
def rack() -> Product:
    return read_product(SCENARIO / "map-rack.toml", T)


@pytest.fixture(scope="module")
def card(rack: Product) -> Card:
    return card_of(rack, 6, T)


def words_of(layout: Layout, style: SheetStyle | None = None) -> str:
    pages = cards_pages(layout, style or SheetStyle())
    return " ".join(item.words for page in pages for item in page.items if isinstance(item, Text))


def with_product(product: Product) -> Layout:
    layout = laid_by_hand(complete=1)
    hide = replace(layout.hides[0], hide=replace(layout.hides[0].hide, thickness=Thickness(T, T)), placements=())
    count = replace(layout.counts[0], name=product.name, complete=6)
    return replace(layout, products=(product,), counts=(count,), hides=(hide,))


def test_punches_are_counted_by_size_a_piece_a_product_and_in_all(card: Card) -> None:
    """By hand: 6 holes in 2 panels, 5 in 3 straps, 2 in 6 loops, 5 in 2 rails, one in 6 spacers and 4 tabs: 59."""
    (punch,) = card.punches
    assert (punch.diameter, punch.each, punch.each * card.made) == (5.0, 59, 354)
    assert ("strap", 5, 3) in punch.pieces


def test_edges_are_told_by_operation_in_metres_and_minutes(card: Card) -> None:
    """By hand: a strap of 32 × 560 with a point is 32 + 2 · 544 + 2 · 16·√2 round; the groove runs 4 mm inside."""
    round_ = 32 + 2 * 544 + 2 * 16 * math.sqrt(2)
    strap_ = next(piece for piece in card.product.pieces if piece.name == "strap")
    assert edge_length(strap_) == pytest.approx(round_)
    groove = next(finish for finish in card.finishes if finish.work.name == "groove")
    # 4 mm inside: the square end loses 8 of its width and 4 of each side, and the 45° corners 4·tan(22.5°) on each leg.
    less = 4 * math.tan(math.radians(22.5))
    inner = (32 - 8) + 2 * (544 - 4 - less) + 2 * (16 * math.sqrt(2) - less - 4)
    assert groove.metres == pytest.approx(3 * inner / 1000, abs=1e-6)
    assert groove.minutes == pytest.approx(3 * inner / 1200)
    bevel, burnish = (next(f for f in card.finishes if f.work.name == name) for name in ("bevel", "burnish"))
    assert bevel.metres == pytest.approx(2 * burnish.metres)


def test_without_edge_tables_the_pieces_of_labour_are_finished_at_its_speed(rack: Product) -> None:
    plain = replace(rack, making=replace(rack.making, edges=()))
    (finish,) = card_of(plain, 1, T).finishes
    assert finish.work.pieces == ("back panel", "strap", "loop", "label tab")
    assert finish.minutes == pytest.approx(1000 * finish.metres / 450)


def test_steps_are_the_joints_in_the_file_s_order_with_what_hangs_free(card: Card) -> None:
    assert [step.use.joint.name for step in card.steps] == ["loops", "label tabs", "head", "middle", "foot"]
    assert [step.number for step in card.steps] == [1, 2, 3, 4, 5]
    assert card.steps[0].free == (("strap", "foot"), ("strap", "middle"), ("strap", "head"))
    assert ("strap", "foot") in card.steps[3].free
    assert card.steps[4].free == ()
    assert card.steps[2].free == (("strap", "foot"), ("strap", "middle"), ("back panel", "bottom"))
    assert card.steps[0].finish_first == ("loop", "strap")
    assert card.steps[2].finish_first == ("back panel",)


def test_cards_are_in_their_project_s_units_unless_others_are_chosen(rack: Product) -> None:
    told = words_of(with_product(rack), SheetStyle(units="in", chosen=True))
    assert "ft a product" in told
    assert "5/32 in inside" in told
    assert "m a product" in words_of(with_product(rack), SheetStyle(units="in")).replace("ft", "")


def test_patterns_name_the_holes_that_joints_speak_of(rack: Product) -> None:
    pages = product_patterns((rack,))
    told = [item.words for page in pages for item in (*page.items, *page.seen) if isinstance(item, Text)]
    assert {"foot", "loops", "middle", "head", "outer end", "inner end", "tab"} <= set(told)


def test_a_step_tells_faces_fastener_its_side_and_stack(card: Card) -> None:
    lines = step_lines(card, card.steps[0], SheetStyle())
    told = " ".join(lines)
    assert lines[0] == "1  loops, 3 of them"
    assert "2 × loop at “inner end”, flesh side to the front" in told
    assert "6 × screw post 3/8 in through 12.5 mm: put in from the front, its screw from the back." in told
    assert "Finish the edges of loop and strap before." in told


@pytest.mark.parametrize(
    ("ends", "told"),
    [(("square", "point"), ("square", "point")), (("round", "square"), ("round", "square")),
     (("point", "round"), ("point", "round"))],
)  # fmt: skip
def test_both_ends_of_a_strap_are_told(ends: tuple[str, str], told: tuple[str, str]) -> None:
    found = strap_ends(Piece("s", strap(30, 300, ends)))
    assert found is not None
    assert (found.foot, found.head) == told
    assert strap_ends(Piece("p", rectangle(100, 200))) is None
    assert strap_ends(Piece("c", circle(40))) is None


def test_a_layout_file_carries_what_a_card_needs_and_no_prices(rack: Product, card: Card) -> None:
    data = layout_to_data(with_product(rack))
    back = layout_from_data(data).products[0]
    again = card_of(back, 6, T)
    assert (again.punches, len(again.straps)) == (card.punches, len(card.straps))
    assert [finish.work for finish in again.finishes] == [finish.work for finish in card.finishes]
    assert [(s.use.joint.name, s.use.size and s.use.size.name, s.free) for s in again.steps] == [
        (s.use.joint.name, s.use.size and s.use.size.name, s.free) for s in card.steps
    ]
    assert "price" not in str(data["making"])
    assert back.making.care.hangs
    assert layout_to_data(layout_from_data(data))["making"] == data["making"]


def test_cards_have_the_words_of_hanging_only_where_the_project_says_so(rack: Product) -> None:
    assert "rates a load" in words_of(with_product(rack))
    roll = read_product(SCENARIO / "tool-roll.toml", T)
    told = words_of(with_product(roll))
    assert "rates a load" not in told
    assert "Sew 430 mm" in told


def test_cards_speak_the_units_of_the_project(rack: Product) -> None:
    inches = replace(rack, units="in", ounces=True)
    told = words_of(with_product(inches))
    assert "leather 10.5 oz thick" in told
    assert "ft a product" in told
    assert "⌀ 13/64 in" in told
    assert thickness_words(card_of(rack, 1, None)) == "thickness not told"


def test_a_batch_s_cards_are_one_file(rack: Product, tmp_path: Path) -> None:
    roll = read_product(SCENARIO / "tool-roll.toml", T)
    layout = with_product(rack)
    both = replace(layout, products=(rack, roll), counts=(layout.counts[0], replace(layout.counts[0], name=roll.name)))
    assert len(cards_pages(both, SheetStyle("Letter"))) == 2
    assert cards_pdf(both, SheetStyle()) == cards_pdf(both, SheetStyle())
    write_layout(tmp_path / "l.json", laid_by_hand(complete=1))
    assert main(["sheet", str(tmp_path / "l.json"), "--cards", str(tmp_path / "c.pdf")]) == 0
    assert (tmp_path / "c.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ('name = "bevel"\npieces = ["straps"]', "edge “bevel”.pieces: unknown piece"),
        ('name = "bevel"\nfaces = "top"', "edge “bevel”.faces"),
        ('name = "bevel"\nspeed = 0', "edge “bevel”.speed"),
        ('name = "bevel"\nspede = 3', "edge 1: unknown field “spede”"),
    ],
)
def test_a_slip_in_an_edge_table_is_told_in_one_line(tmp_path: Path, table: str, told: str) -> None:
    with pytest.raises(InputError) as caught:
        read_product(project_file(tmp_path, f"[[edge]]\n{table}\n", STRAP), T)
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)
