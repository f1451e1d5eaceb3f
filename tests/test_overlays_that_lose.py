"""Proofs hold though an overlay loses leather, as GEOS 3.14 did (`scripts/attack mixed --seed 900056`).

Worlds of whole cells (tests/exact.py), where the best is found by trying all, are bounded while one overlay after
another loses its largest part.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import count, product
from typing import Any

import exact
import numpy as np
import pytest
import shapely
from problems import plain_hide
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from hides.hide import Grade, Thickness, Zone
from nesting.bound.atoms import atoms
from nesting.bound.islands import _nested, _within
from nesting.bound.limits import at_most
from nesting.geometry.convex import polygons
from nesting.geometry.overlay import both, joined, less
from nesting.posing.usable import LeatherDemand, usable

THICK = Thickness(2.0, 3.0)
OVERLAYS = ("difference", "intersection", "union", "union_all")
MOST = 60
"""No world here asks for more overlays of one name than this."""


class Losing:
    """Overlays made as ever, but the one of a number loses the largest of its polygons, unless made on a grid."""

    def __init__(self, patch: pytest.MonkeyPatch, name: str, number: int) -> None:
        self.asked, self.lost, self.number = count(), 0.0, number
        for owner in (shapely, BaseGeometry):
            if hasattr(owner, name):
                patch.setattr(owner, name, self._losing(getattr(owner, name)))

    def _losing(self, made: Callable[..., Any]) -> Callable[..., Any]:
        def lose(*shapes: Any, grid_size: float | None = None, **more: Any) -> Any:
            found = made(*shapes, grid_size=grid_size, **more)
            if grid_size is not None or not polygons(found) or next(self.asked) != self.number:
                return found
            parts = sorted(polygons(found), key=lambda part: part.area)
            self.lost = sum(part.area for part in parts[-1:])
            return shapely.MultiPolygon(parts[:-1])

        return lose


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("name", OVERLAYS)
def test_no_bound_falls_below_the_best_though_an_overlay_loses_its_largest_part(name: str, seed: int) -> None:
    case = exact.random_world(np.random.default_rng([21, seed]), grounds=1 + seed % 3)
    posed, most = case.problem(), exact.best(case)
    for number in range(MOST):
        with pytest.MonkeyPatch.context() as patch:
            losing = Losing(patch, name, number)
            assert at_most(posed, 0) >= most
        if next(losing.asked) <= number:
            return
    pytest.fail("there were more overlays than were tried")


@pytest.mark.parametrize("name", OVERLAYS)
def test_regions_for_proofs_lose_nothing(name: str) -> None:
    """Two named zones of the thickness asked for, a third of too low a grade, all but 5 mm on the backbone."""
    zones = (
        Zone("neck", ((0, 0), (100, 0), (100, 80), (0, 80)), thickness=THICK),
        Zone("butt", ((200, 0), (300, 0), (300, 80), (200, 80)), thickness=THICK),
        Zone("butt", ((120, 50), (180, 50), (180, 80), (120, 80)), Grade.C, thickness=THICK),
    )
    hide = plain_hide(300, 80, zones=zones)
    demand = LeatherDemand(Grade.B, THICK, zones=("butt", "neck"), off_backbone=5.0)
    whole = usable(hide, demand, outer=True).area
    assert whole > 200 * 75
    for number in range(20):
        with pytest.MonkeyPatch.context() as patch:
            losing = Losing(patch, name, number)
            assert usable(hide, demand, outer=True).area >= whole - 1e-3
        if next(losing.asked) <= number:
            return
    pytest.fail("there were more overlays than were tried")


@pytest.mark.parametrize("name", OVERLAYS)
def test_an_overlay_for_proofs_gives_what_the_grid_leaves(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    apart = shapely.union_all([box(0, 0, 10, 10), box(20, 0, 25, 10)])
    Losing(monkeypatch, name, 0)
    assert less(apart, box(0, 0, 2, 10)).area == pytest.approx(130)
    assert both(apart, box(1, 0, 23, 10)).area == pytest.approx(120)
    assert joined([box(0, 0, 10, 10), box(5, 0, 15, 10), Polygon()]).area == pytest.approx(150)
    assert less(apart, Polygon()).area in (150, 50)


@pytest.mark.parametrize("name", OVERLAYS)
def test_atoms_and_crumbs_tell_of_all_leather_though_an_overlay_loses_some(name: str) -> None:
    """Of every set of regions: atoms within any of them and crumbs are no less than the set holds."""
    regions = [box(0, 0, 60, 40), box(30, 0, 90, 40), box(0, 20, 90, 60)]
    for number in range(MOST):
        with pytest.MonkeyPatch.context() as patch:
            losing = Losing(patch, name, number)
            found, crumbs = atoms(regions)
        for chosen in product((False, True), repeat=len(regions)):
            held = {n for n, taken in enumerate(chosen) if taken}
            told = crumbs + sum(atom.shape.area for atom in found if atom.regions & held)
            assert told >= shapely.union_all([regions[n] for n in held]).area - 1e-6
        if next(losing.asked) <= number:
            return
    pytest.fail("there were more overlays than were tried")


def test_a_ground_lies_in_no_smaller_one_though_an_overlay_loses_what_is_outside(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    Losing(monkeypatch, "difference", 0)
    assert not _nested(box(0, 0, 20, 20), box(0, 0, 10, 10))


def test_an_islands_ground_is_whole_though_an_overlay_loses_it(monkeypatch: pytest.MonkeyPatch) -> None:
    Losing(monkeypatch, "intersection", 0)
    assert _within(box(0, 0, 20, 20), box(10, 0, 30, 20), 0.0) == pytest.approx(200)
