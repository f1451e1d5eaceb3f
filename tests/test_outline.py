"""Outlines with single corners, arcs and curves, against closed forms."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import pytest
from shapely.geometry import Point, Polygon
from test_project_file import HEAD, piece, read

import nesting
from hides.errors import InputError
from nesting.project.contour import Contour
from nesting.project.curves import arc_rising, arc_through, bezier, smooth
from nesting.project.measures import Measures
from nesting.project.outline_reader import read_contour


def long(points: list[tuple[float, float]]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(points))


def contour(*steps: object) -> Contour:
    return read_contour(steps, Measures())


def lengths(found: Contour) -> dict[str, float]:
    return {edge.name: edge.length for edge in found.edges}


def test_an_arc_has_the_length_of_its_circle() -> None:
    """Closed form: half a circle of radius 50, and a quarter."""
    half = arc_through((0, 0), (50, 50), (100, 0))
    assert long(half) == pytest.approx(50 * math.pi, rel=1e-5)
    quarter = arc_rising((10, 0), (0, 10), 10 - 10 / math.sqrt(2))
    assert long(quarter) == pytest.approx(5 * math.pi, abs=1e-3)
    assert all(math.hypot(x, y) == pytest.approx(10) for x, y in quarter)


def test_a_curve_of_the_second_degree_has_the_length_of_its_parabola() -> None:
    """Closed form (a handbook's arc of a parabola): y = x² from −1 to 1, ten times as large."""
    flat = bezier((-10, 10), [(0, -10)], (10, 10))
    wanted = 10 * (math.sqrt(5) + math.asinh(2) / 2)
    assert long(flat) == pytest.approx(wanted, rel=2e-5)


def test_a_smooth_curve_goes_through_its_points() -> None:
    given = [(0.0, 0.0), (10.0, 4.0), (30.0, 5.0), (41.0, -3.0)]
    flat = smooth(given)
    assert all(min(math.dist(p, q) for q in flat) < 1e-9 for p in given)


def test_an_outline_of_lines_and_an_arc_has_its_area_and_edges() -> None:
    """A tombstone: a square with half a circle on it."""
    found = contour([0, 0], [100, 0], [100, 100], {"arc": [0, 100], "rise": 50, "edge": "lip"})
    assert lengths(found) == {
        "1": 100, "2": 100, "lip": pytest.approx(50 * math.pi, rel=1e-5), "4": 100,
    }  # fmt: skip
    ring = Polygon(found.ring())
    assert ring.area == pytest.approx(10_000 + 1250 * math.pi, abs=0.05 * 160)
    half = Point(50, 100).buffer(50, quad_segs=200)
    assert ring.buffer(0.002).contains(half)


def test_an_outline_drawn_clockwise_is_walked_the_other_way_with_the_same_names() -> None:
    found = contour([0, 0], {"at": [0, 50], "edge": "back"}, [80, 50], [80, 0])
    assert found.names == ("4", "3", "2", "back")
    assert lengths(found)["back"] == 50


def test_corners_are_rounded_and_cut_one_by_one() -> None:
    """Closed form: (1 − π/4) r² goes at a rounded corner, half the product at a cut one."""
    found = contour(
        {"at": [0, 0], "cut": [10, 20]}, {"at": [100, 0], "round": 20}, [100, 60], {"at": [0, 60], "cut": 6}
    )
    wanted = 6000 - 100 - (1 - math.pi / 4) * 400 - 18
    assert Polygon(found.ring()).area == pytest.approx(wanted, abs=0.05 * 32)
    assert Polygon(found.points).area == pytest.approx(wanted, abs=0.05)
    assert [edge.name for edge in found.edges] == ["1", "", "2", "3", "", "4", ""]
    assert lengths(found)["1"] == pytest.approx(60)


def test_a_rectangles_corners_are_named_from_its_origin(tmp_path: Path) -> None:
    text = piece(shape='{ rectangle = [60, 100], corners = [0, { cut = 10 }, { round = 20 }, "3 mm"] }')
    made = read(tmp_path, text).pieces[0].polygon
    assert made.area == pytest.approx(6000 - 50 - (1 - math.pi / 4) * 409, abs=1.7)
    assert made.bounds == pytest.approx((0, 0, 60, 100))
    assert made.covers(Point(0, 0))
    assert not made.covers(Point(59, 0.5))


def test_an_inner_corner_is_rounded_too() -> None:
    found = contour([0, 0], [90, 0], [90, 30], {"at": [30, 30], "round": 10}, [30, 90], [0, 90])
    assert Polygon(found.points).area == pytest.approx(4500 + (1 - math.pi / 4) * 100, abs=0.02)


def test_a_fold_keeps_arcs_and_names(tmp_path: Path) -> None:
    """Half a disc drawn and folded is a disc."""
    text = piece(shape='{ polygon = [[0, -40], { arc = [0, 40], rise = 40, edge = "lip" }], fold = "y" }')
    assert read(tmp_path, text).pieces[0].area == pytest.approx(1600 * math.pi, rel=3e-3)
    whole = contour([0, -40], {"arc": [0, 40], "rise": 40, "edge": "lip"}).folded(0)
    assert [edge.name for edge in whole.edges] == ["lip", "lip"]
    assert sum(edge.length for edge in whole.edges) == pytest.approx(80 * math.pi, rel=1e-5)
    half = contour([0, 0], {"at": [30, 0], "edge": "foot"}, {"at": [40, 60], "edge": "side"}, [0, 60])
    assert half.folded(0).names == ("foot", "side", "3", "side mirrored")


def test_path_data_draws_an_outline_with_an_opening_in_the_files_units(tmp_path: Path) -> None:
    """SVG 1.1, section 8.3; y runs up, so a sweep flag of 1 turns counter-clockwise."""
    shape = '{ path = "M 0 0 H 8 V 6 A 4 4 0 0 1 0 6 Z M 3 2 h 2 v 2 h -2 z" }'
    made = read(tmp_path, piece(shape=shape).replace("[[piece]]", 'units = "cm"\n[[piece]]')).pieces[0]
    assert made.polygon.area == pytest.approx(4800 + 800 * math.pi, abs=0.05 * 130)
    assert [Polygon(ring).area for ring in made.cutouts] == [400]


def test_lengths_of_an_outline_follow_the_leather(tmp_path: Path) -> None:
    shape = '{ polygon = [[0, 0], ["40 + t", 0], { at = ["40 + t", 30], round = "2 * t" }, [0, 30]] }'
    assert read(tmp_path, piece(shape=shape), 5.0).pieces[0].area == pytest.approx(
        1350 - (1 - math.pi / 4) * 100, abs=1
    )


def test_a_corner_is_rounded_beside_a_curve(tmp_path: Path) -> None:
    """Closed form: half a disc of the radius 50, its right corner rounded by 8. The round touches the flat and, from
    within, the circle, so that its centre lies 8 above the flat and 50 − 8 from the disc's."""
    shape = "{ polygon = [[0, 0], { at = [100, 0], round = 8 }, { arc = [0, 0], through = [50, 50] }] }"
    made = read(tmp_path, piece(shape=shape)).pieces[0]
    x = 50 + math.sqrt(42**2 - 8**2)
    assert made.polygon.bounds[2] == pytest.approx(x + 8, abs=0.06)
    lost = Point(x, 8).distance(Point(100, 0)) - 8
    assert made.polygon.exterior.distance(Point(100, 0)) == pytest.approx(lost, abs=0.06)


def test_a_corner_is_cut_beside_a_curve(tmp_path: Path) -> None:
    """So much off the flat, and as much along the arc."""
    shape = "{ polygon = [[0, 0], { at = [100, 0], cut = [10, 15] }, { arc = [0, 0], through = [50, 50] }] }"
    made = read(tmp_path, piece(shape=shape)).pieces[0]
    ends = Point(90, 0), Point(50 + 50 * math.cos(15 / 50), 50 * math.sin(15 / 50))
    assert all(made.polygon.exterior.distance(end) < 0.06 for end in ends)


def test_the_outline_that_the_formats_show_is_read(tmp_path: Path) -> None:
    text = (Path(nesting.__file__).parent / "FORMATS.md").read_text()
    (shown,) = [block for block in text.split("```toml")[1:] if '"flap"' in block]
    made = read(tmp_path, HEAD + shown.split("```")[0])
    assert made.pieces[0].polygon.bounds[2] == pytest.approx(126, abs=0.06)


BAD = {
    "a curve that crosses itself": (
        "{ polygon = [[0, 0], [60, 0], { curve = [0, 60], by = [[-90, 30], [90, -30]] }] }",
        "piece “back”.shape.polygon: crosses or touches itself near [",
    ),
    "an arc through nothing": ("{ polygon = [[0, 0], { arc = [60, 0] }, [0, 40]] }", "polygon[1].arc: an arc has 0 of"),
    "an arc twice over": ("{ polygon = [[0,0], { arc = [60,0], rise = 3, radius = 90 }, [0,40]] }", "2 of through"),
    "an arc on a line": ("{ polygon = [[0,0], { arc = [60,0], through = [30,0] }, [0,40]] }", "straight line"),
    "a radius too small": ("{ polygon = [[0,0], { arc = [60,0], radius = 20 }, [0,40]] }", "give at least 30 mm"),
    "a step of no kind": ("{ polygon = [[0,0], { edge = 'a' }, [0,40]] }", "polygon[1]: is {'edge'"),
    "a step of two kinds": ("{ polygon = [[0,0], { at = [9,0], arc = [0,9] }, [0,40]] }", "which is 2 of"),
    "a field of another step": ("{ polygon = [[0,0], { at = [9,0], rise = 3 }, [0,40]] }", "does not go with at"),
    "a misspelt step": ("{ polygon = [[0,0], { ark = [9,0], rise = 3 }, [0,40]] }", "did you mean “arc”"),
    "a curve of three points": (
        "{ polygon = [[0,0], { curve = [9,0], by = [[1,1],[2,2],[3,3]] }, [0,40]] }",
        "3 points",
    ),
    "an outline that begins with an arc": ("{ polygon = [{ arc = [0,0], rise = 3 }, [9,0], [0,40]] }", "leads nowhere"),
    "a step to where one is": ("{ polygon = [[0,0], [9,0], { arc = [9,0], rise = 3 }, [0,40]] }", "starts from"),
    "a corner rounded beyond its edge": (
        "{ polygon = [[0,0], { at = [60,0], round = 40 }, [60,30], [0,30]] }",
        "the corners of edge “2” take 40 of its 30 mm",
    ),
    "a corner rounded and cut": ("{ polygon = [[0,0], { at = [60,0], round = 4, cut = 4 }, [0,30]] }", "beside round"),
    "a round beside a curve that touches it nowhere": (
        "{ polygon = [[0,0], { at = [60,0], round = 40 }, { arc = [0,30], rise = 5 }] }",
        "no round of 40 mm touches both edges beside it",
    ),
    "a negative cut": ("{ polygon = [[0,0], { at = [60,0], cut = -4 }, [0,30]] }", "not below nought"),
    "three corners": ("{ rectangle = [60, 40], corners = [1, 2, 3] }", "holds 3 corners"),
    "corner and corners": ("{ rectangle = [60, 40], corner = 3, corners = [1, 2, 3, 4] }", "cannot stand beside"),
    "corners too large": ("{ rectangle = [60, 40], corners = [30, 0, 0, 30] }", "“left” take 60 of its 40 mm"),
    "a fold that overlaps itself": (
        '{ polygon = [[-9,0], [60,0], { arc = [0,30], rise = 5 }], fold = "y" }',
        "lies on both sides of the y axis",
    ),
    "path data that is no text": ("{ path = 3 }", "no path data"),
    "path data that cannot be read": ('{ path = "M 0 0 Q Z" }', "cannot be read"),
    "an open path": ('{ path = "M 0 0 H 9 V 9" }', "is open: it ends in [9, 9]"),
    "two outlines in one path": ('{ path = "M 0 0 h 9 v 9 z M 20 0 h 9 v 9 z" }', "do not lie in one another"),
    "a cutout along the edge": ('{ path = "M 0 0 h 9 v 9 h -9 z M 0 2 h 2 v 2 h -2 z" }', "reaches out of the outline"),
    "an outline drawn twice": ('{ path = "M 0 0 h 9 v 9 h -9 z M 0 0 h 9 v 9 h -9 z" }', "reaches out of the outline"),
    "a hole drawn twice": (
        '{ path = "M 0 0 h 9 v 9 h -9 z M 2 2 h 2 v 2 h -2 z M 2 2 h 2 v 2 h -2 z" }',
        "cross one another",
    ),
    "a path that crosses itself": ('{ path = "M 0 0 L 9 9 H 0 L 9 0 Z" }', "crosses itself"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_slip_in_an_outline_gets_one_line_with_piece_and_field(tmp_path: Path, name: str) -> None:
    shape, told = BAD[name]
    with pytest.raises(InputError) as caught:
        read(tmp_path, piece(shape=shape))
    line = str(caught.value)
    assert told in line
    assert "piece “back”.shape" in line
    assert "\n" not in line
