"""With some pieces of a layout kept and the others forgotten, what is left holds as many again."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from shapely.geometry import Point

from hides.hide import Hide
from nesting.check import faults
from nesting.laying.case import case_of
from nesting.laying.lay_out import lay_out, solve
from nesting.model.layout import Layout, Placement
from nesting.model.product import Piece, Product
from nesting.model.settings import Settings
from nesting.model.want import Want
from nesting.search.arrays.arrays import Pose, build
from nesting.search.arrays.inner_fits import InnerFits
from nesting.search.arrays.touching_positions import free

QUICK = Settings(effort="quick")
HIDE = Hide("hide", ((0, 0), (250, 5), (260, 180), (15, 190)))
DROP = Product("drop", (Piece("drop", tuple(Point(0, 0).buffer(20, quad_segs=8).union(
    Point(34, 6).buffer(8, quad_segs=8)).convex_hull.exterior.coords[:-1]), mirror=True),))  # fmt: skip
KIT = Product(
    "kit",
    (
        Piece("wedge", ((0, 0), (90, 0), (60, 40), (10, 50)), 2),
        Piece("ell", ((0, 0), (70, 0), (70, 25), (25, 25), (25, 80), (0, 80))),
    ),
)


def half(layout: Layout) -> tuple[Placement, ...]:
    lie = [p for p in layout.hides[0].placements if p.number]
    return tuple(replace(p, keep=True) for p in lie[::2])


@pytest.fixture(scope="module")
def kits() -> Layout:
    return lay_out(HIDE, [Want(KIT)], QUICK)


@pytest.fixture(scope="module")
def drops() -> Layout:
    return lay_out(HIDE, [Want(DROP)], QUICK)


@pytest.mark.parametrize("name", ["kits", "drops"])
def test_half_a_layout_is_filled_up_again(name: str, request: pytest.FixtureRequest) -> None:
    whole: Layout = request.getfixturevalue(name)
    made = solve(case_of(HIDE, [Want(whole.products[0])], QUICK, half(whole)))
    assert made.counts[0].complete >= whole.counts[0].complete > 2
    assert not faults(made)


def test_a_place_that_a_piece_was_taken_from_is_free_to_the_search(kits: Layout) -> None:
    """Pieces of lattices lie closer than by outlines of few corners; they are carried on exactly."""
    case = case_of(HIDE, [Want(KIT)], QUICK, half(kits))
    fits = InnerFits(build(case.problem))
    names = [piece.name for piece in case.pieces]
    for each in kits.hides[0].placements[1::2]:
        kind, (x, y) = names.index(each.piece), case.frame.inward((each.x, each.y))
        lie = Pose(kind, 0, x, y, each.angle - case.frame.bearing, each.mirrored)
        orientation, at_x, at_y, angle = fits.arrays.kernel_pose(lie)
        rotation = fits.rotation(kind, orientation, angle)
        assert rotation is not None
        assert free(rotation.empty, at_x, at_y)


def test_pieces_are_tried_as_others_of_their_kind_lie_that_stay(drops: Layout) -> None:
    case = case_of(HIDE, [Want(DROP)], QUICK, half(drops))
    fits = InnerFits(build(case.problem), 4)
    tried = {(v.orientation, round(math.degrees(v.angle) % 360, 3)) for v in fits.rotations(0)}
    lie = {
        (number, round(angle % 360, 3))
        for p in case.problem.fixed
        for number, angle in case.problem.kinds[0].ways(p.mirrored, p.angle)
    }
    assert lie <= tried
