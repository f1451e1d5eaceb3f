"""Marks on the leather are proposed where they are, and none on clean leather."""

from __future__ import annotations

from flats import SPOTS, flat, hide
from shapely.geometry import Point, Polygon

from hides.photo import spots_of


def test_marks_darker_and_lighter_are_found_where_they_are() -> None:
    found = spots_of(flat(spots=True), hide())
    assert len(found) == len(SPOTS)
    for at, radius, value in SPOTS:
        (spot,) = [spot for spot in found if Polygon(spot.ring).contains(Point(at))]
        seen = Polygon(spot.ring)
        assert seen.intersection(Point(at).buffer(radius)).area > 0.85 * Point(at).buffer(radius).area
        assert seen.hausdorff_distance(Point(at).buffer(radius)) < 9
        assert spot.darker is (value < 1)
        assert ("darker" if value < 1 else "lighter") in spot.words


def test_clean_leather_has_none_and_the_light_that_falls_off_is_none() -> None:
    assert spots_of(flat(), hide()) == ()
    assert spots_of(flat(noise=0.05), hide()) == ()


def test_the_edge_itself_and_a_hide_too_small_have_none() -> None:
    assert spots_of(flat(), Point(800, 500).buffer(15)) == ()
    assert spots_of(flat(tape=True), hide().buffer(4)) is not None
