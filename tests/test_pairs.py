"""Pairs of pieces laid as one: they fill one another's bays, and nothing overlaps once they are two again."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from problems import assert_apart, in_box
from shapely.geometry import Point, Polygon, box

from nesting.model.problem import Orientation, Problem
from nesting.model.settings import never
from nesting.search.arrays.arrays import build
from nesting.search.arrays.goals import shortfall
from nesting.search.arrays.inner_fits import InnerFits
from nesting.search.filling.bottom_left_fill import Sweep
from nesting.search.filling.pairs import Paired
from nesting.search.filling.sequence_search import search_sequences

TROMINO = Polygon([(0, 0), (40, 0), (40, 20), (20, 20), (20, 40), (0, 40)])
CHANNEL = Polygon([(0, 0), (90, 0), (90, 60), (60, 60), (60, 30), (30, 30), (30, 60), (0, 60)])
PLUG = Polygon([(0, 0), (90, 0), (90, 20), (60, 20), (60, 50), (30, 50), (30, 20), (0, 20)])
BAR = box(0, 0, 30, 100)


def paired(kinds: list[tuple[Polygon, int, list[float]]], gap: float = 0.0, width: float = 400) -> Paired:
    return Paired(InnerFits(build(in_box(width, 300, kinds, gap))), 6)


def test_two_l_trominoes_make_a_rectangle() -> None:
    # Two L-trominoes tile the 2 x 3 rectangle (Golomb, Polyominoes, 1965; from memory).
    pairs = paired([(TROMINO, 2, [0.0, 180.0])])
    (pair,) = pairs.pairs
    assert (pair.first, pair.second, pair.turn) == (0, 0, 180.0)
    whole = pairs.fits.arrays.problem.kinds[1].outline
    assert whole.symmetric_difference(whole.minimum_rotated_rectangle).area < 1.0
    assert sorted(np.ptp(np.array(whole.exterior.coords), axis=0)) == pytest.approx([40, 60], abs=0.05)


def test_a_plug_goes_into_the_channel_it_just_fits() -> None:
    pairs = paired([(CHANNEL, 1, [0.0, 180.0]), (PLUG, 1, [0.0, 180.0])])
    first = pairs.pairs[0]
    assert (first.first, first.second, first.turn) == (0, 1, 180.0)
    assert pairs.fits.arrays.problem.kinds[2].outline.area == pytest.approx(90 * 80)


@pytest.mark.parametrize("gap", [0.5, 1.0, 2.0])
def test_pairs_keep_the_gap_and_are_one_piece_all_the_same(gap: float) -> None:
    pairs = paired([(TROMINO, 2, [0.0, 180.0]), (CHANNEL, 1, [0.0, 180.0])], gap)
    assert pairs.pairs
    laid = pairs.bottom_left_fill([0, 1, 0, 0], frozenset(range(len(pairs.pairs))), Sweep(0.0))
    assert len(laid) == 4
    assert_apart(pairs.plain.arrays.problem, laid)


@pytest.mark.parametrize("outline", [BAR, Point(0, 0).buffer(40, 8), Polygon([(0, 0), (60, 0), (45, 200), (15, 200)])])
def test_pieces_without_bays_are_not_paired(outline: Polygon) -> None:
    assert paired([(outline, 4, [0.0, 180.0]), (BAR, 1, [0.0, 90.0])]).pairs == []


def test_pieces_that_may_not_lie_head_to_tail_are_not_paired_so() -> None:
    assert all(pair.turn == 0.0 for pair in paired([(TROMINO, 2, [0.0]), (CHANNEL, 1, [0.0])]).pairs)


def test_a_sequence_gives_each_piece_once_whether_pairs_go_or_not() -> None:
    pairs = paired([(TROMINO, 3, [0.0, 180.0]), (CHANNEL, 2, [0.0, 180.0]), (BAR, 1, [0.0])], width=250)
    sequence = [0, 1, 0, 2, 0, 0, 1, 0, 2, 0, 0, 1, 1, 0]
    chosen = frozenset(range(len(pairs.pairs)))
    assert chosen
    laid = pairs.bottom_left_fill(sequence, chosen, Sweep(0.0))
    assert Counter(piece.kind for piece in laid) == Counter(sequence)
    assert_apart(pairs.plain.arrays.problem, laid)
    tight = Paired(
        InnerFits(build(in_box(95, 105, [(TROMINO, 3, [0.0, 180.0]), (CHANNEL, 2, [0.0, 180.0]), (BAR, 1, [0.0])]))), 6
    )
    some = tight.bottom_left_fill(sequence, chosen, Sweep(0.0))
    assert 0 < len(some) < len(sequence)
    assert Counter(piece.kind for piece in some) <= Counter(sequence)
    assert_apart(tight.plain.arrays.problem, some)


def turned_over(problem: Problem) -> Problem:
    """Every piece may be turned over as well."""
    kinds = (
        replace(
            kind,
            orientations=(
                *kind.orientations,
                *(Orientation(True, s.low, s.high, s.regions) for s in kind.orientations),
            ),
        )
        for kind in problem.kinds
    )
    return replace(problem, kinds=tuple(kinds))


@st.composite
def bayed(draw: st.DrawFn) -> Polygon:
    """A star-shaped piece with bays."""
    many = draw(st.integers(5, 9))
    reach = draw(st.lists(st.floats(12, 60), min_size=many, max_size=many))
    return Polygon(
        [(r * np.cos(t), r * np.sin(t)) for r, t in zip(reach, np.arange(many) * 2 * np.pi / many, strict=True)]
    )


@settings(max_examples=40)
@given(st.lists(bayed(), min_size=1, max_size=3), st.sampled_from([0.0, 2.0]), st.booleans(), st.booleans())
def test_pairs_come_apart_into_pieces_that_lie_well(
    outlines: list[Polygon], gap: float, any_angle: bool, over: bool
) -> None:
    problem = in_box(420, 300, [(outline, 2, [0.0, 180.0]) for outline in outlines], gap)
    if any_angle:
        free = (Orientation(False, 0.0, 360.0, (0,)),)
        problem = replace(problem, kinds=tuple(replace(kind, orientations=free) for kind in problem.kinds))
    pairs = Paired(InnerFits(build(turned_over(problem) if over else problem)), 6)
    sequence = [kind for kind in range(len(outlines)) for _ in range(6)]
    laid = pairs.bottom_left_fill(sequence, frozenset(range(len(pairs.pairs))), Sweep(0.0))
    assert_apart(pairs.plain.arrays.problem, laid)
    for piece in laid:
        low, high = pairs.plain.arrays.tables.orientation_angles[piece.orientation]
        assert low - 1e-9 <= piece.angle <= high + 1e-9


def test_orders_with_pairs_lay_what_orders_without_leave_out() -> None:
    # A channel and its plug make 90 x 80: nine of them fill the leather, which no order of single pieces finds.
    problem = in_box(270, 240, [(CHANNEL, 9, [0.0, 180.0]), (PLUG, 9, [0.0, 180.0])])
    fits = InnerFits(build(problem))
    found = search_sequences(fits, (1,), 1, 20, never, Paired(fits, 6))
    assert found.missing == 0
    assert not shortfall(problem, found.pieces, (1,))
    assert_apart(problem, found.pieces)
    assert search_sequences(fits, (1,), 1, 20, never).missing > 0
