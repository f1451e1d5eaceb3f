"""The main job as a whole: random hides and products, always a right layout within its bound."""

from __future__ import annotations

import math
import threading
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from layouts import assert_layout_valid
from problems import plain_hide, product, rectangle, strap
from shapely.geometry import Polygon
from strategies import hides

from hides.errors import InputError
from hides.hide import Flaw, Grade, Hide, Thickness, Zone
from nesting.laying.case import case_of
from nesting.laying.lay_out import Want, lay_out, solve
from nesting.laying.shortage import shortages
from nesting.model.product import Along, Cover, Piece, Product
from nesting.model.settings import Progress, Settings, Watch
from nesting.result.layout_file import layout_to_data

QUICK = Settings(effort="quick")


@st.composite
def pieces(draw: st.DrawFn, index: int) -> Piece:
    """A piece of any of the common shapes, with any demand on the leather."""
    width, length = draw(st.integers(15, 90)), draw(st.integers(20, 140))
    grade = draw(st.sampled_from([Grade.A, Grade.B, Grade.C]))
    ring = ((0, 0), (width, 0), (width, length), (0, length))
    if draw(st.booleans()):
        ring = ((0, 0), (width, 0), (width * 0.7, length * 0.5), (width, length), (0, length))
    covered = (Cover(((0, 0), (width / 2, 0), (width / 2, length / 3), (0, length / 3)), Grade.D),)
    return Piece(
        f"piece {index}",
        tuple((float(x), float(y)) for x, y in ring),
        count=draw(st.integers(1, 3)),
        grade=grade,
        along=draw(st.sampled_from(list(Along))),
        tolerance=draw(st.sampled_from([0.0, 7.5, 30.0])),
        turn=draw(st.booleans()),
        mirror=draw(st.booleans()),
        covered=covered if draw(st.booleans()) else (),
        spare=draw(st.booleans()),
    )


@st.composite
def products(draw: st.DrawFn) -> Product:
    return Product("kit", tuple(draw(pieces(i)) for i in range(draw(st.integers(1, 3)))))


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(hides(), products(), st.sampled_from([0.0, 2.5]))
def test_every_layout_passes_the_check_and_keeps_within_its_bound(hide: Hide, made: Product, gap: float) -> None:
    layout = lay_out(hide, [Want(made)], replace(QUICK, gap=gap))
    assert_layout_valid(layout)
    assert 0 <= layout.counts[0].complete <= layout.counts[0].at_most


def kit() -> Product:
    return product(
        strap("strap", 32, 260, count=2, tolerance=5.0),
        rectangle("panel", 120, 90, along=Along.ACROSS, grade=Grade.A),
        rectangle("tab", 20, 45, count=3, grade=Grade.C, mirror=True),
    )


def flawed() -> Hide:
    flaw = Flaw("hole", ((200.0, 150.0), (230.0, 150.0), (215.0, 180.0)), Grade.NONE, 5.0)
    belly = Zone("belly", ((0.0, 300.0), (700.0, 300.0), (700.0, 420.0), (0.0, 420.0)), Grade.C)
    return plain_hide(700, 400, flaws=(flaw,), zones=(belly,), edge=8.0)


def moved(hide: Hide, angle: float, dx: float, dy: float) -> Hide:
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))

    def ring(points):  # type: ignore[no-untyped-def]
        return tuple((c * x - s * y + dx, s * x + c * y + dy) for x, y in points)

    return replace(
        hide,
        outline=ring(hide.outline),
        backbone=ring(hide.backbone),
        flaws=tuple(replace(f, outline=ring(f.outline)) for f in hide.flaws),
        zones=tuple(replace(z, outline=ring(z.outline)) for z in hide.zones),
    )


@pytest.mark.parametrize(("angle", "dx", "dy"), [(0, 1000, -300), (90, 0, 0), (37, 12.5, 80), (180, 0, 0)])
def test_moving_or_turning_the_hide_leaves_the_count_the_same(angle: float, dx: float, dy: float) -> None:
    first = lay_out(flawed(), [Want(kit())], QUICK)
    second = lay_out(moved(flawed(), angle, dx, dy), [Want(kit())], QUICK)
    assert_layout_valid(second)
    assert first.counts == second.counts
    assert first.counts[0].complete >= 5


def test_same_input_seed_and_effort_give_the_same_bytes() -> None:
    """Also when two searches run at once, that is on a loaded machine."""
    told: list[str] = []

    def work() -> None:
        told.append(str(layout_to_data(lay_out(flawed(), [Want(kit())], QUICK))))

    threads = [threading.Thread(target=work) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    work()
    assert told[0] == told[1] == told[2]


def test_equal_straps_butt_on_shared_cuts_and_fill_the_leather() -> None:
    """20 straps of 30 × 300 fill 600 × 300 exactly, and that is proven best."""
    layout = lay_out(plain_hide(300, 600), [Want(product(strap(count=4)))], QUICK)
    assert (layout.counts[0].complete, layout.counts[0].at_most) == (5, 5)
    assert layout.hides[0].areas.pieces == pytest.approx(300 * 600)


def test_a_limit_and_a_worth_steer_what_is_cut() -> None:
    small, large = product(rectangle("a", 50, 50), name="small"), product(rectangle("b", 100, 100), name="large")
    hide = plain_hide(300, 200)
    dear = lay_out(hide, [Want(small, 1.0), Want(large, 10.0)], QUICK)
    assert [c.complete for c in dear.counts] == [0, 6]
    few = lay_out(hide, [Want(small, 1.0), Want(large, 10.0, limit=2)], QUICK)
    assert [c.complete for c in few.counts] == [16, 2]


def test_the_search_stops_when_told_and_keeps_what_it_has() -> None:
    reports: list[Progress] = []
    watch = Watch(report=reports.append, stop=lambda: len(reports) >= 1)
    layout = lay_out(flawed(), [Want(kit())], Settings(effort="thorough"), watch)
    assert layout.stopped
    assert_layout_valid(layout)


def test_a_direction_without_a_backbone_is_refused_by_name() -> None:
    hide = replace(plain_hide(300, 300), backbone=None)
    with pytest.raises(InputError, match=r"strap.*backbone"):
        lay_out(hide, [Want(product(strap()))], QUICK)


@pytest.mark.parametrize(
    ("piece", "words"),
    [
        (rectangle("long", 30, 900, grade=Grade.B, along=Along.BACKBONE), "too large"),
        (rectangle("fine", 100, 100, grade=Grade.A), "grade A"),
        (rectangle("thick", 50, 50, grade=Grade.C, thickness=Thickness(5, 6)), "thickness"),
    ],
)
def test_when_nothing_fits_the_answer_says_which_piece_and_why(piece: Piece, words: str) -> None:
    hide = plain_hide(500, 200, grade=Grade.B, thickness=Thickness(2, 2.4))
    case = case_of(hide, [Want(product(piece, rectangle("other", 20, 20, grade=Grade.C)))], QUICK)
    layout = solve(case)
    assert layout.counts[0].complete == 0
    told = shortages(case, layout)
    assert [s.piece for s in told] == [piece.name]
    assert words in told[0].why


def test_thickness_by_zone_decides_where_a_piece_lies() -> None:
    thin = Zone("belly", ((0.0, 0.0), (150.0, 0.0), (150.0, 200.0), (0.0, 200.0)), thickness=Thickness(1.6, 2.0))
    hide = plain_hide(300, 200, zones=(thin,), thickness=Thickness(3.2, 3.6))
    piece = rectangle("lining", 70, 95, thickness=Thickness(1.5, 2.2))
    layout = lay_out(hide, [Want(product(piece))], QUICK)
    assert layout.counts[0].complete == 4
    assert max(x for p in layout.hides[0].placements for x, _ in p.outline) <= 150 + 1e-6


def test_a_zone_with_its_own_backbone_turns_the_pieces_that_lie_there() -> None:
    shank = Zone("shank", ((0.0, 0.0), (300.0, 0.0), (300.0, 300.0), (0.0, 300.0)), backbone=((0, 0), (0, 1)))
    layout = lay_out(plain_hide(600, 300, zones=(shank,)), [Want(product(strap(width=50, length=300)))], QUICK)
    assert layout.counts[0].complete == 12
    assert_layout_valid(layout)


def test_covered_parts_may_lie_on_a_scar() -> None:
    scar = Flaw("scar", ((0.0, 0.0), (300.0, 0.0), (300.0, 40.0), (0.0, 40.0)), Grade.C)
    cover = (Cover(((0.0, 0.0), (100.0, 0.0), (100.0, 40.0), (0.0, 40.0)), Grade.C),)
    open_piece = rectangle("flap", 100, 140)
    hide = plain_hide(300, 140, flaws=(scar,))
    bare = lay_out(hide, [Want(product(replace(open_piece, angles=(90.0,))))], QUICK)
    hidden = lay_out(hide, [Want(product(replace(open_piece, covered=cover, angles=(90.0,))))], QUICK)
    assert bare.counts[0].complete == 0
    assert hidden.counts[0].complete == 3


def test_adding_a_flaw_never_adds_to_the_bound() -> None:
    hide = flawed()
    more = replace(hide, flaws=(*hide.flaws, Flaw("hole", ((400.0, 100.0), (460.0, 100.0), (430.0, 160.0)))))
    assert (
        lay_out(more, [Want(kit())], QUICK).counts[0].at_most <= lay_out(hide, [Want(kit())], QUICK).counts[0].at_most
    )


def test_the_area_in_pieces_agrees_with_shapely() -> None:
    layout = lay_out(flawed(), [Want(kit())], QUICK)
    complete = layout.counts[0].complete
    own = sum(Polygon(p.outline).area for p in layout.hides[0].placements if p.number <= complete)
    assert layout.hides[0].areas.pieces == pytest.approx(own, abs=1.0)
