"""Rectangles on rectangular leather: public instances filled, smallest rectangles proven, proofs attacked."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from problems import in_box, plain_hide, product, rectangle
from shapely.geometry import Polygon, box

from nesting.laying.lay_out import Want, lay_out
from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.model.settings import Settings
from nesting.search.arrays.arrays import build
from nesting.search.filling.leftover import placed
from nesting.search.rectangles.packing import Packed, PackedItem, PackingBudget, Room, pack
from nesting.search.rectangles.rectangles import Filled, fill_rectangles


def assert_packed(items: list[PackedItem], room: Room, packed: Packed) -> None:
    """All items lie inside the room, clear of what is blocked and of one another."""
    assert packed.places is not None
    boxes = [box(x, y, x + w, y + h) for x, y, w, h in room.blocked]
    for item, place in zip(items, packed.places, strict=True):
        assert item.turn or not place.turned
        w, h = (item.height, item.width) if place.turned else (item.width, item.height)
        assert 0 <= place.x <= room.width - w
        assert 0 <= place.y <= room.height - h
        boxes.append(box(place.x, place.y, place.x + w, place.y + h))
    assert sum(b.area for b in boxes) == pytest.approx(shapely.union_all(boxes).area)


@pytest.mark.parametrize("name", ["C1P1", "C1P2", "C1P3", "C2P1", "C2P2", "C2P3", "C3P1"])
def test_rectangles_cut_from_a_rectangle_fill_it_again(benchmarks: Path, name: str) -> None:
    """Hopper, Turton 2000, sets C1, C2 and one of C3: turns of 90° allowed, nothing wasted."""
    instance = json.loads((benchmarks / "hopper_turton_C.json").read_text())["instances"][name]
    items = [PackedItem(w, h) for h, w in instance["rects_h_w"]]
    room = Room(instance["width"], instance["optimal_height"])
    assert_packed(items, room, pack(items, room))


@pytest.mark.parametrize("name", ["order9_33x32", "order21_112"])
def test_squares_fill_a_rectangle_without_waste(benchmarks: Path, name: str) -> None:
    """Moroń 1925 (order 9); Duijvestijn 1978 (order 21)."""
    instance = json.loads((benchmarks / "squared.json").read_text())[name]
    items = [PackedItem(side, side, False) for _, _, side in instance["squares"]]
    room = Room(instance["W"], instance["H"])
    assert_packed(items, room, pack(items, room))


def test_the_smallest_rectangles_for_the_first_squares_are_proven(benchmarks: Path) -> None:
    """OEIS A038666: every smaller rectangle is proven too small, the published area suffices."""
    published = json.loads((benchmarks / "consecutive_squares.json").read_text())["min_area"]
    for n in range(2, 11):
        items = [PackedItem(k, k, False) for k in range(1, n + 1)]
        assert smallest_area(items) == published[n - 1]


def smallest_area(items: list[PackedItem]) -> int:
    """The least area of a rectangle that holds all items (squares), each smaller one proven impossible."""
    total, side = sum(i.width * i.height for i in items), max(i.width for i in items)
    area = total
    while True:
        for width in (w for w in range(side, area + 1) if area % w == 0 and w * w <= area):
            found = pack(items, Room(width, area // width), PackingBudget(500_000, 60.0))
            if found.places is not None:
                return area
            assert found.impossible
        area += 1


def test_blocked_boxes_stay_clear_and_nothing_else_is_lost() -> None:
    room = Room(10, 6, ((4, 2, 2, 2),))
    items = [PackedItem(4, 6), PackedItem(4, 6), PackedItem(2, 2), PackedItem(2, 2)]
    assert_packed(items, room, pack(items, room))
    assert pack([*items, PackedItem(1, 1)], room).impossible


@settings(max_examples=20, deadline=None)
@given(st.integers(2, 9), st.integers(2, 9), st.lists(st.integers(0, 10**6), min_size=1, max_size=8))
def test_what_was_cut_from_a_room_is_never_called_impossible(width: int, height: int, cuts: list[int]) -> None:
    boxes = [(width, height)]
    for cut in cuts:
        w, h = boxes.pop(cut % len(boxes))
        if cut % 2 and w > 1:
            boxes += [(1 + cut % (w - 1), h), (w - 1 - cut % (w - 1), h)]
        elif h > 1:
            boxes += [(w, 1 + cut % (h - 1)), (w, h - 1 - cut % (h - 1))]
        else:
            boxes.append((w, h))
    items = [PackedItem(h, w) if w % 2 else PackedItem(w, h) for w, h in boxes if w and h]
    assert_packed(items, Room(width, height), pack(items, Room(width, height), PackingBudget(3_000_000, 1.0)))


def filled(problem: Problem, goal: tuple[int, ...]) -> Filled | None:
    return fill_rectangles(build(problem), goal, PackingBudget(500_000, 1.0))


QUARTERS = [0.0, 90.0, 180.0, -90.0]


def test_a_pinwheel_round_one_square_is_laid_on_leather_to_its_last_corner() -> None:
    """Four 20 × 30 round one 10 × 10 in 50 × 50."""
    shapes = [(box(0, 0, 30, 20), 4, QUARTERS), (box(0, 0, 10, 10), 1, QUARTERS)]
    problem = in_box(50, 50, shapes)
    found = filled(problem, (1,))
    assert found is not None
    assert found.pieces is not None
    arrays = build(problem)
    laid = [placed(problem, arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle)) for p in found.pieces]
    assert shapely.union_all(laid).area == pytest.approx(2500)
    assert Polygon(box(0, 0, 50, 50).buffer(1e-6)).contains(shapely.union_all(laid))


def test_five_squares_of_side_ten_never_lie_in_a_square_of_twenty_nine() -> None:
    problem = in_box(29, 29, [(box(0, 0, 10, 10), 5, QUARTERS)])
    found = filled(problem, (1,))
    assert found == Filled(impossible=True)


def test_nothing_is_proven_where_pieces_may_lie_askew_or_a_gap_is_kept() -> None:
    """Five squares of side 10 do lie askew in a square of side 27.08 (Göbel 1979)."""
    square = box(0, 0, 10, 10)
    region = box(0, 0, 28, 28)
    free = Kind("square", 0, square, (square,), 5, (Orientation(False, -180.0, 180.0, (0,)),))
    assert filled(Problem((region,), (region,), (free,), (Wanted("kit"),)), (1,)) == Filled()
    assert filled(in_box(28, 28, [(square, 5, QUARTERS)], gap=1.0), (1,)) == Filled()


def test_a_grid_finer_than_the_tolerance_proves_nothing() -> None:
    problem = in_box(29.99, 10, [(box(0, 0, 10, 10), 3, QUARTERS)])
    found = filled(problem, (1,))
    assert found is not None
    assert found.pieces is None
    assert not found.impossible


def test_other_shapes_and_slanting_leather_are_left_to_the_general_search() -> None:
    triangle = Polygon([(0, 0), (10, 0), (0, 10)])
    assert filled(in_box(50, 50, [(triangle, 1, QUARTERS)]), (1,)) is None
    square = box(0, 0, 10, 10)
    leather = Polygon([(0, 0), (50, 0), (40, 50), (0, 50)])
    kind = Kind("square", 0, square, (square,), 1, (Orientation(False, 0.0, 0.0, (0,)),))
    assert filled(Problem((leather,), (leather,), (kind,), (Wanted("kit"),)), (1,)) is None


def test_a_layout_of_rectangles_is_called_best_when_one_more_is_proven_impossible() -> None:
    """Areas alone would allow eight squares of side 100 in 290 × 290; upright ones, four."""
    square = rectangle("square", 100, 100, angles=(0.0, 90.0))
    layout = lay_out(plain_hide(290, 290), [Want(product(square))], Settings(effort="quick"))
    assert layout.counts[0].complete == 4
    assert layout.counts[0].at_most == 4
