"""What a product costs and weighs in several leathers, against worked examples; and which way each figure moves."""

from __future__ import annotations

import csv
import io
import json
import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from boards import board
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from leathers import LEATHER, SQ_FT, STRAP, compared, leathers, leathers_file, project_file, share_of_area

from hides.errors import InputError
from hides.hide import Thickness
from nesting.commands import main
from nesting.compare.batches import hides_for
from nesting.compare.comparison import compare
from nesting.compare.data import comparison_csv, comparison_data
from nesting.compare.leather import net_price
from nesting.compare.leathers_file import read_leathers
from nesting.compare.reasons import break_evens, reasons
from nesting.compare.sheet import comparison_pdf
from nesting.compare.table import comparison_text
from nesting.compare.weight import leather_weight, net_area
from nesting.laying.case import Case
from nesting.model.layout import Layout
from nesting.model.product import Piece, PunchHole
from nesting.model.settings import Progress, Settings, Watch
from nesting.project.project_file import read_product

SCENARIO = Path(__file__).resolve().parents[1] / "nesting" / "scenario"
WORK = """
[labour]
rate = 30
cut = "500 mm"
edge = "400 mm"
edges = ["strap"]
hole = 0.5
assembly = 12
setup = 20

[price]
currency = "EUR"
overhead = { per_hour = 6 }
wholesale = 2
retail = 4
"""
TWO = LEATHER + LEATHER.replace("bridle", "chrome").replace("10-11 oz", "4-5 oz").replace("9.5", "7")
HYPOTHESIS = settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.mark.parametrize(("t", "inner", "middle", "outer"), [(3.0, 78.54, 87.96, 97.39)])
def test_a_loop_is_measured_on_its_middle_line(
    tmp_path: Path, t: float, inner: float, middle: float, outer: float
) -> None:
    """Derived: round d = 25 in leather t = 3 the faces are π d and π (d + 2 t), the middle line π (d + t)."""
    loop = read_product(project_file(tmp_path), t).pieces[0]
    length = loop.polygon.bounds[3] - 20
    assert length == pytest.approx(middle, abs=0.005)
    assert length == pytest.approx((inner + outer) / 2, abs=0.01)


@settings(max_examples=20, deadline=None)
@given(st.floats(0.6, 8), st.floats(0, 3))
def test_a_fold_grows_by_pi_times_what_its_layer_lies_further_out(t: float, further: float) -> None:
    """Derived: half a turn further out by Δ is π Δ longer, a whole loop 2 π Δ: on the middle line of thicker leather,
    Δ is half of what it is thicker."""
    folder = SCENARIO / "map-rack.toml"
    lengths = [read_product(folder, each).pieces[2].polygon.bounds[3] for each in (t, t + further)]
    assert lengths[1] - lengths[0] == pytest.approx(2 * math.pi * further / 2, abs=1e-6)
    assert lengths[1] >= lengths[0] - 1e-9


def test_landed_cost_is_price_and_freight(tmp_path: Path) -> None:
    """Common practice, worked by hand: 22 3/4 sq ft at 9.60 and 11.00 for the carrier are 229.40."""
    text = LEATHER.replace("9.5", "9.60") + "freight = { per_hide = 11 }\n"
    (one,) = leathers(tmp_path, text)
    side = replace(one.hides[0], area=22.75 * SQ_FT)
    assert one.landed_cost(side) == pytest.approx(229.40, abs=0.005)


def test_the_net_coefficient_gives_the_price_of_cuttable_leather() -> None:
    """Common practice, worked example: discrepancy 0.98, cuttability 0.90, price 2.00 make 2.268 a cuttable sq ft."""
    assert net_price(2.00, 0.98, 0.90) == pytest.approx(2.268, abs=0.0005)


def test_waste_of_the_gross_and_waste_on_the_net_are_not_the_same() -> None:
    """Derived: 15 % of the gross multiplies the net by 1.1765, 15 % on the net by 1.15; a 54 in yard of 13.5 sq ft from
    18 sq ft of hide is 33.3 % on the net and 25 % of the gross (common practice)."""
    assert net_price(1.0, 1.0, 0.85) == pytest.approx(1.1765, abs=5e-5)
    assert net_price(1.0, 1.0, 13.5 / 18) == pytest.approx(1.3333, abs=5e-5)


def test_the_net_price_is_what_the_leather_in_the_pieces_cost(tmp_path: Path) -> None:
    (entry,) = compared(tmp_path, text=LEATHER + "discrepancy = 0.95\n").entries
    trial = entry.trial
    assert trial.net_price * trial.product.area == pytest.approx(trial.leather_cost)


def test_an_ounce_of_leather_to_the_square_foot_implies_769_kg_a_cubic_metre() -> None:
    """Derived: 1 oz (28.3495 g, international avoirdupois) on 1 sq ft at 1/64 in."""
    assert leather_weight(304.8**2, 25.4 / 64, 769) == pytest.approx(28.3495, rel=1e-3)


def test_weight_counts_neither_holes_nor_openings_and_adds_the_hardware(tmp_path: Path) -> None:
    ring = ((0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0))
    slot = ((40.0, 20.0), (60.0, 20.0), (60.0, 30.0), (40.0, 30.0))
    piece = Piece("plate", ring, holes=(PunchHole((10, 10), 4.0),), cutouts=(slot,))
    assert net_area(piece) == pytest.approx(5000 - 200 - math.pi * 4)
    making = '[[material]]\nname = "ring"\namount = 2\nweight = 12.5\n'
    bare, ringed = (compared(tmp_path, text).entries[0].weight for text in ("", making))
    assert bare is not None
    assert ringed == pytest.approx(bare + 25)


def test_labour_is_worked_out_from_lengths_holes_and_minutes(tmp_path: Path) -> None:
    """By hand: two loops 30 × (π (25 + t) + 20) and a strap 30 × 200, four holes in the loops and two in the strap."""
    (entry,) = compared(tmp_path, WORK).entries
    loop = math.pi * (25 + entry.trial.t) + 20
    cutting = (2 * 2 * (30 + loop) + 2 * 230) / 500
    expected = cutting + 460 / 400 + 6 * 0.5 + 12
    assert entry.work.total == pytest.approx(expected, abs=1e-3)
    assert entry.cost is not None
    hours = (expected + 20 / 10) / 60
    assert entry.cost.labour == pytest.approx(30 * hours, abs=1e-3)
    assert entry.cost.overhead == pytest.approx(6 * hours, abs=1e-3)
    assert entry.cost.total == pytest.approx(entry.trial.leather_cost + 36 * hours, abs=1e-3)
    assert entry.cost.retail == pytest.approx(2 * (entry.cost.wholesale or 0))


def test_material_a_product_is_what_is_paid_over_products_cut(tmp_path: Path) -> None:
    (entry,) = compared(tmp_path).entries
    assert entry.trial.leather_cost == pytest.approx(600_000 / SQ_FT * 9.5 / entry.trial.products[0])
    assert entry.trial.yields[0] == pytest.approx(entry.trial.products[0] * entry.trial.product.area / 600_000)
    assert entry.trial.leather_used < entry.trial.leather_cost


def test_hides_of_several_yields_give_a_mean_and_a_spread() -> None:
    trial = compare(SCENARIO / "map-rack.toml", read_leathers(SCENARIO / "leathers.toml"), solve=share_of_area).entries[
        0
    ]
    numbers = trial.trial.products
    assert len(numbers) == 3
    spread = trial.cost_spread
    assert spread is not None
    assert trial.cost is not None
    assert spread.low <= trial.cost.total <= spread.high


@given(st.integers(1, 500), st.floats(0.2, 40))
def test_whole_hides_are_enough_and_never_one_too_many(number: int, per_hide: float) -> None:
    hides = hides_for(number, per_hide)
    assert hides * per_hide >= number - 1e-6
    assert (hides - 1) * per_hide < number


def test_the_cost_of_one_steps_up_only_where_another_hide_is_opened(tmp_path: Path) -> None:
    (entry,) = compared(tmp_path, WORK).entries
    per_hide = entry.trial.products[0]
    steps = [entry.batch(number) for number in range(1, 3 * per_hide)]
    for before, after in pairwise(steps):
        assert before is not None
        assert after is not None
        assert (after.total > before.total) is (after.hides > before.hides)
    full = entry.batch(per_hide)
    assert full is not None
    assert full.leather == pytest.approx(entry.trial.leather_cost)


@pytest.mark.parametrize("share", ["", "share = 0.2, "])
def test_at_the_break_even_price_two_leathers_cost_the_same(tmp_path: Path, share: str) -> None:
    making = WORK.replace("{ per_hour", "{ " + share + "per_hour")
    text = TWO.replace("density = 900\n", "density = 900\nfreight = { per_hide = 9 }\ndiscrepancy = 0.97\n")
    first = compared(tmp_path, making, text)
    cheap, dear = first.by_cost
    assert cheap.cost is not None
    assert dear.cost is not None
    price = dear.break_even(cheap.cost.total)
    assert price is not None
    old = f"per_area = {dear.trial.leather.per_area:g}"
    again = compared(tmp_path, making, text.replace(old, f"per_area = {price!r}"))
    level = next(entry for entry in again.entries if entry.name == dear.name)
    assert level.cost is not None
    assert level.cost.total == pytest.approx(cheap.cost.total, rel=1e-9)


def test_a_leather_that_would_be_dear_as_a_gift_is_said_to(tmp_path: Path) -> None:
    text = TWO.replace("density = 900\n", "density = 900\nfreight = { per_hide = 900 }\n", 1)
    assert any("even as a gift" in line for line in break_evens(compared(tmp_path, WORK, text)))


def test_the_cheapest_and_the_reasons_name_both_leathers_and_every_part(tmp_path: Path) -> None:
    comparison = compared(tmp_path, WORK, TWO)
    batch, first, second = reasons(comparison)[:3]
    assert batch.startswith("For 10 the cheapest is chrome: ")
    assert first.startswith("Hide for hide the cheapest is chrome, ")
    assert second.startswith("bridle costs ")
    assert "leather +" in second
    assert "products from a hide of" in second


def test_a_leather_too_small_for_one_product_is_said_to_give_none(tmp_path: Path) -> None:
    text = TWO.replace('hides = ["board.json"]', 'typical = { cut = "belly", area = "0.1 sq ft" }', 1)
    comparison = compared(tmp_path, WORK, text)
    assert comparison.entries[0].cost is None
    (line,) = [line for line in reasons(comparison) if line.startswith("bridle: not one complete product")]
    assert "no leather of grade A or better" in line
    assert "ESTIMATE for bridle" in comparison_text(comparison)
    data = comparison_data(comparison)["leathers"][0]
    assert data["cost"] is None
    assert data["leather_cost"] is None
    assert comparison_pdf(comparison)


@HYPOTHESIS
@given(st.floats(0.1, 50), st.floats(0, 50))
def test_dearer_leather_never_lowers_the_cost(tmp_path: Path, price: float, more: float) -> None:
    project = project_file(tmp_path, WORK)
    (leather,) = leathers(tmp_path)
    cheap, dear = (replace(leather, per_area=each) for each in (price, price + more))
    totals = [compare(project, [each], solve=share_of_area).entries[0].cost for each in (cheap, dear)]
    assert totals[1].total >= totals[0].total - 1e-9  # type: ignore[union-attr]


@HYPOTHESIS
@given(st.floats(0.8, 6), st.floats(0, 3))
def test_thicker_leather_never_weighs_less_nor_gives_more_nor_needs_shorter_posts(
    tmp_path: Path, t: float, more: float
) -> None:
    """On the stand-in for the search, which takes a fixed share of the area: no search noise."""
    project = project_file(tmp_path, WORK)
    (leather,) = leathers(tmp_path)
    thin, thick = (
        compare(project, [replace(leather, thickness=Thickness(each, each))], solve=share_of_area).entries[0]
        for each in (t, t + more)
    )
    assert (thick.weight or 0) >= (thin.weight or 0) - 1e-9
    assert thick.trial.products <= thin.trial.products
    assert thick.trial.product.area >= thin.trial.product.area - 1e-9
    assert thick.work.total >= thin.work.total - 1e-9


@HYPOTHESIS
@given(st.floats(0, 100), st.floats(0, 100), st.integers(1, 40))
def test_dearer_work_never_lowers_the_cost_and_a_larger_batch_never_raises_the_setup(
    tmp_path: Path, rate: float, more: float, number: int
) -> None:
    read = leathers(tmp_path)
    costs = []
    for each, batch in ((rate, number), (rate + more, number), (rate, number + 1)):
        project = project_file(tmp_path, WORK.replace("rate = 30", f"rate = {each!r}"))
        costs.append(compare(project, read, number=batch, solve=share_of_area).entries[0].cost)
    base, dearer, larger = (cost.total for cost in costs if cost)
    assert dearer >= base - 1e-9
    assert larger <= base + 1e-9


def test_the_bill_rounds_pieces_up_with_their_spares(tmp_path: Path) -> None:
    making = WORK + '[[material]]\nname = "ring"\namount = 3\nprice = 0.5\nspare = 0.1\n'
    (entry,) = compared(tmp_path, making, number=7).entries
    ring = next(line for line in entry.bill if line.what == "ring")
    assert (ring.needed, ring.buy, ring.cost) == (21, 24, 12.0)
    leather = entry.bill[0]
    assert leather.buy == math.ceil(7 / entry.trial.products[0])


def test_yields_of_the_scenario_lie_in_the_band_of_small_goods() -> None:
    """Plausibility only: shoes and small goods use 50-70 % of the hide (common practice); the real search, one bend."""
    bend = read_leathers(SCENARIO / "leathers.toml")[2]
    one = replace(bend, hides=bend.hides[1:])
    (entry,) = compare(SCENARIO / "map-rack.toml", [one], Settings(effort="quick")).entries
    assert entry.trial.products[0] >= 2
    assert 0.35 <= entry.trial.yields[0] <= 0.85
    assert entry.trial.products[0] <= entry.trial.at_most[0]


def test_a_larger_hide_of_the_same_shape_gives_no_fewer_products_an_area(tmp_path: Path) -> None:
    """With the real search, whose noise is taken to be one product a hide: more than that would be a fault."""
    project = project_file(tmp_path, "", STRAP.replace("[30, 200]", "[90, 260]"))
    (leather,) = leathers(tmp_path)
    boards = [
        board(outline=((0.0, 0.0), (500 * k, 0.0), (500 * k, 300 * k), (0.0, 300 * k)), backbone=None, name=f"{k}")
        for k in (1.0, 1.4)
    ]
    (entry,) = compare(project, [replace(leather, hides=tuple(boards))], Settings(effort="quick")).entries
    small, large = entry.trial.products
    assert small >= 2
    assert large / 1.4**2 >= small - 1


def test_prices_in_two_currencies_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"price\.currency: is EUR, and the leathers are priced in SEK"):
        compared(tmp_path, WORK, LEATHER.replace("EUR", "SEK"))


def test_the_json_has_the_fields_of_the_format(tmp_path: Path) -> None:
    data = comparison_data(compared(tmp_path, WORK, TWO))
    assert (data["format"], data["product"]) == ("hideplan-comparison-1", "Loop strap")
    for each in data["leathers"]:
        assert {
            "name",
            "thickness_mm",
            "products_per_hide",
            "yield",
            "leather_cost",
            "weight_g",
            "fasteners",
            "cost",
        } <= {*each}
        assert len(each["products_per_hide"]) == len(each["yield"]) == 1
        assert sum(each["cost"][part] for part in ("leather", "fasteners", "materials", "labour", "overhead")) == (
            pytest.approx(each["cost"]["total"], abs=1e-3)
        )


def test_the_table_for_a_spreadsheet_has_a_row_a_leather(tmp_path: Path) -> None:
    rows = list(csv.DictReader(io.StringIO(comparison_csv(compared(tmp_path, WORK, TWO)))))
    assert [row["leather"] for row in rows] == ["bridle", "chrome"]
    assert float(rows[0]["total EUR"]) > float(rows[1]["total EUR"])


def test_every_form_says_which_waste_is_meant_and_rates_no_load(tmp_path: Path) -> None:
    comparison = compared(tmp_path, WORK + "[care]\nhangs = true\n", TWO)
    text = " ".join(comparison_text(comparison).split())
    assert "the rest is waste, edge strip and flaws included" in text
    assert "Nothing here is rated for a load" in text
    assert "never for people" in text


def test_holes_that_do_not_agree_and_missing_sizes_reach_every_form(tmp_path: Path) -> None:
    """The loop's holes are 38 mm apart, the strap's 80; one layer of 4-5 oz doubled is too thin for a 1/4 in post."""
    making = (
        WORK
        + """
[[joint]]
name = "ends"
fastener = "post"
layers = [{ piece = "loop", holes = ["a", "b"] }, { piece = "strap", holes = ["a", "b"] }]

[[fastener]]
name = "post"
kind = "post"
sizes = [{ name = "1/4 in", length = "1/4 in", price = 0.4 }]
"""
    )
    comparison = compared(tmp_path, making, TWO)
    text = " ".join(comparison_text(comparison).split())
    assert "42.0 mm off hole" in text
    assert "Joint “ends”: no post in the list suits a stack of 3.6 mm" in text
    assert "no fitting fastener for some joints of chrome" in text
    told = comparison_data(comparison)
    assert [each["fasteners"][0]["size"] for each in told["leathers"]] == ["1/4 in", None]
    assert len(told["remarks"]) == 2


def test_the_same_comparison_gives_the_same_pdf(tmp_path: Path) -> None:
    one, two = (comparison_pdf(compared(tmp_path, WORK, TWO)) for _ in range(2))
    assert one == two
    assert one.startswith(b"%PDF")


def test_a_comparison_that_is_stopped_keeps_what_was_tried_and_says_so(tmp_path: Path) -> None:
    """Stopped while the second of three hides is laid: the second leather keeps one sample, the third is not tried."""
    laid: list[str] = []

    def solve(case: Case, watch: Watch) -> Layout:
        laid.append(case.hide.name)
        return replace(share_of_area(case, watch), stopped=watch.stop())

    text = TWO + LEATHER.replace("bridle", "third").replace("10-11", "5-6")
    watch = Watch(stop=lambda: len(laid) > 1)
    comparison = compare(project_file(tmp_path, WORK), leathers(tmp_path, text), watch=watch, solve=solve)
    assert [entry.name for entry in comparison.entries] == ["bridle", "chrome"]
    assert comparison.untried == ("third",)
    told = " ".join(comparison_text(comparison).split())
    assert "not tried: third" in told
    assert "the figures of chrome are the best so far" in told
    assert comparison_data(comparison)["untried"] == ["third"]


def test_a_sample_whose_search_was_cut_short_does_not_drag_its_leathers_mean_down(tmp_path: Path) -> None:
    laid: list[str] = []

    def solve(case: Case, watch: Watch) -> Layout:
        laid.append(case.hide.name)
        return replace(share_of_area(case, watch), stopped=watch.stop())

    one, _ = leathers(tmp_path, TWO)
    (hide,) = one.hides
    both = (replace(one, hides=(hide, replace(hide, name="other", edge=10.0))),)
    watch = Watch(stop=lambda: len(laid) > 1)
    comparison = compare(project_file(tmp_path, WORK), both, watch=watch, solve=solve)
    assert laid == [hide.name, "other"]
    assert [len(entry.trial.layouts) for entry in comparison.entries] == [1]


def test_progress_is_told_over_all_hides(tmp_path: Path) -> None:
    told: list[Progress] = []
    compare(project_file(tmp_path), leathers(tmp_path, TWO), watch=Watch(report=told.append), solve=share_of_area)
    assert [each.stage for each in told] == ["bridle: board", "chrome: board"]
    assert [each.fraction for each in told] == [0.0, 0.5]


def test_a_leather_outside_the_thickness_a_piece_asks_for_gives_none_and_says_why(tmp_path: Path) -> None:
    pieces = STRAP.replace('name = "strap"', 'name = "strap"\nthickness = "4-6 oz"')
    project = project_file(tmp_path, WORK, pieces)
    comparison = compare(project, leathers(tmp_path, TWO), Settings(effort="quick"))
    assert comparison.entries[1].cost is not None
    (line,) = [line for line in reasons(comparison) if line.startswith("bridle: not one")]
    assert "strap" in line
    assert "thick" in line


def run_command(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    status = main(["compare", *map(str, words)])
    told = capsys.readouterr()
    return status, told.out, told.err


def test_the_command_prints_json_and_writes_each_kind_of_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("nesting.compare.comparison.compare.__defaults__", (None, None, 10, share_of_area, None))
    files = [tmp_path / f"out.{ending}" for ending in ("pdf", "csv", "json")]
    words = [word for file in files for word in ("--out", file)]
    status, out, _ = run_command(capsys, project_file(tmp_path, WORK), leathers_file(tmp_path), "--json", *words)
    assert status == 0
    assert json.loads(out)["format"] == "hideplan-comparison-1"
    assert all(file.stat().st_size > 100 for file in files)
    assert files[2].read_text("utf-8") == out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--batch", "0"], "--batch: “0” is no number of products"),
        (["--out", "answer.doc"], "--out: “answer.doc” ends in no kind"),
        (["--out", "nowhere/answer.pdf"], "--out: there is no folder “nowhere”"),
        (["--gap", "-1"], "--gap"),
        (["--effort", "huge"], "--effort"),
    ],
)
def test_a_slip_in_the_options_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], told: str
) -> None:
    status, out, err = run_command(capsys, project_file(tmp_path), leathers_file(tmp_path), *words)
    assert (status, out) == (2, "")
    assert told in err
    assert err.count("\n") == 1
