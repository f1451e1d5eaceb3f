"""Bounds: never below what surely fits, and sharp where arithmetic tells the truth."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from boards import board, box, codes, laid
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from planted import SHAPES, planted
from shapely.geometry import Point
from strategies import star_rings

from hides.hide import Flaw, Grade, Hide
from nesting.batch.limits import limits_of
from nesting.bound import chords
from nesting.bound.discs import most_of_kind
from nesting.bound.limits import Bound, at_most, limits
from nesting.bound.remaining import most_beside_given
from nesting.laying.lay_out import lay_out
from nesting.model.product import Along, Piece, Product
from nesting.model.settings import Settings, Watch
from nesting.model.straight import StraightRules
from nesting.model.want import Want
from nesting.posing.pose_problem import pose_problem

MODEST = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def most(hide: Hide, product: Product, gap: float = 0.0) -> int:
    return at_most(pose_problem(hide, [Want(product)], gap), 0)


def plain(length: float, width: float, **changes: object) -> Hide:
    """A rectangle of leather, backbone along its length."""
    return replace(board(), outline=box(0.0, 0.0, length, width), **changes)


def strap(width: float, length: float, **changes: object) -> Product:
    ring = box(0.0, 0.0, width, length)
    return Product("straps", (replace(Piece("strap", ring, along=Along.BACKBONE), **changes),))


@MODEST
@given(
    seed=st.integers(0, 10**9),
    names=st.lists(st.sampled_from(sorted(SHAPES)), min_size=1, max_size=3, unique=True),
    number=st.integers(1, 4),
    gap=st.sampled_from([0.0, 0.0, 3.0]),
    spoilt=st.sampled_from([1.0, 1.0, 0.6]),
    off=st.sampled_from([0.0, 0.0099]),
)
def test_a_planted_layout_is_never_beyond_the_bound(
    seed: int, names: list[str], number: int, gap: float, spoilt: float, off: float
) -> None:
    case = planted(seed, names, number, gap, spoilt, off)
    assert most(case.hide, case.product, case.gap) >= case.number


def test_a_layout_that_a_raster_of_what_kinds_reach_once_forbade_is_within_the_bound() -> None:
    case = planted(68323, ["ell", "half moon", "disc"], 3, 0.0, 1.0, 0.0)
    assert most(case.hide, case.product, case.gap) >= case.number


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("off", [0.0, 0.0099])
def test_planted_layouts_pass_the_check(seed: int, off: float) -> None:
    """So the bound is attacked by layouts that are right, though they use all of the tolerance."""
    case = planted(seed, ["panel", "strap", "ell"], 2, gap=3.0 * (seed % 2), off=off)
    layout = laid(case.hide, case.product.pieces, case.placements, case.gap, complete=2)
    assert codes(layout) <= {"areas"}


@pytest.mark.parametrize("seed", [12, 25])
@pytest.mark.parametrize("name", ["disc", "tapered", "half moon"])
def test_planted_layouts_over_lesser_leather_pass_the_check(name: str, seed: int) -> None:
    case = planted(seed, [name], 1)
    assert case.product.pieces[0].covered
    assert case.hide.zones
    assert codes(laid(case.hide, case.product.pieces, case.placements, case.gap, complete=1)) <= {"areas"}


@pytest.mark.parametrize("seed", range(2))
def test_with_all_else_spoilt_the_bound_is_the_planted_number(seed: int) -> None:
    case = planted(seed, ["panel", "strap"], 4)
    assert most(case.hide, case.product) == case.number


@MODEST
@given(
    st.integers(20, 400),
    st.integers(60, 400),
    st.floats(1.0, 5.99),
    st.floats(1.0, 4.99),
    st.floats(0, 2 * math.pi),
)
def test_straps_of_one_way_in_a_rectangle_are_floor_times_floor(
    width: int, length: int, across: float, along: float, turn: float
) -> None:
    """Rows and columns are the best for congruent rectangles that may not be turned: plain arithmetic."""
    sides = round(along * length, 1), round(across * width, 1)
    exact = math.floor(round(sides[0] / length, 9)) * math.floor(round(sides[1] / width, 9))
    hide = plain(*sides)
    assert most(hide, strap(width, length)) == exact
    c, s = math.cos(turn), math.sin(turn)
    turned = tuple((c * x - s * y + 310.0, s * x + c * y - 77.0) for x, y in hide.outline)
    assert most(replace(hide, outline=turned, backbone=((0.0, 0.0), (c, s))), strap(width, length)) == exact


def test_two_lengths_cannot_share_a_line_that_is_too_short_for_both() -> None:
    """Of a 1000 mm line, one 560 mm strap leaves 440: no more straps, whatever its area says."""
    assert most(plain(1000.0, 320.0), strap(32.0, 560.0)) == 10
    assert 320_000 // (32 * 560) == 17


def test_a_layout_that_uses_its_tolerance_is_within_the_bound() -> None:
    """Ten straps of 32 mm on 319.99 mm: each pair may lie 0.01 mm in one another."""
    assert most(plain(560.0, 319.99), strap(32.0, 560.0)) == 10


def test_the_gap_counts_between_pieces_only() -> None:
    assert most(plain(300.0, 104.0), strap(32.0, 300.0), gap=4.0) == 3
    assert most(plain(300.0, 103.0), strap(32.0, 300.0), gap=4.0) == 2


def test_discs_in_a_large_square_keep_to_their_density() -> None:
    """Thue: at most pi / sqrt(12) of the plane; Oler's edge term adds less than a row on each side."""
    ring = tuple((r.real, r.imag) for r in 20 * np.exp(2j * np.pi * np.arange(90) / 90))
    problem = pose_problem(plain(2000.0, 2000.0), [Want(Product("discs", (Piece("disc", ring),)))], 0.0)
    inside = 20 * math.cos(math.pi / 90)
    thue = math.pi / math.sqrt(12) * 2000**2 / (math.pi * inside**2)
    assert thue * 0.98 < most_of_kind(problem, 0) <= thue + 2000 / 20
    assert at_most(problem, 0) == most_of_kind(problem, 0) < 2000**2 / (math.pi * inside**2)


@pytest.mark.parametrize(("number", "side"), [(2, 3.4142), (3, 3.9319), (4, 4.0), (5, 4.8284), (7, 5.7321), (9, 6.0)])
def test_known_packings_of_discs_in_a_square_are_within_the_bound(number: int, side: float) -> None:
    """Smallest squares for n unit circles (Graham and Lubachevsky 1996; n <= 9 proven), rounded up."""
    ring = tuple((r.real, r.imag) for r in 50 * np.exp(2j * np.pi * np.arange(180) / 180))
    long = 50 * side + 0.01
    assert most(plain(long, long), Product("discs", (Piece("disc", ring),))) >= number


def test_squares_of_the_order_nine_squared_rectangle_are_within_the_bound() -> None:
    """Moroń 1925: 33 by 32 of squares of 18, 15, 14, 10, 9, 8, 7, 4 and 1, no two alike."""
    sides = (18, 15, 14, 10, 9, 8, 7, 4, 1)
    pieces = tuple(Piece(f"{s}", box(0.0, 0.0, 10.0 * s, 10.0 * s), angles=(0.0, 90.0)) for s in sides)
    hide = plain(330.0, 320.0)
    assert most(hide, Product("squared", pieces)) == 1
    assert most(replace(hide, outline=box(0.0, 0.0, 330.0, 319.0)), Product("squared", pieces)) == 0


CUTS = tuple(Flaw("cut", box(x, -1.0, 1.0, 202.0), Grade.NONE) for x in (90.0, 181.0))
DISC = tuple((20 * math.cos(a), 20 * math.sin(a)) for a in np.arange(90) * 2 * math.pi / 90)


@pytest.mark.parametrize(
    ("hide", "pieces", "told"),
    [
        (plain(300.0, 320.0), [Piece("tile", box(0, 0, 150, 101), angles=(0.0, 45.0, 90.0))], "area of leather"),
        (plain(1000.0, 320.0), [Piece("strap", box(0, 0, 32, 560), along=Along.BACKBONE)], "whole lengths"),
        (plain(2000.0, 2000.0), [Piece("disc", DISC)], "round pieces"),
        (plain(273.0, 200.0, flaws=CUTS), [Piece("panel", box(0, 0, 60, 190))], "separate parts"),
    ],
)
def test_of_what_a_bound_follows_is_said(hide: Hide, pieces: list[Piece], told: str) -> None:
    bound = Bound(pose_problem(hide, [Want(Product("goods", tuple(pieces)))], 0.0))
    most, why = bound.told(0)
    assert told in why
    assert most == bound.at_most(0)


def test_a_layout_says_of_what_its_bound_follows() -> None:
    count = lay_out(plain(1000.0, 320.0), [Want(strap(32.0, 560.0))], Settings(effort="quick")).counts[0]
    assert (count.complete, count.at_most, count.told_by) == (10, 10, "whole lengths of pieces across the leather")


def test_islands_hold_whole_pieces() -> None:
    """Two halves of a hide parted by a cut hold one panel each, though 2.8 panels by area."""
    cut = Flaw("cut", box(140.0, -1.0, 1.0, 202.0), Grade.NONE)
    panel = Product("panels", (Piece("panel", box(0.0, 0.0, 100.0, 200.0)),))
    assert most(plain(281.0, 200.0, flaws=(cut,)), panel) == 2
    other = Product("both", (*panel.pieces, Piece("half", box(0.0, 0.0, 100.0, 150.0))))
    assert most(plain(281.0, 200.0, flaws=(cut,)), other) == 1


@MODEST
@given(
    star_rings((0.0, 0.0), (150.0, 400.0)),
    star_rings((60.0, 20.0), (5.0, 60.0), (6, 9)),
    st.sampled_from(["panel", "strap", "disc", "ell"]),
)
def test_a_flaw_never_adds_to_the_bound(ring: object, spot: object, name: str) -> None:
    hide = replace(board(), outline=ring)
    goods = Product("goods", (Piece(name, SHAPES[name], along=Along.BACKBONE, tolerance=5.0),))
    flawed = replace(hide, flaws=(Flaw("hole", spot, Grade.NONE, 3.0),))  # type: ignore[arg-type]
    assert most(flawed, goods) <= most(hide, goods)


def test_nothing_fits_where_every_piece_is_too_long() -> None:
    assert most(plain(500.0, 300.0), strap(40.0, 520.0)) == 0


def test_limits_hold_for_products_together() -> None:
    """Panels on grade A only and flaps anywhere: the A leather bounds the panels, all leather both."""
    zone_c = Flaw("belly", box(500.0, 0.0, 500.0, 600.0), Grade.C)
    panel = Product("panels", (Piece("panel", box(0.0, 0.0, 100.0, 200.0)),))
    flap = Product("flaps", (Piece("flap", box(0.0, 0.0, 100.0, 100.0), grade=Grade.C),))
    told = limits(pose_problem(board(flaws=(zone_c,)), [Want(panel), Want(flap)], 0.0))
    assert any(x.uses[1] == 0 and 15 <= x.room / x.uses[0] < 15.1 for x in told if x.uses[0])
    assert any(x.uses[0] and x.uses[1] and 60 <= x.room / x.uses[1] < 60.1 for x in told)


@pytest.mark.parametrize("turn", [0.0, 3.0, 11.3, 45.0])
def test_a_disc_may_lie_at_any_angle_though_the_problem_states_one(turn: float) -> None:
    """A 16-sided disc cut out of all else, turned: there is room for it."""
    corners = 40 * np.exp(2j * np.pi * np.arange(16) / 16)
    piece = Piece("disc", tuple((z.real, z.imag) for z in corners), along=Along.BACKBONE, tolerance=180.0)
    lie = shapely.Polygon([(z.real, z.imag) for z in corners * np.exp(1j * math.radians(turn))])
    hide = replace(board(), outline=tuple(lie.exterior.coords[:-1]))
    assert Point(0, 0).buffer(39).within(lie)
    assert most(hide, Product("discs", (piece,))) == 1


def many_ways() -> Product:
    """Two pieces at every 15°: a bound by lines that is much work."""
    turns = tuple(float(15 * k) for k in range(24))
    return Product("ways", tuple(Piece(f"{w}", box(0.0, 0.0, w, 210.0), angles=turns) for w in (80.0, 30.0)))


def test_a_bound_that_is_stopped_holds_and_is_sharper_once_it_may_go_on() -> None:
    problem = pose_problem(plain(400.0, 300.0), [Want(many_ways())], 0.0)
    asked: list[int] = []

    def soon() -> bool:
        asked.append(1)
        return len(asked) > 3

    cut_short, whole = Bound(problem), Bound(problem)
    first = cut_short.at_most(0, soon)
    assert not whole.light
    assert len(asked) < 20
    assert first >= whole.at_most(0)
    assert set(cut_short.areas) <= set(whole.sharpen())
    assert cut_short.at_most(0) == whole.at_most(0)


def test_where_the_bound_is_much_work_something_is_laid_before_it() -> None:
    """Stopped at the first word that pieces lie: there is a layout, and its bound holds."""
    heard: list[str] = []
    watch = Watch(
        report=lambda progress: heard.append(progress.best), stop=lambda: any(b and b[0] != "0" for b in heard)
    )
    layout = lay_out(plain(400.0, 300.0), [Want(many_ways())], Settings(effort="quick"), watch)
    assert layout.stopped
    assert 1 <= layout.counts[0].complete <= layout.counts[0].at_most


def test_bounds_beside_kept_pieces_of_orders_and_of_strips_heed_a_stop_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a stop is asked for before them no line is drawn, and what is told holds."""
    hide, product = plain(400.0, 300.0), many_ways()
    problem = pose_problem(hide, [Want(product)], 0.0)
    whole, kept = at_most(problem, 0), replace(problem, kinds=tuple(replace(k, given=1) for k in problem.kinds))
    beside = most_beside_given(kept, 0)

    def never_asked(*_: object) -> None:
        raise AssertionError("a bound by lines was worked out after the stop")

    monkeypatch.setattr(chords, "_along", never_asked)
    assert most_beside_given(kept, 0, lambda: True) >= beside
    assert limits_of(hide, [product], Settings(), lambda: True).most[0] >= whole
    assert limits(problem, lambda: True)
    straight = Settings(effort="quick", straight=StraightRules())
    layout = lay_out(hide, [Want(product)], straight, Watch(stop=lambda: True))
    assert layout.stopped
    assert layout.counts[0].at_most >= whole
