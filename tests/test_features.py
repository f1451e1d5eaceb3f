"""Rows of holes, slots, lines, notches and folds, against counts and closed forms."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import pytest
from shapely.geometry import LineString, Polygon
from test_project_file import piece, read

from hides.errors import InputError
from nesting.model.product import Piece
from nesting.result.layout_file import layout_from_data, layout_to_data


def one(tmp_path: Path, t: float | None = None, **fields: str) -> Piece:
    (made,) = read(tmp_path, piece(**fields), t).pieces
    return made


def holes(tmp_path: Path, shape: str, row: str) -> list[tuple[float, float]]:
    made = one(tmp_path, shape=shape, rows=f"[{row}]")
    return [hole.at for hole in made.holes]


def steps(spots: list[tuple[float, float]]) -> list[float]:
    return [math.dist(a, b) for a, b in pairwise(spots)]


BOX = "{ rectangle = [100, 60] }"


def test_as_many_holes_go_as_the_pitch_lets(tmp_path: Path) -> None:
    """Handbook count: a line of L mm takes floor(L / pitch) + 1 holes; 100 − 2 × 4 mm at 4 mm: 24."""
    spots = holes(tmp_path, BOX, '{ edge = "bottom", inset = 4, pitch = 4, diameter = 1 }')
    assert len(spots) == 24
    assert steps(spots) == pytest.approx([4] * 23)
    assert spots[0] == pytest.approx((4, 4))
    odd = holes(tmp_path, BOX, '{ edge = "bottom", inset = 4, pitch = 5, diameter = 1 }')
    assert (len(odd), odd[0], odd[-1]) == (19, pytest.approx((5, 4)), pytest.approx((95, 4)))


def test_a_number_of_holes_is_spread_or_stands_in_the_middle(tmp_path: Path) -> None:
    spread = holes(tmp_path, BOX, '{ edge = "left", inset = 10, number = 3, diameter = 3 }')
    assert spread == [pytest.approx(p) for p in ((10, 50), (10, 30), (10, 10))]
    middle = holes(tmp_path, BOX, "{ line = [[0, 30], [100, 30]], number = 5, pitch = 10, diameter = 3 }")
    assert [x for x, _ in middle] == pytest.approx([30, 40, 50, 60, 70])
    begun = holes(tmp_path, BOX, "{ line = [[0, 30], [100, 30]], number = 5, pitch = 10, ends = [8, 0], diameter = 3 }")
    assert [x for x, _ in begun] == pytest.approx([8, 18, 28, 38, 48])
    even = holes(tmp_path, BOX, '{ edge = "bottom", inset = 4, pitch = 5, even = true, diameter = 1 }')
    assert (len(even), even[0][0], even[-1][0]) == (19, pytest.approx(4), pytest.approx(96))


def test_corners_are_shared_or_spaced(tmp_path: Path) -> None:
    shape, row = BOX, '{ edge = ["left", "bottom", "right"], inset = 4, pitch = 4, ends = 4, diameter = 1%s }'
    shared = holes(tmp_path, shape, row % "")
    assert len(shared) == 13 + 23 + 13 + 1
    assert any(spot == pytest.approx((4, 4)) for spot in shared)
    spaced = holes(tmp_path, shape, row % ', corners = "spaced"')
    assert not any(math.dist(spot, (4, 4)) < 1.9 for spot in spaced)
    assert all(math.dist(a, b) > 1.9 for a, b in pairwise(spaced))
    along = holes(tmp_path, shape, row % ', corners = "round"')
    assert len(along) == 196 // 4 + 1


def test_a_row_follows_a_rounded_corner_and_a_circle(tmp_path: Path) -> None:
    """Closed form: inside a corner of radius 20 the line at 5 turns with the radius 15."""
    shape = "{ rectangle = [100, 60], corner = 20 }"
    spots = holes(tmp_path, shape, '{ edge = "all", inset = 5, pitch = 4, diameter = 1 }')
    assert len(spots) == round((2 * (60 + 20) + 30 * math.pi) / 4)
    rim = holes(tmp_path, "{ circle = 60 }", '{ edge = "rim", inset = 5, number = 8, diameter = 2 }')
    assert [math.hypot(*spot) for spot in rim] == pytest.approx([25] * 8, abs=1e-3)
    assert steps(rim) == pytest.approx([50 * math.sin(math.pi / 8)] * 7, abs=1e-3)


def test_a_belts_holes_lie_about_the_middle_one(tmp_path: Path) -> None:
    """Common practice: an odd number, an inch apart, the middle one at the waist."""
    made = one(
        tmp_path,
        shape='{ strap = [38, 1000], ends = ["square", "point"] }',
        belt_holes='{ middle = 880, number = 5, pitch = "1 in", diameter = 5, group = "belt" }',
        buckle_slots="[{ at = 60, length = 25, width = 5 }]",
    )
    assert [hole.at for hole in made.holes] == [pytest.approx((19, 880 + 25.4 * k)) for k in (-2, -1, 0, 1, 2)]
    assert {hole.group for hole in made.holes} == {"belt"}
    assert Polygon(made.cutouts[0]).bounds == pytest.approx((16.5, 47.5, 21.5, 72.5))


def test_slots_have_their_area(tmp_path: Path) -> None:
    flat = "{ at = [50, 30], length = 30, width = 6, angle = 0 }"
    text = f"[{flat}, {{ at = [50, 55], length = 30, width = 6, ends = 'square' }}]"
    made = one(tmp_path, shape="{ rectangle = [100, 80] }", slots=text)
    round_ends, square = (Polygon(ring) for ring in made.cutouts)
    assert square.area == pytest.approx(180)
    assert round_ends.area == pytest.approx(24 * 6 + 9 * math.pi, abs=0.6)
    assert round_ends.bounds == pytest.approx((35, 27, 65, 33))
    assert square.bounds == pytest.approx((47, 40, 53, 70))


def test_a_fold_carries_everything_and_doubles_nothing(tmp_path: Path) -> None:
    made = one(
        tmp_path,
        fold='"y"',
        shape='{ polygon = [[0, 0], { at = [50, 0], edge = "foot" }, { at = [50, 80], edge = "side" }, [0, 80]] }',
        holes="""[
          { at = [20, 10], diameter = 3 }, { at = [0, 40], diameter = 3 },
          { at = [30, 70], diameter = 4, one_side = true },
        ]""",
        rows="""[
          { edge = "side", inset = 5, number = 3, diameter = 1 },
          { edge = "foot", inset = 9, number = 5, diameter = 1 },
        ]""",
        slots="[{ at = [25, 40], length = 20, width = 4 }]",
        lines='[{ kind = "crease", points = [[10, 20], [10, 60]] }, { kind = "fold", points = [[-50, 70], [50, 70]] }]',
        notches='[{ edge = "side", depth = 3 }]',
        covered='[{ outline = [[40, 0], [50, 0], [50, 10], [40, 10]], grade = "C" }]',
    )
    assert made.polygon.bounds == (-50, 0, 50, 80)
    assert len(made.holes) == 2 + 1 + 1 + 2 * 3 + 5
    assert len(made.cutouts) == 2
    assert sorted(line.kind for line in made.lines) == ["crease", "crease", "fold", "notch", "notch"]
    assert sum(Polygon(cover.outline).area for cover in made.covered) == 200
    assert {hole.at for hole in made.holes} >= {(20, 10), (-20, 10), (0, 40), (30, 70)}
    assert (-30, 70) not in {hole.at for hole in made.holes}


def test_a_fold_over_both_axes_makes_four(tmp_path: Path) -> None:
    made = one(tmp_path, fold='"both"', shape="{ rectangle = [50, 30] }", holes="[{ at = [40, 20], diameter = 3 }]")
    assert made.polygon.bounds == (-50, -30, 50, 30)
    assert {hole.at for hole in made.holes} == {(40, 20), (-40, 20), (40, -20), (-40, -20)}


def test_left_and_right_are_made_by_turning_the_paper_over(tmp_path: Path) -> None:
    text = piece(
        hand='"both"', count="2", shape="{ polygon = [[0, 0], [40, 0], [0, 60]] }",
        holes='[{ at = [5, 10], diameter = 3, group = "a" }]',
        lines='[{ kind = "fold", points = [[0, 20], [20, 20]] }]',
    )  # fmt: skip
    left, right = read(tmp_path, text).pieces
    assert (left.name, right.name, left.hand, right.hand, right.count) == (
        "back left",
        "back right",
        "left",
        "right",
        2,
    )
    assert Polygon(right.outline).equals(Polygon([(0, 0), (40, 0), (40, 60)]))
    assert (right.holes[0].at, right.holes[0].group) == ((35, 10), "a")
    assert set(right.lines[0].points) == {(40, 20), (20, 20)}


def test_lines_follow_edges_and_points(tmp_path: Path) -> None:
    made = one(
        tmp_path,
        3.0,
        shape=BOX,
        lines="""[
          { kind = "stitch", edge = ["left", "bottom"], inset = 4 },
          { kind = "skive", edge = "top", width = 15, left = "t / 3" },
          { kind = "fold", points = [[0, 30], [100, 30]], name = "here" },
        ]""",
        notches='[{ edge = "right", at = 20, depth = 4, width = 6 }]',
    )
    stitch, skive, fold, notch = made.lines
    assert LineString(stitch.points).length == pytest.approx(56 + 96)
    assert (skive.width, skive.left, LineString(skive.points).bounds) == (15, 1, (0, 45, 100, 45))
    assert fold.name == "here"
    assert set(notch.points) == {(100, 17), (100, 23), (96, 20)}


def test_a_layout_keeps_lines_hands_and_finished_edges(tmp_path: Path) -> None:
    made = one(tmp_path, 3.0, shape=BOX, lines='[{ kind = "skive", edge = "top", width = 15, left = 1, name = "s" }]')
    data = layout_to_data(_layout_of(made))
    assert data["pieces"][0]["lines"] == [
        {"kind": "skive", "points": [[100, 45], [0, 45]], "width": 15, "left": 1, "name": "s"}
    ]
    assert layout_from_data(data).products[0].pieces[0] == made
    plain = layout_to_data(_layout_of(one(tmp_path)))
    assert not {"lines", "finished", "hand"} & set(plain["pieces"][0])


def _layout_of(made: Piece) -> object:
    from nesting.model.layout import Layout
    from nesting.model.product import Product

    return Layout((), (Product("goods", (made,)),), 0.0, 1, "quick", ())


def test_a_hole_forgotten_by_a_shapes_own_fold_is_told(tmp_path: Path) -> None:
    from nesting.project.project_file import read_product

    read(
        tmp_path,
        piece(shape='{ polygon = [[0, 0], [40, 0], [0, 60]], fold = "y" }', holes="[{ at = [9, 9], diameter = 3 }]"),
    )
    findings: list[object] = []
    product = read_product(tmp_path / "goods.toml", None, findings)  # type: ignore[arg-type]
    assert len(product.pieces[0].holes) == 1
    assert "fold beside shape carries everything" in str(findings[0])


BAD = {
    "a pitch longer than the edge": (
        {"rows": '[{ edge = "left", pitch = 70, diameter = 1 }]'},
        "rows[0].pitch: 70 mm is longer than the line, 60 mm",
    ),
    "a pitch longer than what the ends leave": (
        {"rows": '[{ edge = "left", inset = 20, pitch = 30, diameter = 1 }]'},
        "longer than the 20 mm between the ends",
    ),
    "more holes than go": ({"rows": '[{ edge = "left", number = 9, pitch = 10, diameter = 1 }]'}, "take 80 mm"),
    "neither pitch nor number": ({"rows": '[{ edge = "left", diameter = 1 }]'}, "give pitch, number, or both"),
    "an edge nobody named": ({"rows": '[{ edge = "lft", pitch = 4, diameter = 1 }]'}, "did you mean “left”"),
    "edges that do not follow": (
        {"rows": '[{ edge = ["left", "right"], pitch = 4, diameter = 1 }]'},
        "“left”, “right” do not follow one another",
    ),
    "an edge twice": ({"rows": '[{ edge = ["left", "left"], pitch = 4, diameter = 1 }]'}, "twice"),
    "edge and line": ({"rows": '[{ edge = "left", line = [[1,1],[2,2]], pitch = 4, diameter = 1 }]'}, "not both"),
    "a row beyond the piece": (
        {"rows": "[{ line = [[-5, 9], [50, 9]], pitch = 4, diameter = 1 }]"},
        "piece “back”.rows[0].line: leads to (-3.5, 9) mm, outside the piece; keep it on the piece",
    ),
    "an inset a curve is too narrow for": (
        {"shape": "{ circle = 30 }", "rows": '[{ edge = "rim", inset = 16, pitch = 4, diameter = 1 }]'},
        "is more than edge “rim” is round by",
    ),
    "an inset that leads out at the other side": (
        {"rows": '[{ edge = "left", inset = 170, ends = 2, pitch = 4, diameter = 1 }]'},
        "rows[0].inset: leads to (",
    ),
    "a line further in than half way to the edge across": (
        {"lines": '[{ kind = "stitch", edge = ["left", "bottom", "right"], inset = 55 }]'},
        "lines[0].inset: its line at an inset of 55 mm comes within",
    ),
    "a line that a cut corner stands out of": (
        {
            "shape": "{ rectangle = [60, 60], corners = [0, { cut = 5 }, 0, 0] }",
            "rows": '[{ edge = "all", inset = 20, pitch = 4, diameter = 1 }]',
        },
        "rows[0].inset: its line at an inset of 20 mm comes within 5 mm",
    ),
    "a hole on its own image across the fold": (
        {"fold": '"y"', "holes": "[{ at = [1, 20], diameter = 4 }]"},
        "piece “back”.holes: the hole at (1, 20) mm runs into its own image across the fold; put it on the fold",
    ),
    "a fold beside the fold in shape": (
        {"fold": '"y"', "shape": '{ polygon = [[0, 0], [60, 0], [60, 30], [0, 30]], fold = "y" }'},
        "piece “back”.fold: cannot stand beside the fold in shape; leave that one out",
    ),
    "one of a pair alone": (
        {"hand": '"left"', "pair": '"mirrored"'},
        'piece “back”.pair: has no partner “back right”; write hand = "both"',
    ),
    "a path with a letter that is none": (
        {"shape": '{ path = "M 0 0 H 80 X 60 Z" }'},
        "shape.path: holds “X”, no part of path data; write M, L, H",
    ),
    "a sum without a unit": ({"shape": '{ rectangle = ["40 / 2", 40] }'}, "“40 / 2” has no unit"),
    "holes wider than their pitch": (
        {"rows": '[{ edge = "left", inset = 4, pitch = 2, diameter = 5 }]'},
        "rows[0].pitch: holes 5 mm across stand 2 mm apart and run into one another",
    ),
    "more holes than go without touching": (
        {"rows": '[{ edge = "left", number = 30, diameter = 5 }]'},
        "rows[0].number: holes 5 mm across stand 2.069 mm apart",
    ),
    "belt holes that run into one another": (
        {"belt_holes": "{ middle = 30, number = 3, pitch = 4, diameter = 5 }"},
        "belt_holes.pitch: holes 5 mm across stand 4 mm apart",
    ),
    "belt holes beside a narrow part": (
        {
            "shape": "{ polygon = [[0, 0], [60, 0], [60, 60], [40, 60], [40, 20], [20, 20], [20, 60], [0, 60]] }",
            "belt_holes": "{ middle = 30, number = 3, pitch = 8, diameter = 5 }",
        },
        "belt_holes.middle: leads to (30, 22) mm, outside the piece",
    ),
    "a row along one of two lines of one name": (
        {
            "lines": '[{ kind = "stitch", name = "a", points = [[9, 9], [9, 50]] }, '
            '{ kind = "stitch", name = "a", points = [[9, 9], [50, 9]] }]',
            "rows": '[{ line = "a", pitch = 4, diameter = 1 }]',
        },
        "rows[0].line: 2 lines are called “a”; give each a name of its own",
    ),
    "a row along a line that is told wrongly": (
        {
            "lines": '[{ kind = "fold", points = [[9, 9], [9, 50]] }, '
            '{ kind = "stitch", name = "a", points = [[9, 9]] }]',
            "rows": '[{ line = "a", pitch = 4, diameter = 1 }]',
        },
        "piece “back”.lines[1].points: is no line",
    ),
    "a skived edge with an inset": (
        {"lines": '[{ kind = "skive", edge = "left", inset = 3, width = 9 }]'},
        "lines[0].inset: does not go with a skived edge",
    ),
    "an edge called all": (
        {"shape": '{ polygon = [[0, 0], { at = [60, 0], edge = "all" }, [60, 60]] }'},
        "polygon[1].edge: “all” means every edge",
    ),
    "edges apart of one name": (
        {
            "shape": '{ polygon = [[0, 0], { at = [60, 0], edge = "a" }, [60, 60], { at = [0, 60], edge = "a" }] }',
        },
        "polygon[1].edge: another edge is called “a” too, and others lie between",
    ),
    "an edge called by the number of another": (
        {"shape": '{ polygon = [[0, 0], [60, 0], { at = [60, 60], edge = "4" }, [0, 60]] }'},
        "polygon[2].edge: another edge is called “4” too",
    ),
    "corners of too few": (
        {"shape": "{ rectangle = [60, 60], corners = [8, 8] }"},
        "goods.toml: piece “back”.shape.corners: holds 2 corners",
    ),
    "near a piece nobody named": ({"near": '[{ piece = "front", within = 90 }]'}, "unknown piece “front”; known: none"),
    "an even number of belt holes": (
        {"belt_holes": "{ middle = 30, number = 4, pitch = 5, diameter = 3 }"},
        "belt_holes.number: is 4; give an odd number",
    ),
    "belt holes beyond the strap": ({"belt_holes": "{ middle = 50, pitch = 10, diameter = 3 }"}, "out of the piece"),
    "a slot wider than long": ({"slots": "[{ at = [30, 30], length = 4, width = 9 }]"}, "slots[0].width: 9 mm is more"),
    "a slot beyond the piece": ({"slots": "[{ at = [2, 30], length = 9, width = 6 }]"}, "reaches out of the piece"),
    "slots that run together": (
        {"slots": "[{ at = [30, 30], length = 9, width = 4 }, { at = [31, 33], length = 9, width = 4 }]"},
        "runs into another opening",
    ),
    "a line of no kind": ({"lines": '[{ kind = "dart", points = [[0, 0], [9, 9]] }]'}, "unknown “dart”"),
    "a line beyond the piece": (
        {"lines": '[{ kind = "fold", points = [[0, 9], [130, 9]] }]'},
        "reaches out of the piece at (",
    ),
    "a line of one point": ({"lines": '[{ kind = "fold", points = [[0, 9]] }]'}, "is no line"),
    "a width that is no skiving": (
        {"lines": '[{ kind = "fold", edge = "left", width = 9 }]'},
        "does not go with a fold",
    ),
    "a skiving without width": ({"lines": '[{ kind = "skive", edge = "left" }]'}, "say how far from the edge"),
    "a skiving that leaves all": (
        {"lines": '[{ kind = "skive", edge = "left", width = 9, left = 4 }]'},
        "4 mm is not less than the leather's 4 mm",
    ),
    "a notch beyond its edge": ({"notches": '[{ edge = "left", at = 90, depth = 3 }]'}, "lies beyond the edge"),
    "a notch through the piece": ({"notches": '[{ edge = "left", depth = 300 }]'}, "reaches through the piece"),
    "a fold that overlaps itself": (
        {"fold": '"y"', "shape": "{ polygon = [[-9, 0], [60, 0], [60, 30]] }"},
        "piece “back”.fold: lies on both sides of the y axis it is folded over; draw one half only",
    ),
    "a fold off the piece": (
        {"fold": '"y"', "shape": "{ polygon = [[9, 0], [60, 0], [60, 30]] }"},
        "piece “back”.fold: does not meet the y axis",
    ),
    "a hand that may be turned over": ({"hand": '"both"', "mirror": "true"}, "leave mirror out"),
    "no such hand": ({"hand": '"third"'}, "unknown “third”"),
    "a finished edge in a project": ({"finished": "[[0, 0], [9, 0], [0, 9]]"}, "follows from the allowances"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_slip_gets_one_line_with_piece_field_and_remedy(tmp_path: Path, name: str) -> None:
    fields, told = BAD[name]
    with pytest.raises(InputError) as caught:
        one(tmp_path, 4.0, **{"shape": BOX, **fields})
    line = str(caught.value)
    assert told in line
    assert "piece “back”" in line
    assert "\n" not in line


LOOP = """[[piece]]
name = "loop"
count = 2
shape = { rectangle = [60, 200] }
holes = [
  { at = [10, 10], diameter = 5, group = "outer end" }, { at = [40, 12], diameter = 5, group = "outer end" },
  { at = [10, 190], diameter = 5, group = "inner end" }, { at = [40, %d], diameter = 5, group = "inner end" },
  { at = [50, 100], diameter = 5, group = "spare" },
]
[[piece]]
name = "back"
shape = { rectangle = [60, 200] }
holes = [{ at = [20, 10], diameter = 5, group = "x" }, { at = [50, 12], diameter = 5, group = "x" }]
[[fastener]]
name = "post"
kind = "post"
sizes = [{ name = "1/4 in", length = "1/4 in" }]
[[joint]]
name = "loop"
fastener = "post"
layers = [{ piece = "back", holes = "x" }, { piece = "loop", %s }]
"""


def joined(tmp_path: Path, y: int, layer: str) -> list[str]:
    from test_project_file import HEAD

    from nesting.making.joints import joint_remarks

    product = read(tmp_path, HEAD + LOOP % (y, layer), 4.0)
    return [
        remark.text
        for remark in joint_remarks(product, product.making)
        if "off hole" in remark.text or "plies" in remark.text
    ]


def test_both_ends_of_a_folded_piece_are_counted_and_checked(tmp_path: Path) -> None:
    """The second end lies the other side up, so its holes are the first end's mirrored in the fold."""
    from test_project_file import HEAD

    from nesting.making.joints import stack_of

    both = 'ends = ["outer end", "inner end"]'
    assert joined(tmp_path, 188, both) == []
    assert len(joined(tmp_path, 180, both)) == 1
    assert len(joined(tmp_path, 188, 'holes = "outer end", plies = 2')) == 1
    joint = read(tmp_path, HEAD + LOOP % (188, both), 4.0).making.joints[0]
    assert stack_of(joint, 4.0) == 12
    assert len(joint.layers) == 3


@pytest.mark.parametrize(
    ("layer", "told"),
    [
        ('ends = ["outer end", "spare"]', "“outer end” has 2 holes and “spare” has 1"),
        ('ends = ["outer end"]', "name the holes of both"),
        ('ends = ["outer end", "inner end"], plies = 2', "cannot stand beside ends"),
        ('ends = ["outer end", "iner end"]', "did you mean “inner end”"),
    ],
)
def test_slips_in_the_ends_of_a_folded_piece_are_told(tmp_path: Path, layer: str, told: str) -> None:
    with pytest.raises(InputError) as caught:
        joined(tmp_path, 188, layer)
    assert told in str(caught.value)
    assert "joint “loop”.layers[1].ends" in str(caught.value) or "plies" in str(caught.value)


def test_patterns_say_what_a_paper_pattern_says(tmp_path: Path) -> None:
    from nesting.drawing.piece_pattern import pattern
    from nesting.drawing.scene import Line, Text

    text = piece(
        hand='"both"', count="2", shape="{ rectangle = [40, 200] }", grade='"B"', along='"backbone"',
        holes="[{ at = [20, 10], diameter = 4 }]", slots="[{ at = [20, 50], length = 20, width = 4 }]",
        lines="""[
          { kind = "fold", points = [[0, 60], [40, 60]] }, { kind = "skive", edge = "right", width = 6, left = 1 },
        ]""",
    )  # fmt: skip
    product = read(tmp_path, text, 3.0)
    made = pattern(product, product.pieces[0], "A")
    words = [item.words for item in made.scene if isinstance(item, Text)]
    assert "cut 2 as it lies (left) and 2 turned over (right)" in words
    assert "punch 4 mm × 1, 1 cut out, fold, skive" in words
    assert {"fold here", "skive 6 mm to 1 mm", "no hole at this end"} <= set(words)
    assert any("grade B, along" in each for each in words)
    assert {"fold line", "skive line", "grain"} <= {item.layer for item in made.scene if isinstance(item, Line)}


def test_a_hides_dxf_has_lines_on_layers_of_their_own(tmp_path: Path) -> None:
    from nesting.drawing.dxf import dxf_text
    from nesting.drawing.scene import Line

    text = dxf_text((Line("stitch line", ((0, 0), (9, 9))),))
    assert "STITCH" in text
    assert "SKIVE" not in text
    assert "STITCH" not in dxf_text(())


def test_a_piece_longer_than_any_hide_is_spliced_from_as_few_as_go(tmp_path: Path) -> None:
    """Closed form: n parts of (length + (n − 1) · lap) / n."""
    text = piece(
        shape='{ strap = [30, 1500], ends = ["square", "point"] }', splice='{ over = "900 mm", lap = "60 mm" }',
        holes="[{ at = [15, 100], diameter = 4 }, { at = [15, 750], diameter = 4 }, { at = [15, 1400], diameter = 4 }]",
        covered='[{ outline = [[0, 0], [30, 0], [30, 40], [0, 40]], grade = "C" }]',
        slots="[{ at = [15, 1300], length = 20, width = 4 }]",
        lines='[{ kind = "crease", edge = "left", inset = 4 }]',
    )  # fmt: skip
    foot, head = read(tmp_path, text).pieces
    assert (foot.name, head.name) == ("back 1", "back 2")
    assert foot.polygon.bounds == head.polygon.bounds == (0, 0, 30, 780)
    assert foot.area + head.area == pytest.approx(30 * 1500 - 225 + 60 * 30)
    assert [hole.at[1] for hole in foot.holes] == [100, 750]
    assert [hole.at[1] for hole in head.holes] == [30, 680]
    assert (len(foot.covered), len(head.covered), len(foot.cutouts), len(head.cutouts)) == (1, 0, 0, 1)
    assert [(line.kind, line.name) for line in head.lines] == [("crease", ""), ("skive", "lap")]
    thirds = read(tmp_path, text.replace("900 mm", "560 mm")).pieces
    assert [(part.name, part.polygon.bounds[3]) for part in thirds] == [
        ("back 1", 540),
        ("back 2", 540),
        ("back 3", 540),
    ]
    assert sum(part.area for part in thirds) == pytest.approx(30 * 1500 - 225 + 2 * 60 * 30)
    assert [[hole.at[1] for hole in part.holes] for part in thirds] == [[100], [270], [440]]
    assert [sum(line.kind == "skive" for line in part.lines) for part in thirds] == [1, 2, 1]
    (whole,) = read(tmp_path, text.replace("900 mm", "1500 mm")).pieces
    assert whole.name == "back"


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        (
            {"splice": "{ over = 280, lap = 60 }"},
            "splice.over: each of 4 parts of 1000 mm is 295 mm long with its laps",
        ),
        ({"splice": "{ over = 900 }"}, "splice.lap: is missing"),
        ({"splice": "{ over = 900, lap = 60 }", "hand": '"both"'}, "cannot stand beside hand"),
        (
            {"splice": "{ over = 900, lap = 60 }", "slots": "[{ at = [20, 530], length = 20, width = 4 }]"},
            "splice.lap: ends in an opening",
        ),
    ],
)
def test_a_slip_in_a_splice_gets_one_line(tmp_path: Path, fields: dict[str, str], told: str) -> None:
    with pytest.raises(InputError) as caught:
        one(tmp_path, **{"shape": "{ rectangle = [40, 1000] }", **fields})
    assert told in str(caught.value)
