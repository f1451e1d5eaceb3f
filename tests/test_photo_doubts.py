"""A proposal from a whole photograph says where it is wrong and loses confidence there; a good one is not doubted."""

from __future__ import annotations

import io

import pytest
import shapely
from shapely.geometry import LineString, Polygon

from hides.photo import Homography, Proposal, open_photo, propose_outline
from scripts.photo_scene import CORNERS, MIDDLES, SIZE, VIEWS, photograph


def traced(name: str) -> tuple[Proposal, Polygon]:
    """A test photograph traced with eight marks, and the hide that was photographed."""
    image, camera, hide = photograph(next(view for view in VIEWS if view.name == name), 1000)
    stream = io.BytesIO()
    image.save(stream, "PNG")
    photo = open_photo(stream.getvalue())
    floor = Homography.from_marks(camera.sees((*CORNERS, *MIDDLES)).tolist(), SIZE, within=photo.size)
    return propose_outline(photo, floor), hide


def test_a_hide_on_a_floor_of_another_colour_is_not_doubted() -> None:
    proposal, hide = traced("boards")
    assert Polygon(proposal.ring).area == pytest.approx(hide.area, rel=0.005)
    assert proposal.doubts == ()
    assert proposal.confidence > 0.9


def test_a_tape_across_a_bay_takes_half_the_confidence_and_is_pointed_at() -> None:
    proposal, hide = traced("carpet-tape")
    assert proposal.confidence <= 0.5
    assert {"spike", "bay"} & {doubt.why for doubt in proposal.doubts}
    wrong = max(shapely.get_parts(Polygon(proposal.ring).difference(hide)), key=lambda part: part.area)
    assert any(LineString(doubt.line).distance(wrong) < 5 for doubt in proposal.doubts)


def test_a_part_eaten_out_of_the_hide_on_boards_is_pointed_at() -> None:
    proposal, hide = traced("boards-alike")
    eaten = max(shapely.get_parts(hide.difference(Polygon(proposal.ring))), key=lambda part: part.area)
    assert eaten.area > 0.04 * hide.area, "the trap no longer holds the tracing; make another"
    beside = sum(LineString(doubt.line).intersection(eaten.buffer(15)).length for doubt in proposal.doubts)
    assert beside > 0.5 * eaten.boundary.intersection(Polygon(proposal.ring).buffer(2)).length
    assert proposal.confidence < 0.8
