"""Weights on lines: what is told of boxes of poses holds for every pose in them, and no layout is beyond the limits."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from boards import board, box
from shapely import affinity
from shapely.geometry import LineString, Polygon

from hides.hide import Flaw, Grade, Hide
from nesting.bound.limits import Bound
from nesting.bound.line_ground import LineGround, line_ground
from nesting.bound.line_kernel import least
from nesting.bound.line_measure import MeasureBudget, across, line_limits, turned
from nesting.bound.pose_boxes import Stance, core_chords, stances
from nesting.bound.pose_tree import PoseTree, Ways
from nesting.geometry.convex import ring_of
from nesting.geometry.crossings import crossings
from nesting.laying.lay_out import lay_out
from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.model.product import Along, Piece, Product
from nesting.model.settings import Settings
from nesting.model.tolerance import SHARED, TURNED
from nesting.model.want import Want
from nesting.posing.pose_problem import pose_problem
from scripts import attack_many

LIGHT = MeasureBudget(together=2, rounds=3, steps=30, sampled=2000, cut=2000, hope=1.0, boxes=60_000)


def convex(rng: np.random.Generator, size: float = 60.0) -> Polygon:
    """A convex polygon about nought, any shape from a sliver to a disc."""
    points = rng.uniform(-1, 1, (int(rng.integers(3, 12)), 2)) * (size, size * rng.uniform(0.1, 1.0))
    hull = Polygon(shapely.MultiPoint(points).convex_hull.buffer(2.0, quad_segs=1).exterior)
    west, south, east, north = hull.bounds
    return affinity.translate(hull, -(west + east) / 2, -(south + north) / 2)


def chord(shape: Polygon, x: float) -> tuple[float, float] | None:
    met = shape.intersection(LineString([(x, -500), (x, 500)]))
    return None if met.is_empty else (met.bounds[1], met.bounds[3])


@pytest.mark.parametrize("seed", range(40))
def test_a_core_is_what_a_piece_covers_at_every_angle_and_shift(seed: int) -> None:
    rng = np.random.default_rng([1, seed])
    shape, low = convex(rng), float(rng.uniform(-180, 180))
    high, half = low + float(rng.choice([0.0, 0.3, 4.0, 30.0])), float(rng.choice([0.0, 1.0, 5.0]))
    at = np.linspace(-70, 70, 29)
    lower, upper = core_chords(ring_of(shape), low, high, half, at)
    poses = [
        affinity.translate(affinity.rotate(shape, angle, origin=(0, 0)), shift)
        for angle in np.linspace(low, high, 9)
        for shift in (-half, 0.0, half)
    ]
    for x, a, b in zip(at, lower, upper, strict=True):
        met = [chord(pose, x) for pose in poses]
        common = [max(m[0] for m in met if m), min(m[1] for m in met if m)] if all(met) else [0.0, -1.0]
        if b > a:
            assert common[0] <= a + 1e-6
            assert b - 1e-6 <= common[1]
        reach = math.radians(high - low) ** 2 * 100
        assert max(b - a, 0.0) >= common[1] - common[0] - 2 * (reach + 1e-6) / max(_slope(shape, low, high), 1e-3)


def _slope(shape: Polygon, low: float, high: float) -> float:
    """The least lean of an edge's normal along the lines, near the angles: steep edges' chords say little."""
    ring = np.array(affinity.rotate(shape, (low + high) / 2, origin=(0, 0)).exterior.coords)
    edges = np.diff(ring, axis=0)
    return float(np.abs(edges[:, 0] / np.hypot(*edges.T)).min())


@pytest.mark.parametrize("seed", range(20))
def test_the_least_that_a_chord_takes_is_the_least_over_all_its_shifts(seed: int) -> None:
    rng = np.random.default_rng([4, seed])
    weights = rng.uniform(0, 1, 12) ** 3
    sums = np.concatenate([[0.0], np.cumsum(weights)])[None, :]
    low, half = float(rng.uniform(-2, 9)), float(rng.choice([0.0, 0.25, 0.5, 1.7]))
    high = low + float(rng.uniform(0.1, 5))
    ends = np.arange(13.0)
    shifts = np.concatenate([np.linspace(-half, half, 401), *(ends - end for end in (low, high))])
    shifts = shifts[np.abs(shifts) <= half]
    taken = [np.interp(high + t, ends, sums[0]) - np.interp(low + t, ends, sums[0]) for t in shifts]
    assert least(sums, 0, low, high, half) == pytest.approx(min(taken), abs=1e-9)


@pytest.mark.parametrize(("gap", "more"), [(0.0, 0.0), (3.0, 1.5)])
def test_pieces_are_taken_smaller_by_what_a_layout_may_be_off_and_grown_by_half_the_gap(
    gap: float, more: float
) -> None:
    problem = replace(one_kind(shapely.box(0, 0, 40, 30), shapely.box(0, 0, 99, 99), 0.0, 5.0), gap=gap)
    (stance,) = stances(problem, 0)
    (asked,) = [ring for _, ring in stance.asks]
    off = SHARED + TURNED
    assert np.ptp(stance.whole, axis=0) == pytest.approx([40 + 2 * (more - off), 30 + 2 * (more - off)], abs=1e-6)
    assert np.ptp(asked, axis=0) == pytest.approx([40 - 2 * off, 30 - 2 * off], abs=1e-6)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize(("low", "wide"), [(0.0, 10.0), (63.0, 0.0), (-170.0, 4.0)])
def test_lines_run_across_the_narrowest_kind_as_it_lies_on_the_most_leather(
    low: float, wide: float, mirrored: bool
) -> None:
    strap = affinity.rotate(shapely.box(0, 0, 20, 100), 30, origin=(0, 0))
    ways = Orientation(False, 77.0, 78.0, (1,)), Orientation(mirrored, low, low + wide, (0,))
    kinds = tuple(
        Kind("p", 0, shape, (shape,), 1, ways if shape is strap else ways[:1])
        for shape in (shapely.box(0, 0, 40, 70), strap)
    )
    regions = shapely.box(0, 0, 200, 300), shapely.box(0, 0, 199, 300)
    problem = Problem(regions, regions, kinds, (Wanted("p"),))
    made = turned(problem, across(problem, [0, 1]))
    way = made.kinds[1].orientations[1]
    lies = affinity.rotate(made.kinds[1].oriented(1), (way.low + way.high) / 2, origin=(0, 0))
    assert np.ptp(lies.bounds[::2]) == pytest.approx(100)
    assert np.ptp(lies.bounds[1::2]) == pytest.approx(20)


def test_what_lies_on_the_leather_lies_on_it_when_both_are_turned() -> None:
    shape, region = shapely.box(0, 0, 20, 60), shapely.box(10, 5, 50, 90)
    made = turned(one_kind(shape, region, 12.0, 15.0), 33.0)
    lies = affinity.translate(affinity.rotate(shape, 12.0, origin=(0, 0)), 25.0, 10.0)
    assert region.contains(lies)
    (way,) = made.kinds[0].orientations
    assert (way.low, way.high) == (45.0, 48.0)
    x, y = affinity.rotate(shapely.Point(25.0, 10.0), 33.0, origin=(0, 0)).coords[0]
    assert made.outer[0].contains(affinity.translate(affinity.rotate(shape, way.low, origin=(0, 0)), x, y))


def test_a_kind_that_may_lie_no_way_is_given_up() -> None:
    problem = one_kind(shapely.box(0, 0, 20, 60), shapely.box(0, 0, 90, 90), 0.0, 0.0)
    none = replace(problem, kinds=(replace(problem.kinds[0], orientations=()),))
    assert list(line_limits(none, [9], MeasureBudget(1, 2, 5, 100, 100, 1.0))) == []


def one_kind(shape: Polygon, region: Polygon, low: float, high: float) -> Problem:
    kind = Kind("p", 0, shape, (shape,), 1, (Orientation(False, low, high, (0,)),))
    return Problem((region,), (region,), (kind,), (Wanted("p"),))


def laid_on(ground: LineGround, weights: np.ndarray, shape: Polygon) -> float:
    """What a piece takes of weights on lines, cell by cell."""
    total = 0.0
    for i, row in enumerate(weights):
        if (met := chord(shape, ground.west + i * ground.cell)) is not None:
            edges = ground.south + ground.cell * np.arange(len(row) + 1)
            total += float(
                (row * np.clip(np.minimum(edges[1:], met[1]) - np.maximum(edges[:-1], met[0]), 0, None)).sum()
            )
    return total / ground.cell


@pytest.mark.parametrize("seed", range(30))
def test_every_pose_lies_in_a_box_and_takes_no_less_than_is_told_of_it(seed: int) -> None:
    """Before and after boxes are cut up, with weights that differ from cell to cell."""
    rng = np.random.default_rng([2, seed])
    shape, high = convex(rng, 40.0), float(rng.choice([0.0, 3.0, 25.0]))
    region = Polygon([(0, 0), (150, 10), (160, 120), (70, 100), (10, 130)]).difference(box_at(60, 50, 9))
    problem = one_kind(shape, region, 10.0, 10.0 + high)
    ground = line_ground(problem, [0], 7.0)
    weights = rng.uniform(0, 1, ground.inside.shape) ** 4
    sums = np.zeros((weights.shape[0], weights.shape[1] + 1))
    np.cumsum(weights, axis=1, out=sums[:, 1:])
    tree = PoseTree(Ways(ground), stances(problem, 0), 0.5, 10**6)
    for again in range(3):
        least = tree.least(sums)
        for _ in range(60):
            x, y = rng.uniform(0, 160), rng.uniform(0, 130)
            angle = float(rng.uniform(10, 10 + high))
            pose = affinity.translate(affinity.rotate(shape, angle, origin=(0, 0)), x, y)
            if region.contains(pose):
                boxes = _holding(tree, ground, angle, x, y)
                assert len(boxes) > 0
                assert least[boxes].max() <= laid_on(ground, weights, pose) + 1e-9
        if len(tree) and again < 2:
            tree.cut(np.sort(rng.permutation(len(tree))[: len(tree) // 2 + 1]).astype(np.int64))


@pytest.mark.parametrize("seed", range(10))
def test_stretches_of_lines_are_what_lies_in_the_leather(seed: int) -> None:
    """Islands, holes, and borders that run along lines."""
    rng = np.random.default_rng([3, seed])
    squares = [box_at(float(x), float(y), float(s)) for x, y, s in rng.integers(0, 12, (9, 3)) * (5, 5, 2) + (0, 0, 5)]
    region = shapely.union_all(squares[:6]).difference(shapely.union_all(squares[6:]))
    at = np.sort(np.concatenate([rng.uniform(-5, 90, 20), np.arange(0.0, 60.0, 15.0) + 1e-9]))
    found = [[(a, b) for line, a, b in crossings(region, at) if line == n] for n in range(len(at))]
    for x, own in zip(at, found, strict=True):
        cut = LineString([(x, -100), (x, 200)]).intersection(region)
        assert sum(b - a for a, b in own) == pytest.approx(cut.length, abs=1e-6)
        assert all(LineString([(x, a), (x, b)]).within(region.buffer(1e-6)) for a, b in own)
        assert all(b < c for (_, b), (c, _) in pairwise(own))


def box_at(x: float, y: float, size: float) -> Polygon:
    return shapely.box(x, y, x + size, y + size)


def _holding(tree: PoseTree, ground: LineGround, angle: float, x: float, y: float) -> np.ndarray:
    """The boxes of a tree in which a pose lies."""
    found = []
    high = (y - ground.south) / ground.cell
    for n in np.flatnonzero(np.abs(tree.y - high) <= tree.half + 1e-9):
        cut = tree._cuts[int(tree.way[n])]
        own, parts, offsets = tree.stances[cut.stance], tree._angles(cut.stance) << cut.depth, 1 << cut.depth
        wide = (own.high - own.low) / parts if parts else 0.0
        centre = ground.west + (tree.line[n] + (cut.offset + 0.5) / offsets - 0.5) * ground.cell
        low = own.low + cut.angle * wide
        if abs(x - centre) <= ground.cell / offsets / 2 + 1e-9 and low - 1e-9 <= angle <= low + wide + 1e-9:
            found.append(n)
    return np.array(found, dtype=np.int64)


def test_boxes_of_every_depth_hold_all_angles_and_all_shifts_across_the_lines(monkeypatch: pytest.MonkeyPatch) -> None:
    added: list[tuple[float, float, float, float]] = []
    add = Ways.add

    def kept(ways: Ways, stance: Stance, *box: float) -> int:
        added.append((box[0], box[1], box[2], box[3]))
        return add(ways, stance, *box)

    monkeypatch.setattr(Ways, "add", kept)
    problem = one_kind(shapely.box(-40, -10, 40, 10), shapely.box(0, 0, 200, 200), -31.0, 9.0)
    ground = line_ground(problem, [0], 6.0)
    tree = PoseTree(Ways(ground), stances(problem, 0), 0.5, 10**6)
    for depth in range(3):
        angles = sorted({(low, high) for low, high, _, _ in added})
        across = sorted({(offset - half, offset + half) for _, _, offset, half in added})
        for parts, low, high in ((angles, -31.0, 9.0), (across, -3.0, 3.0)):
            ends = [*(a for a, _ in parts), parts[-1][1]]
            assert [ends[0], ends[-1]] == pytest.approx([low, high])
            assert [b for _, b in parts] == pytest.approx(ends[1:])
        assert len(added) == len(angles) * len(across)
        assert len(across) == 2**depth
        added.clear()
        tree.cut(np.arange(len(tree), dtype=np.int64))


def test_of_even_weights_a_box_takes_what_the_piece_covers_of_its_lines() -> None:
    shape = shapely.box(-20, -30, 20, 30)
    problem = one_kind(shape, shapely.box(0, 0, 200, 200), 0.0, 0.0)
    ground = line_ground(problem, [0], 5.0)
    tree = PoseTree(Ways(ground), stances(problem, 0), 0.5, 10**6)
    sums = np.cumsum(np.ones((ground.lines, int(ground.high) + 1)), axis=1) - 1.0
    assert tree.least(sums).min() == pytest.approx(7 * 60 / 5, rel=0.01)  # 40 mm hold seven lines 5 mm apart for sure


def panels(wide: float, long: float, number: int = 1) -> Product:
    return Product("panel", (Piece("panel", box(0.0, 0.0, wide, long), number, along=Along.BACKBONE, tolerance=10.0),))


def leather(long: float, wide: float) -> Hide:
    return replace(board(), outline=box(0.0, 0.0, long, wide), backbone=((0.0, 0.0), (1.0, 0.0)))


def test_where_two_do_not_go_side_by_side_one_a_row_is_proven() -> None:
    """Leather of 580 takes one panel of 300 in its length, turned by up to 10° or not: five rows of 140, not nine."""
    bound = Bound(pose_problem(leather(580, 715), [Want(panels(140, 300))], 0.0))
    assert bound.at_most(0) == 9
    bound.measure(MeasureBudget(1, 5, 60, 6000, 6000, 0.03))
    assert bound.at_most(0) == 5


def test_what_is_proven_at_normal_ends_the_search_and_stands_in_the_answer() -> None:
    layout = lay_out(leather(580, 715), [Want(panels(140, 300))], Settings(effort="normal"))
    assert (layout.counts[0].complete, layout.counts[0].at_most) == (5, 5)


@pytest.mark.parametrize("seed", range(12))
def test_a_planted_layout_is_never_beyond_it(seed: int) -> None:
    """Rows as tight as the check lets pass, on leather that is hardly more than they."""
    assert attack_many.case(seed, weighed=True) is None


def test_pieces_that_are_not_convex_are_left_out() -> None:
    ell = Piece("ell", ((0, 0), (80, 0), (80, 30), (30, 30), (30, 90), (0, 90)), along=Along.BACKBONE)
    problem = pose_problem(leather(300, 300), [Want(Product("ell", (ell,)))], 0.0)
    assert not list(line_limits(problem, [10], LIGHT))


def test_a_stop_ends_it_and_what_is_told_by_then_holds() -> None:
    hide = replace(leather(580, 715), flaws=(Flaw("hole", box(200, 300, 20, 20), Grade.NONE),))
    problem = pose_problem(hide, [Want(panels(140, 300))], 0.0)
    asked = 0

    def stop() -> bool:
        nonlocal asked
        asked += 1
        return asked > 10

    for limit in line_limits(problem, [10**6], LIGHT, stop):
        assert (limit.at_most(0) or 0) >= 4
    assert asked < 20
