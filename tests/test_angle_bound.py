"""The bound of straight plans over all angles that suit: never below a plan that is there, and met by easy ones."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from problems import plain_hide, product, strap
from shapely import affinity
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from nesting.laying.lay_out import lay_out
from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.model.settings import Settings
from nesting.model.straight import StraightRules
from nesting.model.want import Want
from nesting.result.straight_words import straight_claim
from nesting.search.straight.angle_bound import AngleBound
from nesting.search.straight.angles import common_angles
from nesting.search.straight.block import BUDGETS, BlockSearch
from nesting.search.straight.forms import forms_at, straight_kinds
from nesting.search.straight.ground import Ground

RULES = StraightRules()
SIZES = ((60.0, 14.0), (95.0, 14.0), (70.0, 23.0))
TOLERANCE = 4.0


def problem(leather: BaseGeometry, counts: tuple[int, ...]) -> Problem:
    """Rectangles of which each may lie along +x, turned by the tolerance, or across it where it is the last one."""
    kinds = []
    for n, ((long, wide), count) in enumerate(zip(SIZES, counts, strict=True)):
        ways = [Orientation(False, -TOLERANCE, TOLERANCE, (0,))]
        if n == len(SIZES) - 1:
            ways.append(Orientation(False, 90.0 - TOLERANCE, 90.0 + TOLERANCE, (0,)))
        shape = box(0, 0, long, wide)
        kinds.append(Kind(f"{n}", 0, shape, (shape,), count, tuple(ways)))
    return Problem((leather,), (leather.buffer(1e-6),), tuple(kinds), (Wanted("kit"),), 0.0)


def bound(made: Problem, ceiling: int, found: int, tries: int) -> int | None:
    straights = straight_kinds(made)
    pieces = tuple(kind.count * ceiling for kind in made.kinds)
    need = tuple(kind.count for kind in made.kinds)
    asked = AngleBound(made, straights, RULES, pieces, need, ceiling)
    return asked.most(common_angles(made, straights), found, tries)


def planted(rng: np.random.Generator, angle: float, products: int) -> BaseGeometry:
    """Leather of nothing but the pieces of so many products on strips at an angle, somewhere, with gaps along them."""
    left = [products * n for n in (2, 1, 1)]
    shapes, offset = [], float(rng.uniform(-80, 0))
    while any(left):
        wide = float(rng.choice([14.0, 23.0]))
        at = float(rng.uniform(-250, -150))
        for kind in rng.permutation(3):
            long, width = SIZES[kind]
            while left[kind] and width == wide and at + long < 240:
                at += float(rng.choice([0.0, 3.0, 17.0]))
                shapes.append(box(at, offset, at + long, offset + wide))
                at += long
                left[kind] -= 1
        offset += wide
    return affinity.rotate(shapely.union_all(shapes), angle, origin=(0, 0))


@pytest.mark.parametrize("seed", range(24))
def test_a_planted_plan_is_never_excluded(seed: int) -> None:
    """Leather that is just the pieces of a plan at some angle leaves no slack to hide in, however finely one asks."""
    rng = np.random.default_rng(seed)
    products = int(rng.integers(1, 5))
    angle = float(rng.choice([rng.uniform(-TOLERANCE, TOLERANCE), TOLERANCE, 0.0, 0.13]))
    made = problem(planted(rng, angle, products), (2, 1, 1))
    for tries in (400, 1500):
        most = bound(made, 9, products - 1, tries)
        assert most is not None
        assert most >= products


@pytest.mark.parametrize("seed", range(6))
def test_no_block_at_any_angle_gives_more(seed: int) -> None:
    """Plans found at many angles on a ragged piece of leather stay within the bound, and now and then meet it."""
    rng = np.random.default_rng((seed, 5))
    turns = np.linspace(0, 2 * np.pi, 20, endpoint=False)
    reach = rng.uniform(0.75, 1.0, 20)
    leather = shapely.Polygon(np.c_[230 * np.cos(turns) * reach, 110 * np.sin(turns) * reach])
    made = problem(leather.difference(box(-40, -10, -25, 5)), (1, 1, 2))
    straights = straight_kinds(made)
    pieces, need = tuple(k.count * 20 for k in made.kinds), tuple(k.count for k in made.kinds)
    best = 0
    for angle in rng.uniform(-TOLERANCE, TOLERANCE, 10):
        forms = forms_at(made, straights, float(angle), RULES)
        inner, outer = (Ground(made, float(angle), forms, pieces, 0.0, o) for o in (False, True))
        search = BlockSearch(inner, outer, need, 20, BUDGETS["quick"])
        search.run()
        best = max(best, search.best_count)
    assert best > 0
    most = bound(made, 20, best, 3000)
    assert most is not None
    assert best <= most <= best + 3
    below = bound(made, 20, best - 1, 3000)
    assert below is None or below >= best


def test_proven_best_although_every_piece_may_be_turned() -> None:
    """A board turned by 2.2 degrees, pieces that may be turned by five: by their area eight would go, seven do."""
    hide = plain_hide(1000, 500)
    ring = shapely.get_coordinates(affinity.rotate(shapely.Polygon(hide.outline), 2.2, origin=(0, 0)))[:-1]
    hide = replace(hide, outline=tuple((float(x), float(y)) for x, y in ring))
    made = product(strap("strap", 50, 430, tolerance=5.0, count=2), strap("panel", 70, 200, tolerance=5.0))
    layout = lay_out(hide, [Want(made)], Settings(gap=0.0, effort="normal", straight=StraightRules()))
    plan = layout.hides[0].straight
    assert plan is not None
    assert (layout.counts[0].complete, plan.at_most, layout.counts[0].at_most) == (7, 7, 8)
    assert "Proven best straight plan" in straight_claim(layout, layout.hides[0])
