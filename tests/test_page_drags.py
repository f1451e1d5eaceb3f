"""Pieces dragged at random: what the page lets lie, the check passes; no piece is lost; free places are reached."""

from __future__ import annotations

import shutil
from dataclasses import replace
from typing import Any

import pytest

from hides.hide import Flaw, Grade, Hide, Thickness, Zone
from nesting.laying.lay_out import Want, lay_out
from nesting.model.layout import Layout
from nesting.model.product import Along, Cover, Piece, Product
from nesting.model.settings import Settings
from scripts.bench_drags import dragged

pytestmark = pytest.mark.skipif(shutil.which("node") is None, reason="node is not installed")
SQUARE = ((0.0, 0.0), (900.0, 0.0), (880.0, 600.0), (0.0, 590.0))
HIDE = Hide(
    name="Square",
    cut="side",
    outline=SQUARE,
    edge=5.0,
    backbone=((0.0, 300.0), (900.0, 300.0)),
    thickness=Thickness(2.0, 2.4),
    flaws=(
        Flaw("brand", ((400, 100), (450, 110), (430, 160)), Grade.NONE, 4.0),
        Flaw("scar", ((200, 420), (330, 430), (320, 450), (210, 440)), Grade.C, 2.0),
    ),
)


def _layout(hide: Hide, gap: float = 0.0, **wishes: Any) -> Layout:
    tab = Piece("tab", ((0, 0), (90, 0), (90, 40), (60, 60), (0, 60)), 3, **wishes)
    return lay_out(hide, [Want(Product("Tab", (tab,)))], Settings(effort="quick", gap=gap))


def _thinned(layout: Layout) -> Layout:
    """Every fourth piece only, so that there is room to drag."""
    (each,) = layout.hides
    kept = tuple(replace(p, number=0) for p in each.placements[::4])
    return replace(layout, hides=(replace(each, placements=kept),))


BELLY = ((0.0, 0.0), (900.0, 0.0), (900.0, 150.0), (0.0, 150.0))
CASES: dict[str, tuple[Hide, dict[str, Any]]] = {
    "plain": (HIDE, {"gap": 1.5}),
    "along the backbone": (HIDE, {"along": Along.BACKBONE, "tolerance": 3.0}),
    "covered": (HIDE, {"covered": (Cover(((30, 0), (90, 0), (90, 40), (60, 60), (30, 60)), Grade.NONE),)}),
    "thickness of a zone": (
        replace(HIDE, zones=(Zone("belly", BELLY, Grade.A, thickness=Thickness(1.2, 1.4)),)),
        {"thickness": Thickness(1.9, 2.6)},
    ),
    "only in a zone's thickness": (
        replace(HIDE, zones=(Zone("belly", BELLY, Grade.A, thickness=Thickness(1.2, 1.4)),)),
        {"thickness": Thickness(1.0, 1.5)},
    ),
    "off the backbone": (HIDE, {"off_backbone": 30.0}),
    "from a region": (replace(HIDE, zones=(Zone("belly", BELLY, Grade.B),)), {"regions": ("belly",), "grade": Grade.C}),
    "a zone's own backbone": (
        replace(HIDE, zones=(Zone("belly", BELLY, Grade.A, backbone=((10.0, 10.0), (40.0, 140.0))),)),
        {"along": Along.BACKBONE, "tolerance": 5.0},
    ),
}


@pytest.mark.parametrize(("hide", "wishes"), CASES.values(), ids=CASES)
def test_what_the_page_lets_lie_the_check_passes(hide: Hide, wishes: dict[str, Any]) -> None:
    layout = _thinned(_layout(hide, **wishes))
    found = dragged(layout, 60)
    assert not found.refused
    assert found.pieces == len(layout.hides[0].placements) > 3
    assert found.near >= 0.95 * found.free
    assert found.free > 3
    assert found.went > 500, "they did move"
