"""Depth maps against shapely: what a map says at its nodes, a whole scan against single positions, a settled layout."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from problems import in_box
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from nesting.search.arrays.arrays import build
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.filling.leftover import placed
from nesting.search.separation.depth_maps import Atlas, atlas
from nesting.search.separation.guided_local_search import pull_apart, settle_exactly
from nesting.search.separation.map_kernel import FAR, Nearby, around, depth_at, outside_at, pile, piled, scan, weigh
from nesting.search.separation.sheets import STRIDE

ELL = Polygon([(0, 0), (40, 0), (40, 15), (15, 15), (15, 50), (0, 50)])
KITE = Polygon([(0, 0), (30, 10), (35, 45), (8, 30)])


def fits(width: float = 200.0, height: float = 150.0) -> InnerFits:
    kinds = [(ELL, 3, [0.0, 90.0]), (KITE, 3, [0.0, 180.0])]
    return InnerFits(build(in_box(width, height, kinds)), 4)


@pytest.fixture(scope="module")
def maps() -> Atlas:
    return atlas(fits())


def turned(made: Atlas, rotation: int) -> Polygon:
    """An rotation's outline about its centre."""
    v = made.rotations[rotation]
    rings = [v.rings[v.ring_at[k] : v.ring_at[k + 1]] for k in range(len(v.ring_at) - 1)]
    return shapely.union_all([Polygon(ring).buffer(1e-9) for ring in rings])


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 3), st.integers(0, 3), st.floats(0, 1), st.floats(0, 1))
def test_a_pairs_map_tells_overlap_by_its_sign(maps: Atlas, a: int, b: int, u: float, v: float) -> None:
    m, which = maps.maps, int(maps.maps.pair[a, b])
    x, y = m.origin[which] + np.array([u, v]) * (m.size[which] - 1) * m.step[0]
    shared = turned(maps, b).intersection(affinity.translate(turned(maps, a), x, y)).area
    told = depth_at(m, which, x, y, 0.0)
    if told > 0.3 * m.step[0]:  # beyond what interpolation may be off at a corner
        assert shared > 0
    if told < -0.3 * m.step[0]:
        assert shared < 1e-6


def test_at_its_nodes_a_map_is_the_distance_to_the_no_fit_polygon(maps: Atlas) -> None:
    """Two boxes: their no-fit polygon is the box of their summed sides."""
    boxes = atlas(InnerFits(build(in_box(300, 300, [(box(0, 0, 40, 20), 2, [0.0])])), 4))
    m, no_fit = boxes.maps, box(-40, -20, 40, 20)
    nodes = m.values[m.start[0] : m.start[0] + m.size[0].prod()].reshape(m.size[0][::-1])
    for row, column in ((0, 0), (3, 5), (8, 9), (1, 7)):
        at = Point(m.origin[0] + np.array([column, row]) * m.step[0])
        distance = no_fit.exterior.distance(at) * (1 if no_fit.contains(at) else -1)
        assert nodes[row, column] == pytest.approx(distance, abs=1e-4)


def test_outside_the_inner_fit_region_is_how_far() -> None:
    made = atlas(InnerFits(build(in_box(300, 200, [(box(0, 0, 40, 20), 2, [0.0])])), 4))
    assert outside_at(made.maps, 0, 150.0, 100.0) == 0.0
    assert outside_at(made.maps, 0, 17.0, 100.0) == pytest.approx(3.0, abs=1e-4)
    assert outside_at(made.maps, 0, -500.0, 100.0) == FAR


def test_a_scan_says_at_its_nodes_what_weighing_says_there(maps: Atlas) -> None:
    """Where the other piece's map and the scan share their nodes: to what a coarse map's 8 bits can say."""
    m = maps.maps
    spacing = STRIDE * m.step[0]
    wall, pair = int(m.wall[0]), int(m.pair[0, 2])
    other = m.origin[wall] - m.origin[pair] + spacing * np.array([3, 4])
    laid = [Laid(0, maps.rotations[0].orientation, 0.0, 0.0, maps.rotations[0].angle),
            Laid(1, maps.rotations[2].orientation, *other, maps.rotations[2].angle)]  # fmt: skip
    state, board = maps.rough(laid, 1), maps.board()
    state.pairs[:], state.walls[:] = 3.0, 2.0
    columns, rows = (int(n) - 2 for n in m.coarse_size[wall])
    heap = piled(m, state)
    pile(m, heap, 0, 0.0, 0.0, -1)  # what is weighed lies on no pile
    scan(m, state, heap, 0, 0, 2, 1, columns, rows, board)
    unit = 2.0 * m.mass[0] * m.unit[wall] + 3.0 * m.mass[0] * m.mass[2] * m.unit[pair]
    near = Nearby(np.zeros((3, 2)), np.zeros((3, 3), dtype=np.int64), np.zeros(3))
    for r in range(rows - 1):
        for c in range(columns - 1):
            x, y = m.origin[wall] + spacing * np.array([c + 2, r + 1])
            many = around(m, state, 0, 0, x, y, 0.0, near)
            weighed = weigh(m, near, many, x / m.step[0], y / m.step[0], 1e300)
            assert -1e-3 * weighed <= board[r * columns + c] - weighed <= unit + 1e-3 * weighed


@given(st.lists(st.tuples(st.integers(0, 3), st.floats(-50, 250), st.floats(-50, 200)), min_size=1, max_size=6))
def test_what_is_taken_off_the_piles_leaves_no_trace(maps: Atlas, lie: list[tuple[int, float, float]]) -> None:
    heap = piled(maps.maps, maps.rough([], 1))
    for sign in (1, -1):
        for rotation, x, y in lie:
            pile(maps.maps, heap, rotation, x, y, sign)
        assert heap.values.min() >= 0
    assert not heap.values.any()


def test_on_other_leather_the_pairs_stay_and_the_walls_are_drawn_anew(maps: Atlas) -> None:
    wider = maps.on(fits(260.0, 150.0))
    assert (wider.maps.pair == maps.maps.pair).all()
    edge = 200.0 - float(np.ptp(maps.rotations[0].rings[:, 0])) / 2 + 10.0
    assert outside_at(maps.maps, 0, edge, 75.0) > 0.0
    assert outside_at(wider.maps, 0, edge, 75.0) == 0.0


def test_a_hair_of_overlap_is_settled_exactly() -> None:
    made = fits(83.0, 60.0)
    pieces = [Laid(0, 0, 20.0, 25.0, 0.0), Laid(0, 0, 60.0, 25.0, 0.0)]
    settled, apart, _ = settle_exactly(made.arrays, pieces, 4.0, 1)
    assert apart
    one, two = (
        placed(made.arrays.problem, made.arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle)) for p in settled
    )
    assert one.intersection(two).area < 1e-3
    assert box(-1e-4, -1e-4, 83.0001, 60.0001).covers(one.union(two))


@pytest.mark.parametrize("seed", range(3))
def test_a_jigsaw_of_four_goes_into_its_box(seed: int) -> None:
    """A box cut into four by two crossing cuts: all four go back in, with 1 % to spare each way."""
    cut = [
        Polygon([(0, 0), (40, 0), (50, 45), (0, 60)]),
        Polygon([(40, 0), (100, 0), (100, 30), (50, 45)]),
        Polygon([(50, 45), (100, 30), (100, 80), (60, 80)]),
        Polygon([(0, 60), (50, 45), (60, 80), (0, 80)]),
    ]
    made = InnerFits(build(in_box(101, 80.8, [(piece, 1, [0.0]) for piece in cut])), 4)
    done = pull_apart(made.arrays, atlas(made), [], [0, 1, 2, 3], seed, 20_000)
    assert done.apart
    lie = [
        placed(made.arrays.problem, made.arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle)) for p in done.pieces
    ]
    assert shapely.union_all(lie).area == pytest.approx(sum(p.area for p in cut), abs=0.01)
