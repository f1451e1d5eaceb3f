"""What of an outline the photo does not bear out: alike colours, soft edges, spikes, closed bays; and nothing else."""

from __future__ import annotations

import pytest
import shapely
from flats import BAY, FLANK, TAPE, flat, hide
from shapely.geometry import LineString, Polygon, box

from hides.photo import confidence_left, doubts_of
from hides.photo.flat.doubts import ALIKE, SOFT, SPIKE
from hides.photo.flat.doubts import BAY as CLOSED


def test_a_true_outline_is_not_doubted() -> None:
    for noise in (0.01, 0.04):
        found = doubts_of(flat(noise=noise), hide())
        assert not found
        assert confidence_left(found, hide().length) == 1


def test_a_tape_over_a_bay_closes_it_and_takes_half_the_confidence() -> None:
    traced = shapely.union_all([hide(), TAPE, BAY.intersection(box(0, 0, 1600, 956))])
    assert isinstance(traced, Polygon)
    found = doubts_of(flat(tape=True), traced)
    assert any(LineString(doubt.line).distance(BAY.centroid) < 120 for doubt in found if doubt.why == CLOSED)
    assert confidence_left(found, traced.length) <= 0.5


def test_a_narrow_spike_is_doubted_and_a_broad_shank_is_not() -> None:
    spiked = hide().union(box(1300, 590, 1560, 616))
    (spike,) = [doubt for doubt in doubts_of(flat(), spiked) if doubt.why == SPIKE]
    assert box(1300, 580, 1570, 626).buffer(60).contains(LineString(spike.line))
    shanked = hide().union(box(1300, 540, 1560, 660))
    assert not [doubt for doubt in doubts_of(flat(), shanked) if doubt.why == SPIKE]


def test_a_line_that_runs_through_plain_floor_or_plain_leather_is_doubted_there_only() -> None:
    wide = hide().union(box(1100, 500, 1500, 760))
    for outline in (wide, hide().difference(box(1150, 500, 1500, 760))):
        found = doubts_of(flat(), outline)
        assert found
        assert {doubt.why for doubt in found} <= {ALIKE, SOFT, CLOSED}
        wrong = outline.symmetric_difference(hide()).buffer(70)
        assert all(wrong.contains(LineString(doubt.line)) for doubt in found)


def test_where_a_part_is_like_the_floor_the_line_through_it_is_doubted() -> None:
    eaten = max(shapely.get_parts(hide().difference(FLANK.buffer(-60))), key=lambda part: part.area)
    found = doubts_of(flat(alike=True), eaten)
    assert any(FLANK.distance(LineString(doubt.line)) == 0 for doubt in found)


def test_an_outline_too_short_to_look_at_has_no_doubts() -> None:
    assert doubts_of(flat(), box(700, 700, 704, 704)) == ()


@pytest.mark.parametrize("turn", [0, 50, 200])
def test_doubts_do_not_hang_on_where_the_ring_begins(turn: int) -> None:
    points = list(hide().union(box(1300, 590, 1560, 616)).exterior.coords)[:-1]
    found = doubts_of(flat(), Polygon(points[turn:] + points[:turn]))
    assert [doubt.why for doubt in found].count(SPIKE) == 1
