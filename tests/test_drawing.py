"""The scene of a hide and its back ends: true sizes, labels that can be read, the same bytes each time."""

from __future__ import annotations

import csv
import io
import re
import shutil
import subprocess
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
import shapely
from ezdxf import recover
from layouts import RACK, laid_by_hand, oval, rectangle, side
from PIL import Image
from problems import plain_hide
from shapely.geometry import Polygon

from hides.hide import Flaw, Grade, Hide, Point, Thickness
from nesting.drawing.cut_sheet import sheet_bytes, sheet_pages
from nesting.drawing.described import described
from nesting.drawing.facts import datum_words
from nesting.drawing.hide_drawing import hide_dxf, hide_png, hide_svg
from nesting.drawing.hide_scene import SMALLEST, hide_scene, turned, upright
from nesting.drawing.labels import readable
from nesting.drawing.lettering import shortened, width_of, wrapped
from nesting.drawing.names import codes, named
from nesting.drawing.piece_list import csv_text
from nesting.drawing.scene import Area, Text, turned_by
from nesting.drawing.sheet_style import SheetStyle
from nesting.drawing.tiling import text_box
from nesting.model.layout import HideLayout, Layout, ProductCount
from nesting.model.making import Care, Making
from nesting.model.product import Piece, Product
from nesting.result.areas import account


@pytest.fixture(scope="module")
def layout() -> Layout:
    return laid_by_hand(complete=2)


# --- the scene ---


@pytest.mark.parametrize("k", [5.0, 10.0, 14.0])
def test_every_piece_is_named_and_no_two_words_overlap(layout: Layout, k: float) -> None:
    scene = hide_scene(layout, layout.hides[0], k)
    names = [item for item in scene if isinstance(item, Text) and item.layer == "name"]
    assert len(names) == len(layout.hides[0].placements)
    texts = [item for item in scene if isinstance(item, Text) and item.layer != "datum name"]
    boxes = [text_box(item) for item in texts]
    for number, box in enumerate(boxes):
        for other in range(number + 1, len(boxes)):
            shared = box.intersection(boxes[other]).area
            assert shared < 0.15 * min(box.area, boxes[other].area), (texts[number].words, texts[other].words)


def test_no_word_is_smaller_than_the_least_size(layout: Layout) -> None:
    k = 10.0
    sizes = [item.height / k for item in hide_scene(layout, layout.hides[0], k) if isinstance(item, Text)]
    assert min(size for size in sizes if size != pytest.approx(1.7)) >= SMALLEST - 1e-9
    assert min(sizes) >= 1.7 - 1e-9


def test_a_long_name_stays_inside_its_piece_or_beside_it(layout: Layout) -> None:
    each = layout.hides[0]
    lies = {one.name: Polygon(one.placement.outline) for one in named(layout, each)}
    for item in hide_scene(layout, each, 8.0):
        if isinstance(item, Text) and item.layer == "name":
            box, own = text_box(item), lies.get(item.words.split(" ")[0])
            inside = any(shape.buffer(0.5).contains(box) for shape in lies.values())
            beside = all(shape.intersection(box).area < 0.02 * box.area for shape in lies.values())
            assert inside or beside, item.words
            assert not own or inside or own.distance(box) < 500


@pytest.mark.parametrize(
    ("backbone", "told"),
    [
        (((0.0, 40.0), (1000.0, 40.0)), "40 mm from it at 150 along, and 40 mm from it at 850"),
        (((0.0, 0.0), (1000.0, 100.0)), "15 mm from it at 150 along, and 90 mm from it at 900"),
        (((0.0, 0.0), (1000.0, 0.0)), ""),
    ],
)
def test_the_datum_line_can_be_drawn_again_from_the_edge(backbone: tuple[Point, Point], told: str) -> None:
    """On a rectangle of 1000 by 600: level 40 mm inside; rising one in ten, so a tenth of that; on the edge."""
    hide = replace(plain_hide(1000, 600), backbone=backbone)
    assert datum_words(hide, "mm") == (f"The hide's edge below is {told}." if told else "")


def test_a_turned_hide_is_drawn_upright(layout: Layout) -> None:
    tilted = turned(layout.hides[0], 25)
    level = upright(tilted)
    assert level.hide.direction == pytest.approx(0, abs=1e-9)
    for one, other in zip(level.placements, layout.hides[0].placements, strict=True):
        assert Polygon(one.outline).symmetric_difference(Polygon(other.outline)).area < 1e-3
    assert upright(layout.hides[0]) is layout.hides[0]


@pytest.mark.parametrize(
    "hide",
    [
        side(edge=2000),
        side(backbone=None),
        side(backbone=((20, 30), (25, 900))),
        side(grade=Grade.NONE),
        side(holes=(oval(900, 400, 60, 60),)),
        side(name="革\n一", flaws=(Flaw("傷", oval(500, 500, 50, 50)),)),
        side(flaws=(Flaw("beyond", oval(-900, -900, 50, 50)), Flaw("half", oval(1890, 600, 90, 50)))),
        Hide("tiny", rectangle(50, 40)),
        Hide("a strip", rectangle(3000, 20)),
    ],
    ids=lambda hide: hide.name.split()[0],
)
def test_awkward_hides_can_be_drawn(hide: Hide) -> None:
    areas, offcuts = account(hide, [], 0.0)
    bare = Layout((ProductCount("Map rack", 0, 1),), (RACK,), 0, 1, "quick", (HideLayout(hide, (), areas, offcuts),))
    page = sheet_pages(bare)[0]
    assert any(isinstance(item, Area) and item.layer == "hide" for item in page.items)
    assert hide_dxf(bare, bare.hides[0]).rstrip().endswith("EOF")


def test_a_hide_of_5000_points_and_200_flaws_can_be_drawn() -> None:
    flaws = tuple(Flaw("tick", oval(90 * (k % 15) - 630, 80 * (k // 15) - 500, 8, 8), Grade.C) for k in range(200))
    hide = Hide("much", oval(0, 0, 900, 800, 5000), flaws=flaws, edge=10)
    areas, offcuts = account(hide, [], 0.0)
    bare = Layout((), (RACK,), 0, 1, "quick", (HideLayout(hide, (), areas, offcuts),))
    scene = hide_scene(bare, bare.hides[0], 8.0)
    assert sum(item.layer == "flaw" for item in scene) == 200


# --- names and marks ---


def test_codes_are_short_and_never_the_same() -> None:
    names = ["strap", "spacer", "Sp", "s", "back panel", "bp", "b", "ba", "bc", "7", "帯"]
    product = Product("P", tuple(Piece(name, rectangle(1, 1)) for name in names))
    found = list(codes([product, replace(product, name="Q")]).values())
    assert len(set(found)) == len(found) == 22
    assert found[:2] == ["S", "P"]
    assert max(map(len, found)) == 1
    assert not {"I", "O"} & set(found)


def test_codes_go_on_where_the_letters_run_out() -> None:
    product = Product("P", tuple(Piece(f"strap {n}", rectangle(1, 1)) for n in range(200)))
    found = list(codes([product]).values())
    assert len(set(found)) == 200
    assert max(map(len, found)) == 2


def test_the_two_straps_of_the_second_product_are_a_and_b(layout: Layout) -> None:
    names = [one.name for one in named(layout, layout.hides[0])]
    assert {"S1a", "S1b", "S2a", "S2b", "A2d"} <= set(names)
    assert len(set(names)) == len(names)


# --- words ---


def test_words_fit_the_width_they_are_given() -> None:
    assert width_of("", 3) == 0
    assert width_of(shortened("a rather long name", 3, 20), 3) <= 20
    assert shortened("short", 3, 50) == "short"
    assert all(width_of(line, 3) <= 30 for line in wrapped("some words that go over several lines " * 3, 3, 30))


@pytest.mark.parametrize(("angle", "shown"), [(0, 0), (90, 90), (-90, 90), (135, -45), (180, 0), (271, -89)])
def test_words_never_stand_on_their_heads(angle: float, shown: float) -> None:
    assert readable(angle) == pytest.approx(shown, abs=1e-5)


# --- DXF ---


def test_a_dxf_read_back_has_every_piece_at_its_true_size_and_place(layout: Layout) -> None:
    document = ezdxf.read(io.StringIO(hide_dxf(layout, layout.hides[0])))
    assert document.header["$INSUNITS"] == 4
    outlines = document.modelspace().query('LWPOLYLINE[layer=="PIECES"]')
    read = sorted(Polygon(line.get_points("xy")).wkb_hex for line in outlines if line.closed)
    laid = sorted(Polygon(p.outline).wkb_hex for p in layout.hides[0].placements)
    assert read == laid
    hide = document.modelspace().query('LWPOLYLINE[layer=="HIDE"]').first
    assert Polygon(hide.get_points("xy")).area == pytest.approx(layout.hides[0].hide.measured_area)


def test_a_dxf_has_punch_marks_cutouts_and_names(layout: Layout) -> None:
    space = ezdxf.read(io.StringIO(hide_dxf(layout, layout.hides[0]))).modelspace()
    count = {p.name: sum(q.piece == p.name for q in layout.hides[0].placements) for p in RACK.pieces}
    holes = space.query('CIRCLE[layer=="PUNCH"]')
    assert len(holes) == sum(len(p.holes) * count[p.name] for p in RACK.pieces)
    assert {hole.dxf.radius for hole in holes} == {2.5}
    assert len(space.query('LWPOLYLINE[layer=="CUTOUTS"]')) == count["panel"]
    assert len(space.query('TEXT[layer=="NAMES"]')) == len(layout.hides[0].placements)


def test_a_dxf_passes_the_library_s_audit(layout: Layout, tmp_path: Path) -> None:
    path = tmp_path / "a.dxf"
    path.write_text(hide_dxf(layout, layout.hides[0]), "utf-8")
    _, auditor = recover.readfile(path)
    assert not auditor.has_errors


# --- SVG, PNG, PDF ---


def test_an_svg_read_back_has_every_piece_at_its_true_size(layout: Layout) -> None:
    root = ET.fromstring(hide_svg(layout, layout.hides[0]))
    space = "{http://www.w3.org/2000/svg}"
    width = float(root.get("width", "").removesuffix("mm"))
    assert root.get("viewBox") == f"0 0 {width:g} {float(root.get('height', '').removesuffix('mm')):g}"
    found = []
    for group in root.iter(f"{space}g"):
        if group.get("class") == "piece":
            for path in group.iter(f"{space}path"):
                points = re.findall(r"(-?[\d.]+),(-?[\d.]+)", path.get("d", ""))
                found.append(Polygon([(float(x), float(y)) for x, y in points]).area)
    assert sorted(found) == pytest.approx(sorted(Polygon(p.outline).area for p in layout.hides[0].placements), rel=1e-4)


def test_an_svg_holds_words_from_files_as_words(layout: Layout) -> None:
    bad = "<script>&\x07"
    product = replace(RACK, pieces=(replace(RACK.pieces[0], name=bad), *RACK.pieces[1:]))
    each = layout.hides[0]
    laid = tuple(replace(p, piece=bad) if p.piece == "panel" else p for p in each.placements)
    each = replace(each, placements=laid, hide=replace(each.hide, name=bad))
    told = "".join(ET.fromstring(hide_svg(replace(layout, products=(product,), hides=(each,)), each)).itertext())
    assert "<script>&" in told


def test_a_png_shows_the_hide_in_its_proportions(layout: Layout) -> None:
    picture = Image.open(io.BytesIO(hide_png(layout, layout.hides[0], dots=60)))
    assert picture.width / picture.height == pytest.approx(1910 / 1040, rel=0.15)
    assert len(picture.convert("RGB").getcolors(10**7) or []) > 20


def test_the_same_layout_gives_the_same_bytes(layout: Layout) -> None:
    each = layout.hides[0]
    for make in (
        sheet_bytes,
        lambda it: hide_dxf(it, each),
        lambda it: hide_svg(it, each),
        lambda it: hide_png(it, each),
    ):
        assert make(layout) == make(layout)


@pytest.mark.parametrize(("paper", "points"), [("A4", (595.276, 841.89)), ("Letter", (612, 792))])
def test_a_cut_sheet_has_a_page_for_each_hide_and_its_lists_at_the_paper_s_size(
    layout: Layout, tmp_path: Path, paper: str, points: tuple[float, float]
) -> None:
    """ISO 216: A4 is 210 × 297 mm; ANSI/ASME Y14.1: A is 8.5 × 11 in."""
    if not shutil.which("pdfinfo"):
        pytest.skip("pdfinfo (poppler-utils) is not installed")
    two = replace(layout, hides=layout.hides * 2)
    path = tmp_path / "sheet.pdf"
    path.write_bytes(sheet_bytes(two, SheetStyle(paper)))
    told = subprocess.run(["pdfinfo", "-l", "9", path], capture_output=True, text=True, check=True).stdout
    sizes = [tuple(map(float, m)) for m in re.findall(r"size:\s+([\d.]+) x ([\d.]+)", told)]
    assert len(sizes) == len(sheet_pages(two, SheetStyle(paper))) == 4
    assert all(sorted(size) == pytest.approx(sorted(points), abs=0.01) for size in sizes)


def test_a_cut_sheet_tells_what_a_maker_needs(layout: Layout) -> None:
    hangs = replace(RACK, making=Making(care=Care(hangs=True)))
    guess = replace(layout, products=(hangs,), hides=(replace(layout.hides[0], hide=side(estimate=True)),))
    told = " ".join(item.words for page in sheet_pages(guess) for item in page.items if isinstance(item, Text))
    for part in ("2 × Map rack", "No layout can give more than 3.", "ESTIMATE", "of its usable part", "datum line",
                 "offcuts worth keeping", "scale 1 :", "Blades are sharp", "rates a load", "page 1 of 2"):  # fmt: skip
        assert part in told, part
    plain = " ".join(item.words for page in sheet_pages(layout) for item in page.items if isinstance(item, Text))
    assert "ESTIMATE" not in plain
    assert "rates a load" not in plain


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("number", [1, 4, 9])
def test_facts_of_many_products_lie_on_nothing_and_none_is_cut_off(layout: Layout, paper: str, number: int) -> None:
    names = [f"A product with rather a long name {n}" for n in range(number)]
    each = layout.hides[0]
    laid = tuple(replace(p, product=names[k % number]) for k, p in enumerate(each.placements))
    many = replace(
        layout,
        counts=tuple(ProductCount(name, 2, 3) for name in names),
        products=tuple(replace(RACK, name=name) for name in names),
        hides=(replace(each, placements=laid),),
    )
    page = sheet_pages(many, SheetStyle(paper))[0]
    words = [item for item in page.items if isinstance(item, Text) and item.layer in ("words", "quiet words")]
    told = " ".join(item.words for item in words)
    assert "…" not in told
    for name in names:
        assert name in told
    boxes = [text_box(item) for item in words if item.words]
    for n, box in enumerate(boxes):
        for other in boxes[:n]:
            assert box.intersection(other).area < 0.05 * min(box.area, other.area)


def test_a_thickness_is_told_in_ounces_where_the_project_does(layout: Layout) -> None:
    thick = replace(layout.hides[0], hide=side(thickness=Thickness(10 * 25.4 / 64, 11 * 25.4 / 64)))
    for ounces, words in ((True, "10–11 oz thick"), (False, "4.0–4.4 mm thick")):
        page = sheet_pages(replace(layout, products=(replace(RACK, ounces=ounces),), hides=(thick,)))[0]
        assert any(isinstance(item, Text) and words in item.words for item in page.items)


def test_an_svg_tells_kinds_of_lines_apart_and_names_every_group(layout: Layout) -> None:
    root = ET.fromstring(hide_svg(layout, layout.hides[0]))
    groups = list(root.iter("{http://www.w3.org/2000/svg}g"))
    ids = [group.get("id") for group in groups]
    assert None not in ids
    assert len(set(ids)) == len(ids)
    strokes = {group.get("class"): group.get("stroke") for group in groups}
    assert len({strokes[name] for name in ("piece", "cutout", "punch", "grain", "hide")}) == 5


def test_a_dxf_s_header_tells_where_the_drawing_lies(layout: Layout) -> None:
    document = ezdxf.read(io.StringIO(hide_dxf(layout, layout.hides[0])))
    xs, ys = zip(*layout.hides[0].hide.outline, strict=True)
    low, high = document.header["$EXTMIN"], document.header["$EXTMAX"]
    assert low[0] <= min(xs)
    assert low[1] <= min(ys)
    assert max(xs) <= high[0] < max(xs) + 500
    assert max(ys) <= high[1] < max(ys) + 500


@pytest.mark.parametrize("units", ["mm", "in"])
def test_nothing_on_a_sheet_reaches_over_the_margin(layout: Layout, units: str) -> None:
    for page in sheet_pages(layout, SheetStyle("Letter", units)):
        inner = shapely.box(9, 8.5, page.width - 9, page.height - 9)
        for item in page.items:
            if isinstance(item, Text) and item.words:
                assert inner.contains(text_box(item)), item.words


def test_an_empty_hide_has_a_sheet_too(layout: Layout) -> None:
    bare = replace(layout, hides=(replace(layout.hides[0], placements=(), offcuts=()),))
    assert sheet_bytes(bare).startswith(b"%PDF")


# --- the list, and layouts from other hands ---


def test_the_csv_lists_every_piece_once_and_no_formula(layout: Layout) -> None:
    product = replace(RACK, name="=1+1")
    laid = tuple(replace(p, product="=1+1") for p in layout.hides[0].placements)
    evil = replace(layout, products=(product,), hides=(replace(layout.hides[0], placements=laid),))
    rows = list(csv.DictReader(io.StringIO(csv_text(evil))))
    assert len(rows) == len(laid)
    assert {row["product"] for row in rows} == {"'=1+1"}
    assert {row["units"] for row in csv.DictReader(io.StringIO(csv_text(layout, "in")))} == {"in"}


def test_a_layout_that_does_not_describe_its_pieces_can_be_drawn(layout: Layout) -> None:
    bare = described(replace(layout, products=()))
    assert {piece.name for piece in bare.products[0].pieces} == {piece.name for piece in RACK.pieces}
    assert {piece.grade for piece in bare.products[0].pieces} == {Grade.NONE}
    panel = next(piece for piece in bare.products[0].pieces if piece.name == "panel")
    assert Polygon(panel.outline).symmetric_difference(RACK.pieces[0].polygon).area < 1e-3
    assert panel.count == 2
    areas = [item for item in hide_scene(bare, bare.hides[0], 8.0) if isinstance(item, Area) and item.layer == "piece"]
    assert len(areas) == len(layout.hides[0].placements)
    assert described(layout) is layout


def test_turning_a_point_four_times_by_a_right_angle_brings_it_back() -> None:
    point = (3.0, 4.0)
    for _ in range(4):
        point = turned_by(point, 90)
    assert point == pytest.approx((3, 4))
