"""Straight plans: against exhaustive search, against a two-stage model of its own, and replayed from the table."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest
from boards import codes
from layouts import assert_layout_valid, oval, side
from problems import plain_hide, product, rectangle, strap
from shapely import affinity
from shapely.geometry import Polygon, box

from hides.errors import InputError
from hides.hide import Flaw, Grade, Hide, Zone
from hides.hide_file import write_hide
from nesting.commands import main
from nesting.laying.lay_out import lay_out
from nesting.model.layout import Layout
from nesting.model.product import Along, Piece, Product
from nesting.model.settings import Settings
from nesting.model.straight import StraightRules
from nesting.model.want import Want
from nesting.result.layout_file import layout_from_data, layout_to_data

BENCHMARKS = Path(__file__).resolve().parents[2] / "shared" / "benchmarks"


def planned(hide: Hide, made: Product, effort: str = "normal", gap: float = 0.0, **rules: float) -> Layout:
    """The straight layout of a product, valid and with a plan."""
    layout = lay_out(hide, [Want(made)], Settings(gap=gap, effort=effort, straight=StraightRules(**rules)))
    assert_layout_valid(layout)
    return layout


def flawed(width: float, height: float, *spots: tuple[float, float, float, float]) -> Hide:
    """A plain hide with rectangular flaws that nothing may lie on."""
    flaws = tuple(Flaw("scar", ((a, b), (c, b), (c, d), (a, d)), Grade.NONE) for a, b, c, d in spots)
    return replace(plain_hide(width, height), flaws=flaws)


SMALL = [
    (flawed(100, 40), [(10, 30, 1), (20, 45, 1)]),
    (flawed(90, 45, (40, 12, 50, 18)), [(10, 30, 2), (15, 40, 1)]),
    (flawed(120, 50, (30, 0, 36, 22), (80, 30, 90, 50)), [(12, 50, 1), (8, 35, 2)]),
    (flawed(100, 60, (0, 25, 100, 31)), [(10, 50, 2), (12, 33, 1)]),
    (flawed(80, 37, (20, 5, 24, 9), (50, 20, 53, 30)), [(7, 25, 2), (9, 41, 1)]),
    (flawed(64, 30, (31, 14, 33, 16)), [(6, 31, 1), (9, 20, 1), (4, 15, 1)]),
]


@pytest.mark.parametrize(("hide", "pieces"), SMALL)
def test_never_worse_than_exhaustive_search(hide: Hide, pieces: list[tuple[int, int, int]]) -> None:
    """Every place of the line on whole millimetres, every order of strips, every sequence of pieces along a strip."""
    made = product(*(strap(f"p{n}", w, length, count=many) for n, (w, length, many) in enumerate(pieces)))
    layout = planned(hide, made)
    best = exhaustive(hide, pieces)
    assert layout.counts[0].complete >= best
    plan = layout.hides[0].straight
    if plan is not None and plan.at_most is not None:
        assert plan.at_most >= best


def exhaustive(hide: Hide, pieces: list[tuple[int, int, int]]) -> int:
    """The most products from one line along +x, everything on whole millimetres; grows strips upwards."""
    _, _, wide, high = Polygon(hide.outline).bounds
    flaws = [Polygon(flaw.outline).bounds for flaw in hide.flaws]
    most = [int(wide * high / (w * length)) for w, length, _ in pieces]
    known: dict[tuple[int, int], set[tuple[int, ...]]] = {}

    def mixes(y: int, width: int) -> set[tuple[int, ...]]:
        if (y, width) not in known:
            bad = [(a, c) for a, b, c, d in flaws if b < y + width and d > y]
            known[y, width] = set(_mixes(int(wide), bad, [(w, n) for w, n, _ in pieces], width, most))
        return known[y, width]

    reached: dict[int, set[tuple[int, ...]]] = {y: {(0,) * len(pieces)} for y in range(int(high) + 1)}
    for y in range(int(high) + 1):
        reached[y] = _greatest(reached[y])
        for width in {w for w, _, _ in pieces}:
            if y + width <= high:
                for before in reached[y]:
                    reached[y + width] |= {tuple(map(sum, zip(before, m, strict=True))) for m in mixes(y, width)}
    return max(
        min(n // many for n, (_, _, many) in zip(counts, pieces, strict=True))
        for sets in reached.values()
        for counts in sets
    )


def _mixes(
    wide: int, bad: list[tuple[float, float]], kinds: list[tuple[int, int]], width: int, most: list[int]
) -> list[tuple[int, ...]]:
    """What a strip can hold: by every position, pieces of its width or waste of a millimetre."""
    at: list[set[tuple[int, ...]]] = [set() for _ in range(wide + 1)]
    at[0] = {(0,) * len(kinds)}
    for x in range(wide):
        at[x] = _greatest(at[x])
        at[x + 1] |= at[x]
        for k, (w, length) in enumerate(kinds):
            if w == width and x + length <= wide and not any(a < x + length and b > x for a, b in bad):
                grown = {(*m[:k], m[k] + 1, *m[k + 1 :]) for m in at[x]}
                at[x + length] |= {m for m in grown if m[k] <= most[k]}
    return list(_greatest(at[wide]))


def _greatest(mixes: set[tuple[int, ...]]) -> set[tuple[int, ...]]:
    return {m for m in mixes if not any(o != m and all(a >= b for a, b in zip(o, m, strict=True)) for o in mixes)}


@pytest.mark.parametrize(
    ("name", "first", "board"), [("C1P1", 4, (40, 30)), ("C1P2", 5, (40, 25)), ("C1P3", 4, (45, 30))]
)
def test_equals_an_independent_two_stage_model(name: str, first: int, board: tuple[int, int]) -> None:
    """Items of Hopper and Turton's rectangles, cut from a plain board in strips of one width each, turned or not."""
    if not BENCHMARKS.is_dir():
        pytest.skip("the public instances are not here")
    data = json.loads((BENCHMARKS / "hopper_turton_C.json").read_text())["instances"][name]
    items = [(10 * w, 10 * h) for h, w in data["rects_h_w"][:first]]
    made = product(*(rectangle(f"{k}", w, h, angles=(0.0, 90.0)) for k, (w, h) in enumerate(items)))
    wide, high = 10 * board[0], 10 * board[1]
    best = max(two_stage(items, wide, high), two_stage(items, high, wide))
    layout = planned(plain_hide(wide, high), made, "normal")
    assert layout.counts[0].complete == best
    assert layout.hides[0].straight is not None
    assert len(layout.hides[0].straight.blocks) == 1


def two_stage(items: list[tuple[int, int]], long: int, high: int) -> int:
    """The most of every item that strips along `long` give: a count of every item in every strip there may be."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    products = model.new_int_var(0, 1000, "")
    given: list[list[object]] = [[] for _ in items]
    heights = []
    for width in sorted({length for item in items for length in item}):
        ways = [(k, b if a == width else a) for k, (a, b) in enumerate(items) if width in (a, b)]
        for _ in range(high // width):
            used = model.new_bool_var("")
            counts = [model.new_int_var(0, long // length, "") for _, length in ways]
            model.add(sum(n * length for n, (_, length) in zip(counts, ways, strict=True)) <= long * used)
            heights.append(width * used)
            for n, (k, _) in zip(counts, ways, strict=True):
                given[k].append(n)
    model.add(sum(heights) <= high)
    for some in given:
        model.add(sum(some) >= products)  # type: ignore[arg-type]
    model.maximize(products)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return int(solver.value(products))


def test_proven_best_where_strips_fill_the_hide() -> None:
    """20 straps of 30 mm on 600 mm, one and a half lengths: the bound of straight plans says that it is the best."""
    layout = planned(plain_hide(450, 600), product(strap()))
    plan = layout.hides[0].straight
    assert layout.counts[0].complete == 20
    assert plan is not None
    assert plan.at_most == 20


def test_a_line_across_parts_the_hide_where_strips_from_edge_to_edge_waste_its_end() -> None:
    """11 straps of 20 x 600 and beyond them two panels of 110 x 160 fill 760 x 220. In strips from
    edge to edge, as wide as the cutter opens, panels take 110 or more of its height, and the straps 220."""
    made = product(strap("strap", 20, 600, count=11), strap("panel", 110, 160, count=2))
    layout = planned(plain_hide(762, 220), made, most=200.0)
    plan = layout.hides[0].straight
    assert plan is not None
    assert layout.counts[0].complete == 1
    across, along = plan.blocks
    assert round(across.angle - along.angle) % 180 == 90
    assert (len(across.strips), sum(len(strip.pieces) for strip in across.strips)) == (1, 2)
    assert sum(len(strip.pieces) for strip in along.strips) == 11


@pytest.mark.parametrize("edge", [0.0, 5.0])
def test_strips_end_in_steps_where_rows_grow_shorter(edge: float) -> None:
    """Five rows of three straps of 20 x 600, above them five of two, beside these a panel of 110 x 200, and no more.

    In strips from edge to edge the panel takes 110 of the height of 212, and 15 straps of 25 are left. The marks of
    the line across lie on what the rows below it have left, not on the slip along the edge.
    """
    wide, short, low, high = 1802 + edge, 1402 + edge, 101 + edge, 212 + edge
    outline = ((-edge, -edge), (wide, -edge), (wide, low), (short, low), (short, high), (-edge, high))
    hide = replace(plain_hide(1802, 212), outline=outline, edge=edge)
    made = product(strap("strap", 20, 600, count=25), strap("panel", 110, 200, count=1))
    layout = planned(hide, made, effort="quick")
    plan = layout.hides[0].straight
    assert plan is not None
    assert layout.counts[0].complete == 1
    assert [sum(len(strip.pieces) for strip in block.strips) for block in plan.blocks] == [15, 1, 10]
    assert min(y for _, y in plan.blocks[1].line) >= 99.99


def test_one_kind_comes_from_beyond_the_rows_and_another_from_above_them() -> None:
    """Five straps of 20 x 800 leave 200 x 100 beyond their ends, for a panel, and 800 x 160 above, for three others."""
    outline = ((0, 0), (1002, 0), (1002, 101), (802, 101), (802, 262), (0, 262))
    hide = replace(plain_hide(1002, 262), outline=outline)
    straps, beyond = strap("strap", 20, 800, count=5), strap("beyond", 100, 190)
    layout = planned(hide, product(straps, beyond, strap("above", 160, 240, count=3)), effort="quick")
    plan = layout.hides[0].straight
    assert plan is not None
    assert layout.counts[0].complete == 1
    names = [[layout.hides[0].placements[n].piece for s in block.strips for n in s.pieces] for block in plan.blocks]
    assert names == [["beyond"], ["strap"] * 5, ["above"] * 3]


@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_the_table_alone_gives_the_pieces(turn: float) -> None:
    """A person with the hide and the table: strike the line, cut strip after strip, measure from each part's end."""
    hide = turned(side(flaws=side().flaws[:3]), turn)
    made = product(strap(tolerance=5.0, count=2), strap("tab", 20, 90, grade=Grade.B), strap("belt", 38, 900))
    layout = planned(hide, made, "quick")
    only = layout.hides[0]
    data = layout_to_data(layout)["hides"][0]
    plan = data["straight"]
    (x, y), angle = plan["line"][0], plan["angle"]
    leather = affinity.rotate(affinity.translate(Polygon(data["outline"]), -x, -y), -angle, origin=(0, 0))
    cut = 0
    for strip in plan["strips"]:
        band = leather.intersection(box(-1e5, strip["offset"], 1e5, strip["offset"] + strip["width"]))
        parts = sorted((p for p in getattr(band, "geoms", [band]) if p.area > 1), key=lambda p: p.bounds[0])
        for place, marks in zip(strip["pieces"], strip["cuts"], strict=True):
            end = parts[marks["part"] - 1].bounds[0]
            got = box(end + marks["from"], strip["offset"], end + marks["to"], strip["offset"] + strip["width"])
            lies = affinity.translate(Polygon(only.placements[place].outline), -x, -y)
            lies = affinity.rotate(lies, -angle, origin=(0, 0))
            assert all(abs(a - b) < 0.01 for a, b in zip(got.bounds, lies.bounds, strict=True))
            cut += 1
    assert cut == len(only.placements) - sum(len(b.pieces) for b in only.straight.beside)  # type: ignore[union-attr]


def turned(hide: Hide, by: float) -> Hide:
    def ring(points: object) -> tuple[tuple[float, float], ...]:
        c, s = math.cos(math.radians(by)), math.sin(math.radians(by))
        return tuple((c * x - s * y, s * x + c * y) for x, y in points)  # type: ignore[attr-defined]

    assert hide.backbone is not None
    return replace(
        hide,
        outline=ring(hide.outline),
        backbone=ring(hide.backbone),
        flaws=tuple(replace(flaw, outline=ring(flaw.outline)) for flaw in hide.flaws),
        zones=(),
    )


def test_curved_pieces_lie_beside_the_strips_and_keep_the_gap() -> None:
    """Straps butt; discs keep the gap from straps and one another, and none lies across a cut."""
    disc = Piece("disc", oval(0, 0, 30, 30, 40), 2, Grade.C)
    layout = planned(plain_hide(700, 300), product(strap(), disc), "quick", gap=2.0)
    plan = layout.hides[0].straight
    assert plan is not None
    assert layout.counts[0].complete >= 6
    assert len(plan.pieces) == layout.counts[0].complete
    outlines = [Polygon(p.outline) for p in layout.hides[0].placements]
    straps = [outlines[n] for n in sorted(plan.pieces)]
    assert min(a.distance(b) for n, a in enumerate(straps) for b in straps[:n]) < 1e-6


def test_a_kerf_keeps_strips_and_pieces_apart() -> None:
    """Ten strips of 30 with nine cuts of 2 need 318 mm; two straps of 300 and one cut need 602."""
    assert planned(plain_hide(602, 318), product(strap()), kerf=2.0).counts[0].complete == 20
    assert planned(plain_hide(601, 317), product(strap()), kerf=2.0).counts[0].complete == 9


def test_strips_keep_to_grades_and_zones() -> None:
    """Grade A straps off the zone of grade C, tabs of grade C anywhere; a zone that runs across has its own way."""
    belly = Zone("belly", ((0, 200), (600, 200), (600, 300), (0, 300)), Grade.C)
    hide = replace(plain_hide(600, 300), zones=(belly,))
    layout = planned(hide, product(strap(), strap("tab", 30, 100, grade=Grade.C)))
    assert layout.counts[0].complete == 12
    across = Zone("neck", ((300, 0), (600, 0), (600, 300), (300, 300)), backbone=((450, 0), (450, 300)))
    layout = planned(replace(plain_hide(600, 300), zones=(across,)), product(strap(length=250)))
    assert layout.counts[0].complete >= 10


def test_the_line_follows_the_longest_edge_where_nothing_has_a_direction() -> None:
    hide = Hide("slanted", ((0, 0), (800, 300), (770, 380), (-30, 80)))
    layout = planned(hide, product(rectangle("tag", 20, 120)), "quick")
    plan = layout.hides[0].straight
    assert plan is not None
    assert math.isclose(math.tan(math.radians(plan.angle)), 300 / 800, rel_tol=1e-6)


def test_the_file_gives_the_plan_back_and_the_same_plan_every_time() -> None:
    made = product(strap(), strap("tab", 30, 100))
    layout = planned(plain_hide(700, 200), made, "quick")
    again = planned(plain_hide(700, 200), made, "quick")
    data = json.loads(json.dumps(layout_to_data(layout)))
    assert layout_from_data(data).hides[0].straight == layout.hides[0].straight
    assert layout_to_data(again) == layout_to_data(layout)


@pytest.mark.parametrize("change", ["width", "offset", "from", "angle", "piece", "across"])
def test_a_wrong_table_fails_the_check(change: str) -> None:
    """Whatever is changed in the table, the pieces no longer come out of it."""
    disc = Piece("disc", oval(0, 0, 30, 30, 40), 1, Grade.C)
    layout = planned(plain_hide(700, 300), product(strap(), disc), "quick")
    plan = layout.hides[0].straight
    assert plan is not None
    strip = plan.strips[0]
    cuts = (replace(strip.cuts[0], start=strip.cuts[0].start + 0.1), *strip.cuts[1:])
    wrong = {
        "width": replace(plan, strips=(replace(strip, width=strip.width - 0.1), *plan.strips[1:])),
        "offset": replace(
            plan, strips=(*plan.strips[:-1], replace(plan.strips[-1], offset=plan.strips[-1].offset + 0.1))
        ),
        "from": replace(plan, strips=(replace(strip, cuts=cuts), *plan.strips[1:])),
        "angle": replace(plan, angle=plan.angle + 0.1),
        "piece": replace(plan, strips=(replace(strip, pieces=(*strip.pieces[:-1], 999)), *plan.strips[1:])),
        "across": replace(plan, strips=(*plan.strips, *_through_disc(layout))),
    }[change]
    hide = replace(layout.hides[0], straight=wrong)
    assert "straight" in codes(replace(layout, hides=(hide,)))


def _through_disc(layout: Layout) -> tuple[object, ...]:
    """A strip of nothing whose side runs through the first disc."""
    plan = layout.hides[0].straight
    assert plan is not None
    disc = next(p for p in layout.hides[0].placements if p.piece == "disc")
    _, low, _, high = Polygon(disc.outline).bounds
    return (replace(plan.strips[0], offset=(low + high) / 2 - plan.line[0][1], width=1.0, pieces=(), cuts=()),)


@pytest.mark.parametrize(
    ("pieces", "rules", "told"),
    [
        ([strap(width=120, length=600)], {"least": 6.0, "most": 100.0}, "cutter"),
        ([strap(), strap("tie", angles=(30.0,))], {}, "tolerance"),
        ([Piece("disc", oval(0, 0, 30, 30, 40))], {}, "straight"),
    ],
)
def test_what_cannot_be_cut_straight_is_said_in_one_line(
    pieces: list[Piece], rules: dict[str, float], told: str
) -> None:
    pieces = [replace(p, along=Along.ANY) if p.angles else p for p in pieces]
    with pytest.raises(InputError) as error:
        planned(plain_hide(900, 300), product(*pieces), "quick", **rules)
    assert told in str(error.value)
    assert "\n" not in str(error.value)


def test_an_order_line_asks_for_straight_cuts_and_others_lie_beside(tmp_path: Path) -> None:
    """The straps of the line that asks come off strips, the tags of the other do not; the plan's table is right."""
    (tmp_path / "hides").mkdir()
    write_hide(tmp_path / "hides" / "side.json", plain_hide(700, 200))
    for name, length in (("strap", 300), ("tag", 70)):
        shape = f'name = "{name}"\nalong = "backbone"\nshape = {{ rectangle = [30, {length}] }}\n'
        text = f'format = "hideplan-project-1"\nname = "{name} set"\n[[piece]]\n{shape}'
        (tmp_path / f"{name}.toml").write_text(text)
    lines = '[[line]]\nproject = "strap.toml"\nquantity = 6\nstraight = true\n'
    lines += '[[line]]\nproject = "tag.toml"\nquantity = 5\n'
    (tmp_path / "order.toml").write_text(f'format = "hideplan-order-1"\n{lines}')
    plan = tmp_path / "plan.json"
    words = ["batch", str(tmp_path / "order.toml"), "--hides", str(tmp_path / "hides"), "--effort", "quick"]
    assert main([*words, "--out", str(plan)]) == 0
    layout = layout_from_data(json.loads(plan.read_text())["layouts"][0])
    assert_layout_valid(layout)
    only = layout.hides[0]
    assert only.straight is not None
    assert {only.placements[n].piece for n in only.straight.pieces} == {"strap"}
    assert len(only.straight.pieces) == 6


def test_the_command_tells_the_table_and_draws_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Words, sheet and layout of the same strips; what cannot be is one line."""
    hide, project = tmp_path / "hide.json", tmp_path / "strap.toml"
    write_hide(hide, plain_hide(700, 200))
    shape = '[[piece]]\nname = "strap"\nalong = "backbone"\nshape = { rectangle = [30, 300] }\n'
    project.write_text(f'format = "hideplan-project-1"\nname = "straps"\n{shape}')
    words = ["yield", str(hide), str(project), "--straight", "--effort", "quick"]
    assert main([*words, "--cutter", "6 mm", "100 mm", "--sheet", str(tmp_path / "sheet.pdf")]) == 0
    told = capsys.readouterr().out
    assert "Proven best straight plan" in told
    assert "Strike line 1 from mark 1 (0 along" in told
    assert "strip 1: set 30; cut 2 × strap (S) at 0, 300, 600; 100 left" in told
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")
    for wrong in (["--kerf", "-1 mm"], ["--cutter", "40 mm", "100 mm"], ["--cutter", "9 mm", "3 mm"]):
        assert main([*words, *wrong]) == 2
        assert capsys.readouterr().err.count("\n") == 1
    assert main(["yield", str(hide), str(project), "--kerf", "1 mm"]) == 2
