"""Every step of the bounds against figures reckoned by hand: areas, lengths along lines, discs, islands, what is left.

Circles are drawn as polygons of n corners, so that their areas are known: n/2 r² sin(2π/n).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from problems import in_box
from shapely import affinity
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nesting.bound import chords, remaining
from nesting.bound.atoms import atoms
from nesting.bound.chords import Sections, headings, nearly_round
from nesting.bound.discs import _too_long, most_of_kind
from nesting.bound.hall import Need, _admitted, hall_limits, rooms
from nesting.bound.islands import _nested, _shared_out, _solved, _within, most_on_islands
from nesting.bound.limit import Limit
from nesting.bound.limits import Bound, at_most
from nesting.bound.remaining import CHINK, BoundBesideGiven, _drawn_in, most_beside_given
from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.model.settings import Stop, never
from nesting.model.tolerance import SHARED, TURNED

ALWAYS = (Orientation(False, 0.0, 0.0, (0,)),)


def square(side: float, x: float = 0.0, y: float = 0.0) -> Polygon:
    return box(x, y, x + side, y + side)


def many_sided(corners: int, radius: float, wide: float = 1.0) -> Polygon:
    turns = [2 * math.pi * k / corners for k in range(corners)]
    return Polygon([(wide * radius * math.cos(t), radius * math.sin(t)) for t in turns])


def chorded(corners: int, radius: float) -> float:
    return corners / 2 * radius**2 * math.sin(2 * math.pi / corners)


def kind(outline: Polygon, count: int = 1, product: int = 0, regions: tuple[int, ...] = (0,), given: int = 0) -> Kind:
    return Kind("", product, outline, (outline,), count, (Orientation(False, 0.0, 0.0, regions),), given=given)


def problem(outer: list[Polygon], kinds: list[Kind], gap: float = 0.0, limit: int | None = None) -> Problem:
    wanted = tuple(Wanted(str(p), limit=limit) for p in range(1 + max(k.product for k in kinds)))
    return Problem(tuple(outer), tuple(outer), tuple(kinds), wanted, gap)


# --- one limit


@pytest.mark.parametrize(
    ("use", "room", "most"),
    [(2.0, 7.9, 3), (2.0, 8.0, 4), (2.0, 8.0 - 1e-10, 4), (2.0, 8 - 1e-6, 3), (0.0, 5.0, None), (-1.0, 5.0, None),
     (2.0, -3.0, 0), (1e-3, 1.0, 1000)],
)  # fmt: skip
def test_a_limit_alone_allows_the_whole_number_below(use: float, room: float, most: int | None) -> None:
    assert Limit((9.0, use), room, "").at_most(1) == most


# --- areas


def test_atoms_are_told_apart_by_the_regions_that_hold_them() -> None:
    """Two squares of 10 mm that share 4 by 10, an empty region between them."""
    found, crumbs = atoms([square(10), Polygon(), square(10, 6)])
    assert {atom.regions: round(atom.shape.area, 9) for atom in found} == {
        frozenset({0}): 60, frozenset({0, 2}): 40, frozenset({2}): 60,
    }  # fmt: skip
    assert crumbs == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(("wide", "told"), [(0.1, False), (0.1001, True)])
def test_atoms_of_a_square_millimetre_are_crumbs(wide: float, told: bool) -> None:
    found, crumbs = atoms([square(10), box(10 - wide, 0, 20, 10)])
    areas = {atom.regions: atom.shape.area for atom in found}
    assert (frozenset({0, 1}) in areas) == told
    assert areas[frozenset({0})] == pytest.approx(100 - 10 * wide)
    assert crumbs == pytest.approx(0 if told else 1, abs=1e-9)
    alone, small = atoms([box(0, 0, 10 * wide, 1)])
    assert (len(alone), small) == ((1, 0) if told else (0, pytest.approx(1)))


def test_a_region_that_only_touches_others_is_an_atom_of_its_own() -> None:
    found, crumbs = atoms([square(10), square(10, 10), square(10, 0, 10)])
    assert {atom.regions: atom.shape.area for atom in found} == {frozenset({n}): 100 for n in range(3)}
    assert crumbs == 0


@pytest.mark.parametrize("count", [1, 3])
def test_the_room_of_one_kind_is_the_leather_and_its_use_what_it_shares_with_nobody(count: int) -> None:
    got = rooms(in_box(100, 60, [(square(20), count, [0.0])]))
    assert got.uses.tolist() == [[0.0], [pytest.approx(count * (400 - 80 * SHARED), rel=1e-12)]]
    assert got.room.tolist() == [pytest.approx(1 + 6e-6, rel=1e-9), pytest.approx(6001 + 6e-6, rel=1e-12)]


def test_what_is_thinner_than_it_may_share_takes_nothing() -> None:
    got = rooms(in_box(100, 60, [(box(0, 0, 30, SHARED), 1, [0.0])]))
    assert got.uses[-1, 0] == 0


@pytest.mark.parametrize("gap", [2 * SHARED, 2.5 * SHARED, 0.1, 4.0])
def test_half_of_the_gap_goes_with_piece_and_leather(gap: float) -> None:
    """Leather is drawn out by circles of 128 corners, a thousandth larger than they lose; pieces by circles of 16."""
    got = rooms(in_box(100, 60, [(square(20), 1, [0.0])], gap))
    out, own = gap / 2 * 1.0005, gap / 2 - SHARED
    leather = 6000 + 320 * out + chorded(128, out)
    piece = 400 + 80 * own + chorded(16, own) if gap > 2 * SHARED else 400 - 80 * SHARED
    assert leather > 6000 + 320 * gap / 2 + math.pi * (gap / 2) ** 2
    assert got.uses[-1, 0] == pytest.approx(piece, rel=1e-9)
    assert got.room[-1] == pytest.approx(leather + 1 + 1e-9 * leather, rel=1e-9)


def test_each_set_of_needs_has_the_leather_that_one_of_them_may_lie_on() -> None:
    """Large pieces (taken first) go on the left half alone, small ones anywhere; one of each product."""
    case = problem([square(100), box(0, 0, 50, 100)], [kind(square(10), 2, 0), kind(square(30), 1, 1, (1,))])
    got = rooms(case)
    small, large = 2 * (100 - 40 * SHARED), 900 - 120 * SHARED
    assert [need.parts for need in got.needs] == [((1, 0),), ((0, 0),)]
    assert np.allclose(got.uses, [[0, 0], [0, large], [small, 0], [small, large]])
    assert np.allclose(got.room - 1 - 1e-5, [0, 5000, 10_000, 10_000])
    limits = hall_limits(case)
    assert min(n for limit in limits if (n := limit.at_most(1)) is not None) == 5001 // large
    assert min(n for limit in limits if (n := limit.at_most(0)) is not None) == 10_001 // small


def test_pieces_of_less_than_a_square_millimetre_are_bound_too() -> None:
    case = in_box(10, 10, [(square(0.8), 1, [0.0])])
    assert [limit.at_most(0) for limit in hall_limits(case)] == [math.floor(101 / (0.64 - 3.2 * SHARED))]


def test_fourteen_needs_are_told_apart_and_of_more_the_least_are_taken_together() -> None:
    def needs(number: int) -> list[tuple[tuple[int, int], ...]]:
        made = [kind(square(5.0 + k)) for k in range(number)]
        return [need.parts for need in rooms(problem([square(100)], made)).needs]

    assert needs(3) == [((2, 0),), ((1, 0),), ((0, 0),)]
    assert needs(14) == [((k, 0),) for k in range(13, -1, -1)]
    assert needs(16) == [((k, 0),) for k in range(15, 2, -1)] + [((2, 0), (1, 0), (0, 0))]


def test_leather_serves_needs_taken_together_where_it_serves_one_of_them() -> None:
    case = problem([square(100), square(50), square(9)], [kind(square(10)), kind(square(20), 1, 0, (1,))])
    both = [Need(((0, 0), (1, 0))), Need(((1, 0),))]
    assert [_admitted(case, both, at) for at in ({0}, {1}, {2}, {0, 2}, {0, 1})] == [1, 3, 0, 1, 3]


def test_crumbs_are_leather_for_every_need() -> None:
    """Two squares that share a strip of half a square millimetre: whoever asks for one may lie on that too."""
    case = problem([square(10), box(9.95, 0, 20, 10)], [kind(square(3), 1, 0), kind(square(2), 1, 1, (1,))])
    assert (rooms(case).room - 1).tolist() == pytest.approx([0, 100, 100.5, 200], abs=1e-4)


def test_what_a_piece_of_less_than_a_square_millimetre_needs_is_looked_at_by_itself() -> None:
    case = problem([square(10, 50), box(0, 0, 1, 10)], [kind(square(0.8), 1, 0, (1,)), kind(square(5), 1, 1)])
    told = [n for limit in hall_limits(case) if (n := limit.at_most(0)) is not None]
    assert min(told) == math.floor(11 / (0.64 - 3.2 * SHARED))


def test_the_room_of_all_leather_is_always_told() -> None:
    """Each product has leather of its own, the second far too little for its size: alone that tells more."""
    case = problem([square(70), square(70, 100)], [kind(square(10), 1, 0), kind(square(30), 1, 1, (1,))])
    assert tuple(rooms(case).uses[-1]) in {limit.uses for limit in hall_limits(case)}


def test_leather_serves_a_kind_that_may_lie_there_one_way_round() -> None:
    ways = (Orientation(False, 0.0, 0.0, (0,)), Orientation(False, 90.0, 90.0, (1,)))
    turned = replace(kind(square(10)), orientations=ways)
    case = problem([square(100), square(50)], [turned])
    assert [_admitted(case, [Need(((0, 0),))], at) for at in ({0}, {1}, {2})] == [1, 1, 0]


# --- lengths along lines


def test_sections_tell_how_many_whole_units_lines_meet() -> None:
    """A triangle 10 high on a side of 10: sections of 4 and more over 6 mm, of 8 and more over 2."""
    made = Sections(np.array([2.0, 12.0]), np.array([10.0, 0.0]))
    assert (made.high, made.long) == (10, 10)
    assert made.units(4.0, np.array([1.0, 2.0, 3.0, 7.0])).tolist() == [8, 4, 2, 0]
    assert made.units(11.0, np.array([1.0])).tolist() == [0]
    assert made.units(10 / 3 + 1e-10, np.array([1.0])).tolist() == [6 + 3 + 0]
    both = Sections(np.array([0.0, 4.0, 10.0]), np.array([2.0, 6.0, 0.0]))
    assert both._where(np.array([6.0, 3.0, 2.0])).tolist() == pytest.approx([0, 6, 8])
    assert made.key == Sections(np.array([0.0, 10.0]), np.array([10.0 + 1e-9, 0.0])).key
    assert made.key != Sections(np.array([0.0, 10.0]), np.array([10.0 + 1e-6, 0.0])).key


def test_sections_are_long_enough_over_all_heights_between() -> None:
    """Of 4, 10, 10 and 2 mm at heights 0, 1, 2 and 4: 6 mm and more over two thirds of the first, and so on."""
    made = Sections(np.array([0.0, 1.0, 2.0, 4.0]), np.array([4.0, 10.0, 10.0, 2.0]))
    assert made._where(np.array([6.0, 8.0])).tolist() == pytest.approx([2 / 3 + 1 + 1, 1 / 3 + 1 + 1 / 2])


def test_the_sharpest_limit_of_each_product_and_of_all_together_is_told() -> None:
    """Uses of a half count like others, and what uses nothing of a product says nothing of it."""
    of = {"a": ((1.0, 0, 0), 5.0), "b": ((0, 0.5, 0), 3.5), "c": ((0, 0, 1.0), 9.0), "all": ((1.0, 1, 1), 10.0),
          "none": ((0.0, 0, 0), 0.0), "loose": ((1.0, 1, 0), 50.0)}  # fmt: skip
    case = problem([square(9)], [kind(square(1), 1, product) for product in range(3)])
    found = [Limit(uses, room, name) for name, (uses, room) in of.items()]
    assert [limit.why for limit in chords._best(case, found)] == ["a", "b", "c", "all"]


def test_a_kind_keeps_its_angles_where_all_its_ways_to_lie_do() -> None:
    def keeps(*ranges: tuple[float, float]) -> bool:
        return chords._keeps(replace(kind(square(9)), orientations=tuple(Orientation(False, *r, (0,)) for r in ranges)))

    assert keeps((0.0, 0.0), (90.0, 90.0))
    assert not keeps((0.0, 0.5))
    assert not keeps((0.0, 0.0), (90.0, 95.0))


def test_sections_are_never_told_too_long() -> None:
    assert (chords._cut(box(0, 0, 12, 7)).lengths <= 12 - 9e-7).all()


SIZES = {(p * d, math.floor(250 / (60 / p)) * math.floor(97 / (20 / d))) for p in (1, 2, 3) for d in (1, 2)}


def test_whole_halves_and_thirds_of_a_length_are_counted_on_lines_a_width_and_half_a_width_apart() -> None:
    """A rectangle of 60 by 20 on 250 by 97: p parts of its length on d lines, of 4, 8 or 12 on each of 4 or 9 lines."""
    case = in_box(250, 97, [(box(0, 0, 60, 20), 1, [0.0])])
    pieces = {0: chords._sections(case, case.kinds[0], 0.0)}
    found = {(limit.uses[0], limit.room) for limit in chords._along(case, pieces, 0.0, lambda: False)}
    assert found == SIZES


def test_units_are_taken_of_the_largest_kinds() -> None:
    small = [(square(2.0 + k / 10), 1, [0.0]) for k in range(4)]
    case = in_box(250, 97, [*small, (box(0, 0, 60, 20), 1, [0.0])])
    pieces = {k: chords._sections(case, each, 0.0) for k, each in enumerate(case.kinds)}
    assert 16.0 in {limit.room for limit in chords._along(case, pieces, 0.0, lambda: False)}


def test_lines_run_along_and_across_the_angles_that_are_kept() -> None:
    def of(outline: Polygon, *angles: float) -> list[float]:
        return headings(in_box(100, 60, [(outline, 1, list(angles))]))

    assert of(square(10), 0.0) == [0, 90]
    assert of(square(10), 270.0, 30.0) == [0, 30, 90, 120]
    assert of(square(10), 10.0, 20.0, 30.0) == [10, 20, 30, 100]
    assert of(square(10), 200.0) == [20, 110]
    assert of(many_sided(12, 20), 0.0) == []
    assert of(many_sided(11, 20), 0.0) == [0, 90]
    loose = in_box(100, 60, [(square(10), 1, [0.0])])
    turns = replace(loose.kinds[0], orientations=(Orientation(False, 0.0, 5.0, (0,)),))
    assert headings(replace(loose, kinds=(turns,))) == []
    assert headings(replace(loose, kinds=(replace(turns, orientations=()),))) == []


def test_a_polygon_of_twelve_corners_is_as_good_as_round() -> None:
    """It fills 96.1 % of its circle drawn with 32 corners, one of eleven 95.3."""
    assert chorded(12, 1) / chorded(32, 1) > 0.96 > chorded(11, 1) / chorded(32, 1)
    assert nearly_round(kind(many_sided(12, 20)))
    assert not nearly_round(kind(many_sided(11, 20)))


@pytest.mark.parametrize("gap", [0.0, 6.0])
def test_a_rectangles_sections_are_its_sides_less_what_may_be_shared(gap: float) -> None:
    off = SHARED + TURNED - gap / 2
    case = in_box(500, 500, [(box(0, 0, 30, 100), 1, [0.0, 90.0, 180.0])], gap)
    made = chords._sections(case, case.kinds[0], 0.0)
    assert {(round(s.long, 4), round(s.high, 4)) for s in made} == {
        (round(30 - 2 * off, 4), round(100 - 2 * off, 4)), (round(100 - 2 * off, 4), round(30 - 2 * off, 4)),
    }  # fmt: skip
    assert gap or len(made) == 2
    aslant = replace(case.kinds[0], orientations=(Orientation(False, 30.0, 30.0, (0,)),))
    (slant,) = chords._sections(case, aslant, 30.0)
    assert slant.high == pytest.approx(100 - 2 * off)


def test_sections_are_none_of_what_is_hollow_and_follow_what_is_turned_over() -> None:
    ell = Polygon([(0, 0), (40, 0), (40, 10), (10, 10), (10, 60), (0, 60)])
    case = in_box(500, 500, [(ell, 1, [0.0])])
    assert chords._sections(case, case.kinds[0], 0.0) == []
    foot = Polygon([(0, 0), (40, 0), (0, 60)])
    over = replace(case.kinds[0], outline=foot, orientations=(Orientation(True, 0.0, 0.0, (0,)),))
    (plain,) = chords._sections(case, replace(case.kinds[0], outline=foot), -90.0)
    (turned,) = chords._sections(case, over, -90.0)
    assert plain.lengths.argmax() == 0
    assert turned.lengths.argmax() > 0
    assert (turned.high, turned.long) == (pytest.approx(plain.high), pytest.approx(plain.long))
    thin = replace(case.kinds[0], outline=box(0, 0, 50, SHARED))
    assert chords._sections(case, thin, 0.0) == []


def test_sections_are_as_long_as_the_piece_is_wide_there() -> None:
    """A kite of six corners, cut at each of its heights."""
    kite = Polygon([(0, 0), (6, 2), (10, 8), (0, 12), (-10, 8), (-6, 2)])
    made = chords._cut(kite)
    assert made.heights.tolist() == [0, 2, 8, 12]
    assert made.lengths.tolist() == pytest.approx([0, 12, 20, 0], abs=1e-5)


@pytest.mark.parametrize(("wide", "high", "angle"), [(399.5, 10.5, 90.0), (10.5, 399.5, 0.0), (100.5, 39.5, 90.0)])
def test_what_lacks_half_a_millimetre_of_a_fourth_holds_three(wide: float, high: float, angle: float) -> None:
    """Straps of 100 by 10 mm, one way round."""
    case = in_box(wide, high, [(box(0, 0, 10, 100), 1, [angle])])
    assert min(n for limit in chords.chord_limits(case) if (n := limit.at_most(0)) is not None) == 3


def test_values_as_good_as_equal_are_one_and_only_so_many_are_tried() -> None:
    assert chords._apart([3.0, 1.0, 1.0 + 1e-6, 2.0, 3.0]) == [1.0, 2.0, 3.0]
    assert chords._apart([1.0, 1.0 + 3e-6]) == [1.0, 1.000003]
    assert chords._apart(float(n) for n in range(200, 0, -1)) == [float(n) for n in range(121, 201)]


def upright(region: BaseGeometry) -> BaseGeometry:
    """A region turned so that its level lines run along y."""
    return affinity.rotate(region, 90, origin=(0, 0))


@pytest.mark.parametrize(
    ("apart", "phase", "found"),
    [
        (20.0, None, [100, 100]),
        (25.0, None, [100, 100]),
        (20.0, 0.0, [100, 100]),
        (20.0, 0.25, [100, 100, 100]),
        (60.0, None, []),
        (60.0, 0.75, [100]),
        (50 / 401, None, None),
        (50 / 400, None, [100] * 400),
    ],
)
def test_lines_so_far_apart_cross_the_leather_in_stretches(
    apart: float, phase: float | None, found: list[float] | None
) -> None:
    """100 by 50 mm: lines 20 apart from 20 on are two, from 0 on too (none at the lower border), from 5 three."""
    got = chords._stretches([upright(box(0, 0, 100, 50))], apart, phase)
    assert (got is None) == (found is None)
    assert got is None or found is None or got.tolist() == pytest.approx(found)
    away = chords._stretches([upright(box(-7, 3, 93, 53))], apart, None)
    assert (away is None) == (apart == 50 / 401)


def test_stretches_of_less_than_a_millimetre_are_told_too() -> None:
    got = chords._stretches([upright(box(0, 0, 0.5, 50))], 20.0, None)
    assert got is not None
    assert got.tolist() == pytest.approx([0.5, 0.5])


def test_a_slit_parts_a_stretch_and_a_crack_of_nothing_does_not() -> None:
    slit = shapely.difference(box(0, 0, 100, 50), box(30, 0, 40, 50))
    got = chords._stretches([upright(slit)], 30.0, None)
    assert got is not None
    assert got.tolist() == pytest.approx([30, 60])
    parts = [(0, 0.0, 5.0), (0, 5.0, 9.0), (0, 8.0, 8.5), (0, 9.1, 10.0), (1, 2.0, 3.0), (1, 3.0000005, 4.0)]
    assert list(chords._joined(parts)) == pytest.approx([9, 0.9, 2])
    assert list(chords._joined([])) == []
    assert list(chords._joined([(1, -5.0, 3.0)])) == [8]


def test_regions_that_share_leather_have_one_stretch_of_it() -> None:
    parts = [box(0, 0, 60, 50), box(40, 0, 80, 50), box(80, 0, 90, 50), box(95, 0, 99, 50)]
    got = chords._stretches([upright(part) for part in parts], 30.0, None)
    assert got is not None
    assert got.tolist() == pytest.approx([90, 4])


@pytest.mark.parametrize(("heading", "wide", "high"), [(0.0, 60, 100), (90.0, 100, 60)])
def test_leather_is_turned_so_that_lines_run_along_y_and_grown_by_half_the_gap(
    heading: float, wide: float, high: float
) -> None:
    case = in_box(100, 60, [(square(10), 1, [0.0])], 8.0)
    (ground,) = chords._ground(case, {0: []}, heading)
    west, south, east, north = ground.bounds
    assert (east - west, north - south) == (pytest.approx(wide + 8 * 1.0005), pytest.approx(high + 8 * 1.0005))
    assert ground.area == pytest.approx(6000 + 320 * 4 * 1.0005 + chorded(128, 4 * 1.0005))
    (side,) = chords._ground(
        problem([box(0, 0, 100, 60), box(0, 0, 10, 60)], [kind(square(5), 1, 0, (1,))]), {0: []}, 90.0
    )
    assert side.bounds == (0, 0, 10, 60)


# --- discs


def oler(wide: float, high: float, corners: int, radius: float, gap: float) -> int:
    """Oler's inequality for the inscribed circle of a regular polygon, whose centre stays so far from a box's sides."""
    inner = radius * math.cos(math.pi / corners) - SHARED
    u, v = wide - 2 * inner, high - 2 * inner
    if min(u, v) < 0:
        return 0
    apart = 2 * (inner + max(0.0, gap / 2 - SHARED))
    return math.floor(2 * u * v / (math.sqrt(3) * apart**2) + 2 * (u + v) / (2 * apart) + 1)


@pytest.mark.parametrize("gap", [0.0, SHARED, 5.0])
@pytest.mark.parametrize("corners", [24, 60])
def test_discs_are_as_many_as_olers_inequality_lets_be(corners: int, gap: float) -> None:
    piece = many_sided(corners, 50)
    for wide, high in [(98, 300), (101, 300), (205, 205), (330, 470), (1000, 777), (1234, 567), (2000, 150)]:
        assert most_of_kind(in_box(wide, high, [(piece, 1, [0.0])], gap), 0) == oler(wide, high, corners, 50, gap)


def test_the_disc_in_a_triangle_is_as_large_as_can_be() -> None:
    """Sides of 130, 140 and 150 mm: its area by half its border is 40 mm."""
    triangle = Polygon([(0, 0), (140, 0), (50, 120)])
    assert triangle.exterior.length == 420
    inner = triangle.area / 210 - SHARED
    u, v = 1000 - 2 * inner, 777 - 2 * inner
    most = math.floor(2 * u * v / (math.sqrt(3) * 4 * inner**2) + 2 * (u + v) / (4 * inner) + 1)
    assert most_of_kind(in_box(1000, 777, [(triangle, 1, [0.0])]), 0) == most


def test_discs_of_less_than_a_millimetre_are_counted() -> None:
    assert most_of_kind(in_box(20, 20, [(many_sided(24, 0.9), 1, [0.0])]), 0) < 1000


@pytest.mark.parametrize("turn", range(0, 360, 45))
@pytest.mark.parametrize(("wide", "high"), [(10, 100), (100, 10)])
def test_a_strip_is_long_for_its_width_whichever_way_it_lies(wide: float, high: float, turn: float) -> None:
    assert _too_long(affinity.rotate(box(0, 0, wide, high), turn), 0.0)


@pytest.mark.parametrize(
    ("outline", "gap", "told"),
    [
        (square(100), 0.0, False),
        (square(100), 7.0, False),
        (square(100), 8.0, True),
        (box(0, 0, 100, 300), 8.0, False),
        (many_sided(24, 50, 1.2), 0.0, False),
        (many_sided(24, 50, 1.05), 0.0, True),
        (many_sided(24, SHARED), 0.0, False),
        (square(2 * SHARED), 0.1, False),
    ],
)  # fmt: skip
def test_of_what_is_long_for_its_width_discs_tell_nothing(outline: Polygon, gap: float, told: bool) -> None:
    """√3/2 of the square of its width is more than its area: from a gap of 7.5 mm on for a square of 100."""
    most = most_of_kind(in_box(2000, 2000, [(outline, 1, [0.0])], gap), 0)
    assert most < 1000 if told else most == 10**9


def test_no_disc_lies_on_no_leather() -> None:
    disc = kind(many_sided(24, 50))
    assert most_of_kind(problem([Polygon()], [disc]), 0) == 0
    assert most_of_kind(problem([Polygon(), square(500)], [kind(many_sided(24, 50), 1, 0, (1,))]), 0) > 10
    assert most_of_kind(problem([Polygon(), square(500)], [disc]), 0) == 0


# --- islands


def test_pieces_are_shared_out_by_area_where_most_is_left() -> None:
    kinds, every = [kind(square(10)), kind(square(10), 2)], [[True, True], [True, True]]

    def goes(number: int, *left: float) -> bool:
        return _shared_out(kinds, [100.0, 50.0], [([room, room], True) for room in left], every, number)

    assert goes(1, 200)
    assert goes(1, 100, 100)
    assert not goes(1, 199)
    assert goes(2, 200, 200)
    assert not goes(2, 399)
    assert goes(1, 150, 50)
    assert not goes(1, 99, 99)


def test_whole_pieces_go_on_whole_islands() -> None:
    """250 and 190 mm² hold two and one of 100; by area alone they hold four, and loose leather is not rounded."""
    one, own = [kind(square(10))], [[True]]
    assert _solved(one, [100.0], [([250.0], True), ([190.0], True), ([0.0], False)], own) == 3
    assert _solved(one, [100.0], [([200.0], True), ([300.0], True)], own) == 5
    assert _solved(one, [100.0], [([99.0], True), ([99.0], True)], own) == 0
    two = [kind(square(10), 2)]
    assert _solved(two, [100.0], [([250.0], True), ([250.0], True)], own) == 2
    assert _solved(two, [100.0], [([150.0], True), ([350.0], False)], own) == 2


def test_islands_grow_by_half_of_the_gap_and_one_island_tells_nothing() -> None:
    """By area islands of 49.9 by 50 hold no square of 50; grown by 8 mm all round they do."""
    halves = shapely.union_all([box(0, 0, 49.9, 50), box(100, 0, 149.9, 50)])
    case = problem([halves], [kind(square(50))])
    assert most_on_islands(case, 0, 10**6) == 0
    assert at_most(case, 0) == 0
    assert most_on_islands(replace(case, gap=16.0), 0, 10**6) == 2
    assert most_on_islands(case, 0, 0) is None
    assert most_on_islands(problem([square(500)], [kind(square(50))]), 0, 10**6) is None
    assert most_on_islands(problem([halves], [kind(square(0.5))]), 0, 10**6) is None


def test_where_grounds_lie_in_one_another_each_must_have_room() -> None:
    """A piece of 100 that lies on the first ground only; the second ground holds the first."""
    nested = [[True, False], [True, True]]

    def goes(*left: list[float]) -> bool:
        kinds = [kind(square(10)), kind(square(10), 0)]
        return _shared_out(kinds, [100.0, 50.0], [(room, True) for room in left], nested, 1)

    assert goes([50.0, 300.0], [120.0, 130.0])
    assert not goes([50.0, 300.0])
    assert not goes([300.0, 50.0])


def test_of_more_than_sixty_islands_the_small_ones_count_together() -> None:
    """59 of 12 by 12 mm and ten of 11 by 11, each of which holds one square of 10: the ten hold twelve by area."""
    large = [square(12, 20 * k) for k in range(59)]
    small = [square(11, 20 * k, 50) for k in range(10)]
    case = problem([shapely.union_all([*small, *large])], [kind(square(10))])
    assert most_on_islands(case, 0, 10**6) == 59 + 12


def test_islands_hold_pieces_of_more_than_a_square_millimetre_and_tell_nothing_of_smaller_ones() -> None:
    crumbs = shapely.union_all([square(1.5), square(1.5, 9)])
    assert most_on_islands(problem([crumbs], [kind(square(1.25))]), 0, 10**6) == 2
    halves = shapely.union_all([square(60), square(60, 100)])
    assert most_on_islands(problem([halves], [kind(square(50)), kind(square(0.5))]), 0, 10**6) is None


def test_ground_on_an_island_grows_by_half_of_the_gap_and_hardly_more() -> None:
    grown = 100 * 100 + 400 * 5 + math.pi * 25
    assert grown <= _within(square(100), square(100), 10.0) <= grown * 1.0002


def test_ground_lies_within_another_where_nothing_is_outside() -> None:
    assert _nested(square(10), square(20))
    assert not _nested(square(20), square(10))
    same = square(10)
    assert _nested(same, same)


# --- all together, and beside pieces that stay


@pytest.mark.parametrize(
    ("angles", "light"), [((0.0,), True), ((0.0, 90.0), True), ((0.0, 90.0, 180.0), False), ((0.0, 45.0), False)]
)
def test_a_bound_of_two_headings_and_two_ways_to_lie_is_little_work(angles: tuple[float, ...], light: bool) -> None:
    assert Bound(in_box(100, 60, [(square(10), 1, list(angles))])).light == light


def test_two_kinds_of_two_ways_each_are_little_work() -> None:
    assert Bound(in_box(100, 60, [(square(10), 1, [0.0, 90.0]), (square(20), 1, [0.0, 90.0])])).light


def test_a_bound_counts_several_pieces_of_a_kind_whether_they_are_asked_for_or_not() -> None:
    case = in_box(103, 51, [(square(50), 2, [0.0])])
    assert at_most(case, 0) == 1
    assert at_most(replace(case, wanted=(Wanted("kit", limit=0),)), 0) == 1
    discs = in_box(203, 203, [(many_sided(24, 50), 2, [0.0])])
    assert at_most(discs, 0) == min(oler(203, 203, 24, 50, 0) // 2, 2)


def test_stopped_at_once_a_bound_is_areas_alone_and_is_made_whole_later() -> None:
    made = Bound(in_box(1000, 320, [(box(0, 0, 560, 32), 1, [0.0])]))
    assert made.at_most(0, lambda: True) == 17
    assert not made.whole
    assert made.at_most(0) == 10
    assert made.whole
    assert made.at_most(0, lambda: True) == 10


@pytest.mark.parametrize(
    ("given", "count", "limit", "most"),
    [(0, 1, None, 2), (2, 1, None, 4), (3, 2, None, 2), (1, 2, None, 1), (2, 1, 3, 4)],
)
def test_beside_pieces_that_stay_so_many_more_find_room(given: int, count: int, limit: int | None, most: int) -> None:
    """Two squares fit on what is left."""
    left = problem([box(0, 0, 101, 51)], [kind(square(50), count, given=given)], limit=limit)
    assert most_beside_given(left, 0) == most
    made = BoundBesideGiven(left)
    assert made.light
    assert [(found.uses, found.room, found.why) for found in made.areas] == [((1.0,), most, "the leather that is left")]
    assert made.at_most(0) == most
    assert made.whole


def test_what_may_be_is_halved_until_the_stop() -> None:
    left = problem([box(0, 0, 101, 51)], [kind(square(50), 1, 0, given=2), kind(square(50), 1, 1)])
    assert [limit.uses for limit in BoundBesideGiven(left).areas] == [(1.0, 0.0), (0.0, 1.0)]
    assert [limit.room for limit in BoundBesideGiven(left).areas] == [4, 2]
    stopped = BoundBesideGiven(left)
    assert stopped.sharpen(lambda: True)[0].room >= 4
    assert not stopped.whole


def test_stopped_at_once_pieces_that_stay_count_as_whole_products() -> None:
    """Three of two a product are two at most, and one more finds room."""
    left = problem([box(0, 0, 101, 51)], [kind(square(50), 2, given=3)])
    assert most_beside_given(left, 0, lambda: True) == 1 + 2


@pytest.mark.parametrize(("given", "most"), [((0, 0), 2), ((2, 0), 3), ((0, 3), 2), ((4, 4), 6)])
def test_limits_on_the_pieces_that_are_missing_begin_the_halving(
    given: tuple[int, int], most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """6,000 mm² are left for squares of 2,500 and of 400: of so many of the one and the other room is by area alone."""
    turning = (Orientation(False, 0.0, 360.0, (0,)),)
    kinds = [
        replace(kind(square(side), given=n), orientations=turning) for side, n in zip((50, 20), given, strict=True)
    ]
    left = problem([box(0, 0, 100, 60)], kinds)
    assert remaining._by_pieces(left, 0, min(given), 20, never) == most
    asked: list[int] = []

    def noted(case: Problem, product: int, number: int, stop: Stop) -> bool:
        asked.append(number)
        return True

    monkeypatch.setattr(remaining, "_may_hold", noted)
    assert most_beside_given(left, 0) == most
    assert asked == [most], "one number is tried where the limits tell it"


def test_leather_joined_by_less_than_pieces_may_be_off_is_not_joined() -> None:
    """Two pieces of leather of 30 by 50 and a bridge 0.1 mm wide: room by area for a square of 50, but not in truth."""
    bridged = shapely.union_all([box(0, 0, 30, 50), box(30, 20, 40, 20.1), box(40, 0, 70, 50)])
    free = replace(kind(square(50)), orientations=(Orientation(False, 0.0, 360.0, (0,)),))
    assert at_most(problem([bridged], [free]), 0) == 1
    assert most_beside_given(problem([bridged], [free]), 0) == 0


def test_leather_and_pieces_are_drawn_in_by_so_much() -> None:
    case = in_box(100, 60, [(square(20), 1, [0.0])])
    drawn = _drawn_in(case)
    assert drawn is not None
    assert drawn.kinds[0].outline.equals_exact(box(CHINK, CHINK, 20 - CHINK, 20 - CHINK), 1e-9, normalize=True)
    assert drawn.kinds[0].parts[0].equals_exact(drawn.kinds[0].outline, 1e-9, normalize=True)
    assert drawn.outer[0].bounds == pytest.approx((CHINK, CHINK, 100 - CHINK, 60 - CHINK))
    waist = shapely.union_all([square(20), box(20, 9.95, 40, 10.05), square(20, 40)])
    assert _drawn_in(in_box(100, 60, [(waist, 1, [0.0])])) is None
    assert _drawn_in(in_box(100, 60, [(box(0, 0, 0.1, 20), 1, [0.0])])) is None
    assert _drawn_in(in_box(100, 60, [(box(0, 0, 2, 20), 1, [0.0])])) is not None


def test_a_kind_of_which_most_lie_there_already_limits_nothing() -> None:
    """Four large pieces lie there and one more finds room; of the small ones none lies yet."""
    left = problem([box(0, 0, 101, 51)], [kind(square(50), 1, 0, given=4), kind(square(5), 1, 0)])
    wide = replace(left, outer=(box(0, 0, 60, 51),))
    assert most_beside_given(wide, 0) == 5
