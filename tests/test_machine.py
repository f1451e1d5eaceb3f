"""Files for machines: read back they are the layout, every shared line once, nothing loose before what lies in it."""

from __future__ import annotations

import io
import math
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path as FilePath

import ezdxf
import numpy as np
import pytest
import shapely
from ezdxf.path import make_path
from hypothesis import given
from hypothesis import strategies as st
from layouts import RACK, laid_by_hand, oval, rectangle, side
from shapely import affinity
from shapely.geometry import Polygon

from hides.drawing import read_drawing
from hides.errors import InputError
from hides.hide import Hide, Point, Ring
from nesting.commands import main
from nesting.drawing.machine.arcs import with_arcs
from nesting.drawing.machine.contours import contours
from nesting.drawing.machine.dxf_file import job_dxf
from nesting.drawing.machine.job import LASER_CAUTION, MachineJob, job_of, tool_remarks
from nesting.drawing.machine.operations import operations
from nesting.drawing.machine.path import Path, Round, flattened
from nesting.drawing.machine.plot_file import job_plot
from nesting.drawing.machine.svg_file import job_svg
from nesting.drawing.marks import carried, datum_of
from nesting.drawing.registration import registration_marks
from nesting.model.layout import HideLayout, Layout, Placement, ProductCount
from nesting.model.product import InnerLine, Piece, Product, PunchHole
from nesting.project.project_file import read_product
from nesting.project.shapes import circle, strap
from nesting.result.areas import account
from nesting.result.layout_file import write_layout

SCENARIO = FilePath(__file__).resolve().parents[1] / "nesting" / "scenario"
SVG = "{http://www.w3.org/2000/svg}"


def laid(pieces: Sequence[tuple[Piece, float, float, float, bool]], hide: Hide | None = None) -> Layout:
    """A layout of pieces at places: piece, x, y, angle, turned over."""
    hide = hide or Hide("H", rectangle(1500, 1000), backbone=((10, 10), (1400, 10)))
    kinds = {piece.name: piece for piece, *_ in pieces}
    placements = []
    for piece, x, y, angle, over in pieces:
        blank = Placement(piece.name, "P", 1, x, y, angle, over, ())
        ring = [carried(p, blank) for p in piece.outline]
        placements.append(replace(blank, outline=tuple(ring[::-1] if over else ring)))
    areas, offcuts = account(hide, [p.outline for p in placements], 0.0)
    whole = HideLayout(hide, tuple(placements), areas, offcuts)
    return Layout((ProductCount("P", 1, 9),), (Product("P", tuple(kinds.values())),), 0, 1, "quick", (whole,))


def rows() -> Layout:
    """Straps and rectangles of a project that butt against one another, shifted and turned, one row at an angle."""
    wide = Piece("strap", strap(38, 400, ("square", "point")), 4, holes=(PunchHole((19, 30), 5),))
    box = Piece(
        "box", rectangle(60, 90), 7, mirror=True, holes=(PunchHole((30, 45), 4),), cutouts=(oval(30, 70, 12, 6),)
    )
    rail = Piece("rail", strap(40, 240, ("round", "round")), 2, mirror=True)
    coin = Piece("coin", circle(46), 2)
    spots = [(wide, 100.0, 100 + 38.0 * k, -90.0, False) for k in range(1, 5)]
    spots += [(box, 600 + 60.0 * (k + (k == 2)), 100.0 + 25 * (k % 2), 0.0, k == 2) for k in range(4)]
    c, s = math.cos(math.radians(20)), math.sin(math.radians(20))
    spots += [(box, 700 + 60 * k * c, 400 + 60 * k * s, 20.0, False) for k in range(3)]
    spots += [(rail, 920.0, 100.0, 10.0, True), (rail, 1000.0, 100.0, 10.0, False)]
    spots += [(coin, 200.0, 600.0, 5.0, False), (coin, 246.1, 600.0, 50.0, False)]
    return laid(spots)


@pytest.fixture(scope="module")
def layout() -> Layout:
    return rows()


def cut_paths(document: ezdxf.document.Drawing, layer: str = "1") -> list[list[Point]]:
    """The curves on a layer by the library's own reading, flattened to a thousandth of a millimetre."""
    return [
        [(p.x, p.y) for p in make_path(entity).flattening(0.001)]
        for entity in document.modelspace()
        if entity.dxf.layer == layer
    ]


def faces(paths: Sequence[Sequence[Point]]) -> list[Polygon]:
    """The polygons between lines."""
    lines = shapely.union_all([shapely.LineString(path) for path in paths], grid_size=0.0001)
    return list(shapely.get_parts(shapely.polygonize(shapely.get_parts(lines))))


def true_shape(piece: Piece) -> Polygon:
    """The pieces of `rows` from exact circles of 4,000 corners (not hideplan's), in the piece's frame."""
    if piece.name == "rail":
        spine = shapely.LineString([(20, 20), (20, 220)])
        return spine.buffer(20, quad_segs=1000)
    if piece.name == "coin":
        return shapely.Point(0, 0).buffer(23, quad_segs=1000)
    return piece.polygon


def true_pieces(layout: Layout) -> list[Polygon]:
    kinds = {piece.name: piece for piece in layout.products[0].pieces}
    found = []
    for p in layout.hides[0].placements:
        shape = true_shape(kinds[p.piece])
        shape = affinity.scale(shape, -1, 1, origin=(0, 0)) if p.mirrored else shape
        found.append(affinity.translate(affinity.rotate(shape, p.angle, origin=(0, 0)), p.x, p.y))
    return found


def assert_same(found: Sequence[Polygon], wanted: Sequence[Polygon], off: float = 0.01) -> None:
    """Every wanted polygon is among those found, to `off` mm everywhere."""
    for shape in wanted:
        near = min(found, key=lambda face: face.symmetric_difference(shape).area)
        assert shapely.hausdorff_distance(near.exterior, shape.exterior, densify=0.05) <= off
        assert near.symmetric_difference(shape).area <= off * shape.length


def test_a_dxf_polygonised_is_the_layout_to_a_hundredth_of_a_millimetre(layout: Layout) -> None:
    document = ezdxf.read(io.StringIO(job_dxf(job_of(layout, layout.hides[0]))))
    assert_same(faces(cut_paths(document)), true_pieces(layout))
    assert_same([Polygon(path) for path in cut_paths(document, "11")], openings(layout))


def openings(layout: Layout) -> list[Polygon]:
    kinds = {piece.name: piece for piece in layout.products[0].pieces}
    return [
        Polygon([carried(q, p) for q in ring]) for p in layout.hides[0].placements for ring in kinds[p.piece].cutouts
    ]


def test_a_layout_laid_by_hand_comes_back_whatever_it_is() -> None:
    """Only straight edges: the layout's own outlines to 0.01 mm."""
    layout = laid_by_hand(complete=2)
    each = layout.hides[0]
    straight = [Polygon(p.outline) for p in each.placements if p.piece != "spacer"]
    document = ezdxf.read(io.StringIO(job_dxf(job_of(layout, each))))
    assert_same(faces(cut_paths(document)), straight)
    holes = [entity for entity in document.modelspace() if entity.dxf.layer == "13"]
    count = {p.name: sum(q.piece == p.name for q in each.placements) for p in RACK.pieces}
    assert len(holes) == sum(len(p.holes) * count[p.name] for p in RACK.pieces)
    assert {hole.dxf.radius for hole in holes} == {2.5}


def test_an_svg_read_back_is_the_layout_too(layout: Layout) -> None:
    """Arcs of the SVG are drawn by formulas of the SVG specification (F.6.5), y downwards."""
    root = ET.fromstring(job_svg(job_of(layout, layout.hides[0])))
    group = next(g for g in root if g.get("id") == "outlines")
    found = [svg_points(element) for element in group if element.tag != f"{SVG}title"]
    assert_same(faces([[(x, -y) for x, y in path] for path in found]), true_pieces(layout), 0.012)


def svg_points(element: ET.Element) -> list[Point]:
    if element.tag == f"{SVG}circle":
        x, y, r = (float(element.get(name, "")) for name in ("cx", "cy", "r"))
        return [(x + r * math.cos(t), y + r * math.sin(t)) for t in np.linspace(0, 2 * math.pi, 801)]
    words = element.get("d", "").split()
    points: list[Point] = []
    while words:
        word = words.pop(0)
        if word == "Z":
            points.append(points[0])
        elif word == "A":
            r, _, _, large, sweep, x, y = (float(words.pop(0)) for _ in range(7))
            points += svg_arc(points[-1], (x, y), r, large != sweep)
        else:
            points.append((float(words.pop(0)), float(words.pop(0))))
    return points


def svg_arc(a: Point, b: Point, r: float, same: bool) -> list[Point]:
    """F.6.5 of the SVG 1.1 specification for a circle; `same` tells that the flags differ."""
    hx, hy = (a[0] - b[0]) / 2, (a[1] - b[1]) / 2
    root = math.sqrt(max(r * r / (hx * hx + hy * hy) - 1, 0)) * (1 if same else -1)
    cx, cy = root * hy + (a[0] + b[0]) / 2, -root * hx + (a[1] + b[1]) / 2
    start, end = (math.atan2(y - cy, x - cx) for x, y in (a, b))
    # Of the arcs tried here none is larger than half a circle, so that the flag of size is 0 and the other one rules.
    sweep = (end - start) % (2 * math.pi) if same else -((start - end) % (2 * math.pi))
    return [
        (cx + r * math.cos(start + sweep * t), cy + r * math.sin(start + sweep * t)) for t in np.linspace(0, 1, 501)
    ][1:]


def test_every_shared_line_is_there_once(layout: Layout) -> None:
    """The lines drawn are as long as the union of all outlines; with --twice as long as all outlines together."""
    each = layout.hides[0]
    for once in (True, False):
        document = ezdxf.read(io.StringIO(job_dxf(job_of(layout, each, once=once))))
        drawn = [shapely.LineString(path) for path in cut_paths(document)]
        length = sum(line.length for line in drawn)
        outlines = sum(shape.length for shape in true_pieces(layout))
        union = shapely.union_all([shape.exterior for shape in true_pieces(layout)], grid_size=0.001).length
        assert length == pytest.approx(union if once else outlines, rel=1e-4)
    assert union < 0.9 * outlines


def test_no_two_lines_lie_within_a_hundredth_of_a_millimetre_of_one_another(layout: Layout) -> None:
    document = ezdxf.read(io.StringIO(job_dxf(job_of(layout, layout.hides[0]))))
    drawn = [shapely.LineString(path) for path in cut_paths(document)]
    tree = shapely.STRtree(drawn)
    for i, j in tree.query(drawn, predicate="dwithin", distance=0.01).T:
        if i < j:
            assert drawn[i].buffer(0.01).intersection(drawn[j]).length < 0.5


def test_curves_are_true_arcs_and_circles(layout: Layout) -> None:
    document = ezdxf.read(io.StringIO(job_dxf(job_of(layout, layout.hides[0]))))
    radii = sorted(
        round(ezdxf.math.bulge_radius(a[:2], b[:2], a[2]), 6)
        for entity in document.modelspace().query('LWPOLYLINE[layer=="1"]')
        for a, b in zip(
            entity.get_points("xyb"), [*entity.get_points("xyb")[1:], entity.get_points("xyb")[0]], strict=True
        )
        if a[2]
    )
    assert radii == [20, 20, 20, 20]
    coins = document.modelspace().query('CIRCLE[layer=="1"]')
    assert sorted(coin.dxf.radius for coin in coins) == [pytest.approx(23), pytest.approx(23)]


@given(st.floats(2, 400), st.floats(0, 360))
def test_the_arc_of_a_strap_s_round_end_is_half_a_circle_of_half_its_width(width: float, turn: float) -> None:
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    ring = [(c * x - s * y, s * x + c * y) for x, y in strap(width, 3 * width, ("round", "square"))]
    found = with_arcs((*ring[5:], *ring[:5]))
    assert isinstance(found, Path)
    assert len(found.points) == 4
    ((a, b, bulge),) = [edge for edge in found.edges() if edge[2]]
    assert bulge == pytest.approx(1.0, abs=1e-3)
    assert math.dist(a, b) == pytest.approx(width, abs=0.005)


@pytest.mark.parametrize("sides", [3, 4, 6, 8, 16])
def test_a_regular_polygon_stays_one(sides: int) -> None:
    found = with_arcs(oval(0, 0, 50, 50, sides))
    assert isinstance(found, Path)
    assert not any(found.bulges)


def test_a_drawn_curve_of_uneven_steps_is_left_as_it_is() -> None:
    ring = tuple((30 * math.cos(t), 80 * math.sin(t)) for t in np.linspace(0, 2 * math.pi, 60, endpoint=False))
    found = with_arcs(ring)
    assert isinstance(found, Path)
    assert max(shapely.LineString(ring).distance(shapely.Point(p)) for p in found.points) < 0.06


# --- order ---


def test_punches_come_first_then_openings_then_outlines(layout: Layout) -> None:
    document = ezdxf.read(io.StringIO(job_dxf(job_of(layout, layout.hides[0]))))
    layers = [entity.dxf.layer for entity in document.modelspace()]
    assert list(dict.fromkeys(layers)) == ["registration", "13", "11", "1"]
    assert layers == sorted(layers, key=["registration", "13", "11", "1"].index)


def test_nothing_is_cut_loose_before_what_lies_in_it() -> None:
    """A frame of four straps holds a coin, and the coin's frame lies in a larger one: the innermost is cut first."""
    bar, short, coin = Piece("bar", rectangle(20, 300)), Piece("short", rectangle(20, 60)), Piece("coin", circle(14))
    spots = [
        (bar, 100, 100, 0, False),
        (bar, 380, 100, 0, False),
        (bar, 380, 400, 90, False),
        (bar, 380, 80, 90, False),
    ]
    spots += [
        (short, 200, 200, 0, False),
        (short, 240, 200, 0, False),
        (short, 260, 260, 90, False),
        (short, 260, 180, 90, False),
    ]
    spots += [(coin, 230, 230, 0, False), (coin, 600, 600, 0, False)]
    layout = laid([(p, float(x), float(y), float(a), o) for p, x, y, a, o in spots])
    assert_nothing_loose(layout)


def test_nothing_is_cut_loose_in_rows_of_rows(layout: Layout) -> None:
    """Five by five pieces that share all their lines, and the rows of the other tests."""
    tile = Piece("tile", rectangle(40, 60), 25)
    assert_nothing_loose(laid([(tile, 100 + 40.0 * k, 100 + 60.0 * j, 0.0, False) for k in range(5) for j in range(5)]))
    assert_nothing_loose(layout)


def assert_nothing_loose(layout: Layout) -> None:
    """Whatever the lines cut so far enclose holds no line that is still to be cut."""
    shapes = operations(contours(layout, layout.hides[0]))[-1].shapes
    lines = [shapely.LineString(flattened(s if isinstance(s, Path) else half_circles(s))) for s in shapes]
    for k in range(1, len(lines)):
        rest = shapely.union_all(lines[k:]).difference(shapely.union_all(lines[:k]).buffer(0.01))
        for ground in loose_after(lines[:k]):
            assert rest.intersection(ground.buffer(-0.05)).length < 0.1


def half_circles(shape: Round) -> Path:
    (x, y), r = shape.centre, shape.diameter / 2
    return Path(((x + r, y), (x - r, y)), (1.0, 1.0), True)


def loose_after(lines: Sequence[shapely.LineString]) -> list[Polygon]:
    """What the lines cut so far enclose, holes filled: leather that no longer hangs on the hide."""
    parts = faces([list(line.coords) for line in lines])
    return [Polygon(part.exterior) for part in shapely.get_parts(shapely.union_all(parts))]


def test_lines_that_are_not_cut_have_layers_of_their_own_and_come_before_all_cuts() -> None:
    lines = (InnerLine("stitch", ((5, 5), (55, 5))), InnerLine("fold", ((5, 40), (55, 40))))
    piece = Piece("p", rectangle(60, 90), holes=(PunchHole((30, 60), 4),), lines=lines)
    layout = laid([(piece, 100.0, 100.0, 0.0, False)])
    document = ezdxf.read(io.StringIO(job_dxf(job_of(layout, layout.hides[0]))))
    drawn = [(e.dxf.layer, e.dxf.start.x, e.dxf.start.y, e.dxf.end.x) for e in document.modelspace().query("LINE")]
    assert drawn[6:] == [("fold", 105, 140, 155), ("14", 105, 105, 155)]
    assert [e.dxf.layer for e in document.modelspace()][6:] == ["fold", "14", "13", "1"]


# --- kerf, limits, registration ---


def test_a_kerf_moves_outlines_out_and_holes_in_by_half_of_it() -> None:
    piece = Piece("p", rectangle(60, 90), holes=(PunchHole((30, 45), 4),), cutouts=(rectangle_at(10, 10, 20, 20),))
    layout = laid([(piece, 100.0, 100.0, 0.0, False), (piece, 160.4, 100.0, 0.0, False)])
    first = contours(layout, layout.hides[0], 0.4)[0]
    assert Polygon(flattened(first.outline)).bounds == pytest.approx((99.8, 99.8, 160.2, 190.2))
    assert Polygon(flattened(first.openings[0])).bounds == pytest.approx((110.2, 110.2, 129.8, 129.8))
    assert first.punches[0].diameter == pytest.approx(3.6)
    # At a gap of the kerf the cuts of neighbours are one line, and each piece comes out at its size.
    outlines = operations(contours(layout, layout.hides[0], 0.4))[-1]
    assert sum(p.length for p in outlines.shapes if isinstance(p, Path)) == pytest.approx(4 * 60.4 + 3 * 90.4)


def rectangle_at(x: float, y: float, width: float, length: float) -> Ring:
    return tuple((x + a, y + b) for a, b in rectangle(width, length))


def test_a_kerf_that_neighbours_leave_no_room_for_is_refused(layout: Layout) -> None:
    with pytest.raises(InputError, match=r"--kerf: .* lie 0.00 mm apart, and the kerf is 0.2 mm; lay out with --gap"):
        contours(layout, layout.hides[0], 0.2)
    piece = Piece("p", rectangle(60, 90), holes=(PunchHole((30, 45), 1),))
    alone = laid([(piece, 100.0, 100.0, 0.0, False)])
    with pytest.raises(InputError, match=r"2 mm is too wide: a hole of “p” is 1 mm wide"):
        contours(alone, alone.hides[0], 2.0)


def test_the_header_tells_units_and_limits_and_the_audit_is_clean(layout: Layout) -> None:
    job = job_of(layout, layout.hides[0])
    document = ezdxf.read(io.StringIO(job_dxf(job)))
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1
    from ezdxf import bbox

    box = bbox.extents(document.modelspace())
    for name, corner in (
        ("$EXTMIN", box.extmin),
        ("$EXTMAX", box.extmax),
        ("$LIMMIN", box.extmin),
        ("$LIMMAX", box.extmax),
    ):
        assert document.header[name][:2] == pytest.approx((corner.x, corner.y), abs=0.01)
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes


def test_the_same_layout_gives_the_same_bytes(layout: Layout) -> None:
    each = layout.hides[0]
    for write in (job_dxf, job_svg, job_plot):
        assert write(job_of(layout, each)) == write(job_of(layout, each))


def test_a_plot_is_as_large_as_the_job_at_forty_units_a_millimetre(layout: Layout) -> None:
    """HPGL/2: a plotter unit is 1/40 mm; PS gives the plot's size, long side first or as it lies."""
    job = job_of(layout, layout.hides[0])
    plot = job_plot(job)
    assert plot.startswith(b"\x1b%0B;IN;BP;PS")
    size = [int(number) for number in plot.split(b"PS")[1].split(b";")[0].split(b",")]
    left, low, right, high = job.box
    assert sorted(size) == pytest.approx(sorted((40 * (right - left), 40 * (high - low))), abs=80)


def test_registration_marks_lie_on_free_leather_at_whole_centimetres(layout: Layout) -> None:
    for made in (layout, laid_by_hand(complete=2)):
        each = made.hides[0]
        marks = registration_marks(each)
        pieces = shapely.union_all([Polygon(p.outline) for p in each.placements])
        datum = datum_of(each.hide)
        for mark in marks:
            assert each.hide.polygon.contains(shapely.Point(mark.at).buffer(5))
            assert pieces.distance(shapely.Point(mark.at)) > 5
            assert datum.measured(mark.at) == pytest.approx((mark.along, mark.across))
            assert (mark.along % 10, mark.across % 10) == (0, 0)
        assert Polygon([mark.at for mark in marks]).area > 1000


def test_a_hide_without_room_has_its_registration_marks_outside() -> None:
    hide = Hide("full", rectangle(300, 200))
    layout = laid([(Piece("p", rectangle(300, 200)), 0.0, 0.0, 0.0, False)], hide)
    marks = registration_marks(layout.hides[0])
    assert all(not hide.polygon.contains(shapely.Point(mark.at)) for mark in marks)
    assert Polygon([mark.at for mark in marks]).area > 0.5 * hide.measured_area


# --- the command ---


def test_a_press_has_a_file_for_every_pattern_that_a_project_can_use(tmp_path: FilePath) -> None:
    layout = rows()
    write_layout(tmp_path / "l.json", layout)
    assert main(["sheet", str(tmp_path / "l.json"), "--machine", str(tmp_path / "cut.dxf"), "--tool", "press"]) == 0
    names = sorted(path.name for path in tmp_path.glob("*.dxf"))
    assert names == ["cut-B-box.dxf", "cut-C-coin.dxf", "cut-R-rail.dxf", "cut-S-strap.dxf", "cut.dxf"]
    project = 'format = "hideplan-project-1"\n[[piece]]\nname = "p"\nshape = { drawing = "cut-B-box.dxf" }\n'
    (tmp_path / "p.toml").write_text(project, "utf-8")
    (back,) = read_product(tmp_path / "p.toml").pieces
    box = layout.products[0].pieces[1]
    assert back.polygon.symmetric_difference(box.polygon).area < 0.01 * box.polygon.length
    assert [hole.at for hole in back.holes] == [pytest.approx((30, 45))]
    assert Polygon(back.cutouts[0]).symmetric_difference(Polygon(box.cutouts[0])).area < 1
    assert {shape.names.layer for shape in read_drawing(tmp_path / "cut-B-box.dxf").shapes} == {"1", "7", "11", "13"}


def test_a_laser_is_never_told_of_without_its_caution(
    layout: Layout, tmp_path: FilePath, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "l.json"
    write_layout(path, layout)
    assert main(["sheet", str(path), "--machine", str(tmp_path / "a.svg"), "--tool", "laser"]) == 0
    told = capsys.readouterr().out
    assert LASER_CAUTION in told
    assert "Registration marks" in told
    assert "No kerf is given" in told
    near = laid([(Piece("p", rectangle(60, 90)), x, 100.0, 0.0, False) for x in (100.0, 160.3)])
    assert any("1 pairs" in line or "burn away" in line for line in tool_remarks(near.hides[0], "laser", 0.0))


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ["--machine", "a.txt"],
            "--machine: a.txt: the ending “.txt” names no kind of machine file; use .dxf, .svg, .plt",
        ),
        (["--tool", "laser", "--out", "a.csv"], "--tool: belongs to --machine"),
        (["--kerf", "1", "--out", "a.csv"], "--kerf: belongs to --machine"),
        (["--twice", "--out", "a.csv"], "--twice: belongs to --machine"),
        (["--machine", "a.dxf", "--kerf=-0.2 mm"], "is less than nought"),
        (["--machine", "a.dxf", "--kerf", "x"], "begin with a number; give a distance"),
        (["--machine", "a.dxf", "--kerf", "0.2 ells"], "--kerf"),
        (["--machine", "a.dxf", "--kerf", "0.2 mm"], "the kerf is 0.2 mm"),
        (["--machine", "a.dxf", "--dxf", "a.dxf"], "written over"),
        (["--machine", "l.svg", "--svg", "l.svg"], "written over"),
        (["--machine", "a.dxf", "--tool", "saw"], "--tool"),
    ],
)
def test_words_for_a_machine_that_cannot_be_used_are_told_in_one_line(
    layout: Layout, words: list[str], told: str, tmp_path: FilePath,
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    write_layout(tmp_path / "l.json", layout)
    assert main(["sheet", "l.json", *words]) == 2
    error = capsys.readouterr().err
    assert told in error
    assert error.count("\n") == 1
    assert [path.name for path in tmp_path.iterdir()] == ["l.json"]


def test_a_job_of_nothing_has_marks_alone() -> None:
    bare = laid([(Piece("p", rectangle(60, 90)), 100.0, 100.0, 0.0, False)], side())
    bare = replace(bare, hides=(replace(bare.hides[0], placements=()),))
    job = job_of(bare, bare.hides[0])
    assert isinstance(job, MachineJob)
    assert not job.operations
    assert job_svg(job).count("<path") == 6
