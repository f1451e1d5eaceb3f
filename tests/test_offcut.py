"""An offcut keeps what was known of its leather: grade, flaws, zones, direction, price."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon, box

from hides.hide import Flaw, Grade, Hide, Price, Ring, Thickness, Zone, bearing
from hides.offcut import offcut, offcuts

PRICE = Price(9.5 / 92903.04, "USD", 9.5, "sq ft")


def ring(x0: float, y0: float, x1: float, y1: float) -> Ring:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


PARENT = Hide(
    "S-07",
    ring(0, 0, 1000, 800),
    cut="side",
    backbone=((20, 30), (900, 60)),
    grade=Grade.B,
    thickness=Thickness(4.0, 4.4),
    edge=10,
    area=820_000,
    price=PRICE,
    flaws=(
        Flaw("scar", ring(380, 100, 480, 200), Grade.C),
        Flaw("hole", ring(700, 700, 720, 720), clearance=5),
    ),
    zones=(Zone("belly", ring(0, 600, 1000, 800), Grade.C, Thickness(3.0, 3.4), ((0, 0), (1, 0.2))),),
    leather="bridle",
    lot="L-3",
)


def test_an_offcut_inherits_what_holds_for_the_leather_and_drops_what_held_for_the_whole() -> None:
    part = offcut(PARENT, ring(400, 10, 700, 300), "S-07.1")
    assert (part.cut, part.parent, part.name) == ("offcut", "S-07", "S-07.1")
    assert (part.grade, part.thickness, part.price, part.leather, part.lot) == (
        Grade.B,
        Thickness(4.0, 4.4),
        PRICE,
        "bridle",
        "L-3",
    )
    assert (part.edge, part.area) == (0, None)
    assert part.cost == pytest.approx(300 * 290 * PRICE.per_mm2)


def test_flaws_and_zones_are_clipped_to_the_offcut_and_those_elsewhere_left_out() -> None:
    part = offcut(PARENT, ring(400, 10, 700, 650), "S-07.1")
    assert [flaw.kind for flaw in part.flaws] == ["scar"]
    assert Polygon(part.flaws[0].outline).equals(box(400, 100, 480, 200))
    assert [zone.backbone for zone in part.zones] == [((0, 0), (1, 0.2))]
    assert Polygon(part.zones[0].outline).equals(box(400, 600, 700, 650))


def test_a_flaw_cut_away_whose_clearance_reaches_in_still_keeps_pieces_off() -> None:
    """A hole of clearance 5 lies 2 mm outside: within the offcut the ground it forbids is the same as before."""
    leather = box(400, 400, 698, 790)
    part = offcut(PARENT, ring(400, 400, 698, 790), "S-07.1")
    (hole,) = [flaw for flaw in part.flaws if flaw.kind == "hole"]
    before = Polygon(PARENT.flaws[1].outline).buffer(5, quad_segs=64).intersection(leather)
    after = Polygon(hole.outline).buffer(hole.clearance, quad_segs=64).intersection(leather)
    assert before.area > 30
    assert after.symmetric_difference(before).area < 1e-6


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 360), st.floats(50, 300), st.floats(50, 300))
def test_the_direction_of_the_backbone_is_carried_along(turn: float, width: float, length: float) -> None:
    way = ((0.0, 0.0), (math.cos(math.radians(turn)) * 500, math.sin(math.radians(turn)) * 500))
    parent = Hide("H", ring(0, 0, 1000, 800), backbone=way)
    part = offcut(parent, ring(600, 400, 600 + width, 400 + length), "H.1")
    assert part.backbone is not None
    assert math.cos(math.radians(bearing(part.backbone) - bearing(way))) == pytest.approx(1, abs=1e-12)
    reach = part.polygon.buffer(max(width, length) / 2)
    assert all(reach.covers(Point(point)) for point in part.backbone)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.floats(0, 900), st.floats(0, 700), st.floats(5, 300), st.floats(5, 300)), max_size=6))
def test_what_an_offcut_forbids_is_what_its_parent_forbade_there(
    boxes: list[tuple[float, float, float, float]],
) -> None:
    flaws = tuple(Flaw("stain", ring(x, y, x + w, y + h), Grade.C) for x, y, w, h in boxes)
    parent = Hide("H", ring(0, 0, 1000, 800), flaws=flaws)
    cut = ((200.0, 100.0), (700.0, 150.0), (650.0, 500.0), (400.0, 300.0), (250.0, 600.0))
    part = offcut(parent, cut, "H.1")
    for before in flaws:
        kept = [Polygon(flaw.outline) for flaw in part.flaws]
        lost = Polygon(before.outline).intersection(Polygon(cut))
        for each in kept:
            lost = lost.difference(each.buffer(1e-6))
        assert lost.buffer(-0.006).is_empty
    assert all(Polygon(cut).buffer(1e-6).covers(Polygon(flaw.outline)) for flaw in part.flaws)


def test_only_leftovers_of_the_stated_size_become_offcuts() -> None:
    rings = [ring(0, 0, 300, 200), ring(400, 0, 450, 50), ring(500, 0, 700, 200)]
    parts = offcuts(PARENT, rings, 20_000)
    assert [part.name for part in parts] == ["S-07.1", "S-07.2"]
    assert [part.measured_area for part in parts] == [60_000, 40_000]
