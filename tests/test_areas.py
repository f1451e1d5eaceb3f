"""Where a hide's area goes: the balance, the strip, the flaws and the rule for offcuts."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from hides.hide import Flaw, Grade, Hide, Ring, Zone
from nesting.model.layout import HideLayout, Placement
from nesting.result.areas import LEAST_AREA, LEAST_WIDTH, account, gone, headings, unusable


def box(x: float, y: float, w: float, h: float) -> Ring:
    return ((x, y), (x + w, y), (x + w, y + h), (x, y + h))


def blob(x: float, y: float, radius: float, points: int = 100, wave: float = 0.1) -> Ring:
    def at(k: int) -> tuple[float, float]:
        turn = 2 * math.pi * k / points
        r = radius * (1 + wave * math.sin(5 * turn))
        return x + r * math.cos(turn), y + r * math.sin(turn)

    return tuple(at(k) for k in range(points))


def test_a_strip_along_a_square_is_edge_and_the_rest_one_offcut() -> None:
    """A 1 m square with a 10 mm strip: 4 · 990 · 10 mm² of edge, by hand."""
    areas, offcuts = account(Hide("h", box(0, 0, 1000, 1000), edge=10), [], 0)
    assert areas.edge == pytest.approx(1000**2 - 980**2)
    assert areas.usable == pytest.approx(980**2)
    assert len(offcuts) == 1
    # The disc leaves the four corners: (4 − π) r² of scrap, and a hair along the outline.
    assert areas.scrap == pytest.approx((4 - math.pi) * (LEAST_WIDTH / 2) ** 2 + 0.4 * 4 * 980, rel=0.05)


def test_an_unusable_flaw_takes_its_clearance_with_it() -> None:
    """A 20 mm square hole with 5 mm around it: 20² + 4 · 20 · 5 + π 5² mm²."""
    flaw = Flaw("hole", box(490, 490, 20, 20), Grade.NONE, 5)
    areas, _ = account(Hide("h", box(0, 0, 1000, 1000), flaws=(flaw,)), [], 0)
    assert areas.flaws == pytest.approx(20**2 + 4 * 20 * 5 + math.pi * 25, abs=0.2)
    assert areas.usable == pytest.approx(1e6 - areas.flaws)


def test_a_flaw_of_lesser_grade_stays_usable_and_may_lie_in_an_offcut() -> None:
    flaw = Flaw("scar", box(400, 400, 200, 200), Grade.D, 5)
    areas, offcuts = account(Hide("h", box(0, 0, 1000, 1000), flaws=(flaw,)), [], 0)
    assert areas.flaws == 0
    assert areas.usable == pytest.approx(1e6)
    assert Polygon(offcuts[0]).contains(Polygon(flaw.outline))


def test_a_piece_lying_over_a_flaw_counts_as_piece() -> None:
    flaw = Flaw("scar", box(100, 100, 50, 50), Grade.NONE)
    areas, _ = account(Hide("h", box(0, 0, 500, 500), flaws=(flaw,)), [box(50, 50, 200, 200)], 0)
    assert areas.flaws == 0
    assert areas.pieces == pytest.approx(40_000)


def test_what_is_gone_is_told_apart_from_flaws_and_only_where_it_was_usable() -> None:
    """Of 200 × 100 mm that are gone 200 × 10 lie in the edge strip, and 20 × 100 under a scar that nobody can use."""
    cut = Flaw("gone", box(100, 0, 200, 100), Grade.NONE)
    scar, other = Flaw("scar", box(280, 0, 40, 200), Grade.NONE), Flaw("cut", box(400, 400, 10, 10), Grade.NONE)
    hide = Hide("h", box(0, 0, 1000, 1000), edge=10, flaws=(cut, scar, other))
    piece = Placement("p", "P", 1, 0, 0, 0, False, box(500, 500, 100, 100))
    areas, offcuts = account(hide, [piece.outline], 0)
    lost = gone(HideLayout(hide, (piece,), areas, offcuts))
    assert lost == pytest.approx(180 * 90)
    told = dict(headings(areas, lost))
    assert told["unusable flaws"] == pytest.approx(40 * 190 + 100)
    assert sum(told.values()) == pytest.approx(areas.hide)


def test_nothing_is_said_to_be_gone_where_nothing_is() -> None:
    hide = Hide("h", box(0, 0, 500, 500), flaws=(Flaw("gone", box(9, 9, 9, 9), Grade.D), Flaw("cut", box(9, 9, 9, 9))))
    areas, offcuts = account(hide, [], 0)
    assert gone(HideLayout(hide, (), areas, offcuts)) == 0
    assert "gone already" not in dict(headings(areas, 0))


def test_a_hide_of_grade_none_is_all_flaw() -> None:
    areas, offcuts = account(Hide("h", box(0, 0, 500, 500), grade=Grade.NONE), [], 0)
    assert (areas.flaws, areas.usable, offcuts) == (250_000, 0, ())


def test_a_neck_narrower_than_the_disc_parts_two_offcuts() -> None:
    """Two fields of 300 mm joined by a neck a little narrower than the disc."""
    neck = LEAST_WIDTH - 1
    hide = Polygon(box(0, 0, 300, 300)).union(Polygon(box(300, 100, 100, neck))).union(Polygon(box(400, 0, 300, 300)))
    _, offcuts = account(Hide("h", tuple(hide.exterior.coords[:-1])), [], 0)
    assert len(offcuts) == 2
    assert Polygon(offcuts[0]).intersection(Polygon(offcuts[1])).area == 0


def test_a_leftover_too_small_or_too_narrow_is_scrap() -> None:
    side = math.sqrt(LEAST_AREA)
    small, _ = account(Hide("h", box(0, 0, side - 1, side - 1)), [], 0)
    narrow, _ = account(Hide("h", box(0, 0, LEAST_WIDTH - 1, 2000)), [], 0)
    assert small.offcuts == narrow.offcuts == 0
    assert small.scrap == small.hide
    assert narrow.scrap == narrow.hide


def test_a_leftover_around_a_piece_is_slit_open() -> None:
    pieces = [box(200, 200, 100, 100), box(600, 600, 150, 150)]
    areas, offcuts = account(Hide("h", box(0, 0, 1000, 1000)), pieces, 0)
    assert len(offcuts) == 1
    ring = Polygon(offcuts[0])
    assert ring.is_valid
    assert ring.intersection(shapely.union_all([Polygon(p) for p in pieces])).area == 0
    assert areas.offcuts == pytest.approx(1e6 - 100**2 - 150**2, rel=0.005)


def test_an_offcut_drawn_with_fewer_corners_still_keeps_off_a_round_end() -> None:
    """Here GEOS's simplification strays by 0.4 mm where 0.25 mm are allowed."""
    hide = ((423, 28), (422.8, 27.6), (422.6, 27.1), (416.2, 5), (5, 5), (5, 865), (423, 842))
    pieces = [
        ((142.1, 531.2), (376.6, 531.2), (376.6, 557.8), (142.1, 557.8)),
        ((5, 450.2), (142.1, 450.2), (142.1, 546.8), (5, 546.8)),
        ((5, 684.2), (5, 780.7), (65, 780.7), (74.4, 779.8), (83.5, 777), (91.8, 772.6), (99.1, 766.6), (105.1, 759.3),
         (109.6, 750.9), (112.3, 741.9), (113.3, 732.4), (112.3, 723), (109.6, 714), (105.1, 705.6), (99.1, 698.3),
         (91.8, 692.3), (83.5, 687.9), (74.4, 685.1), (65, 684.2)),
        ((5, 652.6), (205.3, 652.6), (205.3, 684.2), (5, 684.2)),
        ((205.3, 557.8), (205.3, 654.3), (265.3, 654.3), (274.7, 653.4), (283.7, 650.6), (292.1, 646.2), (299.4, 640.2),
         (305.4, 632.8), (309.8, 624.5), (312.6, 615.4), (313.5, 606), (312.6, 596.6), (309.8, 587.6), (305.4, 579.2),
         (299.4, 571.9), (292.1, 565.9), (283.7, 561.4), (274.7, 558.7), (265.3, 557.8)),
    ]  # fmt: skip
    _, offcuts = account(Hide("h", hide), pieces, 0)
    assert offcuts
    assert all(Polygon(ring).intersection(Polygon(piece)).area == 0 for ring in offcuts for piece in pieces)


def test_an_offcut_with_slits_stays_a_simple_ring_on_its_grid() -> None:
    """Rounding a slit's corners to a thousandth had it cross itself."""
    pieces = [
        ((219.7889, 478.73), (302.5263, 474.9623), (299.7968, 415.0244)),
        ((412.3925, 501.5098), (402.7819, 519.0926), (399.0751, 538.7847)),
        ((412.7805, 424.6056), (502.676, 436.6162), (504.9693, 430.2749)),
    ]
    _, offcuts = account(Hide("h", box(0, 0, 600, 600)), pieces, 0)
    assert offcuts
    assert all(Polygon(ring).is_valid for ring in offcuts)


def test_offcuts_keep_the_gap_from_pieces() -> None:
    piece = box(0, 0, 300, 500)
    _, offcuts = account(Hide("h", box(0, 0, 1000, 500)), [piece], 4)
    assert Polygon(offcuts[0]).distance(Polygon(piece)) >= 4


def test_squares_that_fill_the_hide_leave_nothing() -> None:
    """The order-9 squared rectangle, 33 × 32 (Moroń 1925): nine squares, no waste."""
    squares = [(0, 0, 18), (18, 0, 15), (0, 18, 14), (14, 18, 4), (18, 15, 7), (25, 15, 8),
               (14, 22, 10), (24, 22, 1), (24, 23, 9)]  # fmt: skip
    areas, offcuts = account(
        Hide("h", box(0, 0, 330, 320)), [box(10 * x, 10 * y, 10 * s, 10 * s) for x, y, s in squares], 0
    )
    assert areas.pieces == pytest.approx(areas.hide)
    assert areas.scrap == pytest.approx(0, abs=1e-6)
    assert offcuts == ()


cells = st.sets(st.tuples(st.integers(0, 7), st.integers(0, 7)), max_size=20)


@settings(max_examples=40, deadline=None)
@given(
    cells,
    st.floats(0, 30),
    st.floats(0, 5),
    st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500)), max_size=6),
)
def test_the_headings_add_up_and_offcuts_are_usable_leather(
    laid: set[tuple[int, int]], edge: float, gap: float, spots: list[tuple[float, float]]
) -> None:
    flaws = tuple(Flaw("hole", blob(x, y, 15, 12), Grade.NONE, 3) for x, y in spots)
    belly = Zone("belly", box(-600, -600, 1200, 200), Grade.C)
    hide = Hide("h", blob(0, 0, 600), edge=edge, flaws=flaws, zones=(belly,))
    pieces = [box(-280 + 70 * i, -280 + 70 * j, 60, 55) for i, j in sorted(laid)]
    areas, offcuts = account(hide, pieces, gap)
    parts = (areas.pieces, areas.edge, areas.flaws, areas.offcuts, areas.scrap)
    assert sum(parts) == pytest.approx(areas.hide, abs=1)
    assert min(parts) >= 0
    rings = [Polygon(ring) for ring in offcuts]
    forbidden = shapely.union_all([*(Polygon(p) for p in pieces), unusable(hide)])
    for k, ring in enumerate(rings):
        assert ring.is_valid
        assert ring.area >= LEAST_AREA - 1
        assert ring.intersection(forbidden).area < 0.01
        assert Polygon(hide.outline).contains(ring)
        assert not any(ring.intersects(other) for other in rings[k + 1 :])
