"""`hideplan batch` with the real search on small hides: files in, plan and sheets out, register committed."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import pytest

from hides.hide import Flaw, Hide, Price
from hides.hide_file import read_hide, write_hide
from hides.stock import Status, hides_from, open_stock
from hides.units import AREA_UNITS
from nesting.batch.limits import limits_of
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order, OrderLine
from nesting.batch.plan import Plan
from nesting.check import faults
from nesting.commands import main
from nesting.laying.lay_out import Want, lay_out
from nesting.model.settings import Settings
from nesting.project.project_file import read_product
from nesting.result.layout_file import layout_from_data

OUTLINE = ((0.0, 0.0), (520.0, 15.0), (560.0, 200.0), (500.0, 370.0), (250.0, 400.0), (10.0, 350.0), (-20.0, 150.0))
WALLET = """
format = "hideplan-project-1"
name = "wallet"
[[piece]]
name = "back"
count = 2
shape = { rectangle = [110, 90] }
[[piece]]
name = "strap"
along = "backbone"
tolerance = 5
shape = { rectangle = [25, 150] }
"""
MAT = """
format = "hideplan-project-1"
name = "mat"
[[piece]]
name = "mat"
shape = { rectangle = [130, 180] }
"""
QUICK = Settings(effort="quick")


def small(name: str, scale: float = 1.0, price: float | None = 8.0, cut: str = "side") -> Hide:
    outline = tuple((x * scale, y * scale) for x, y in OUTLINE)
    scar = Flaw("scar", tuple((x * scale, y * scale) for x, y in ((200, 150), (230, 150), (225, 175))))
    money = None if price is None else Price(price / AREA_UNITS["sq ft"], "USD", price, "sq ft")
    return Hide(name, outline, cut, backbone=((0.0, 0.0), (500.0, 0.0)), edge=4.0, flaws=(scar,), price=money)


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    (tmp_path / "wallet.toml").write_text(WALLET)
    (tmp_path / "mat.toml").write_text(MAT)
    (tmp_path / "hides").mkdir()
    for number in (1, 2, 3):
        write_hide(tmp_path / "hides" / f"h{number}.json", small(f"H-{number}"))
    return tmp_path


def write_order(shop: Path, wallets: int, mats: int, head: str = "") -> Path:
    lines = [("wallet", wallets), ("mat", mats)]
    text = "".join(f'[[line]]\nproject = "{name}.toml"\nquantity = {n}\n' for name, n in lines if n)
    path = shop / "order.toml"
    path.write_text(f'format = "hideplan-order-1"\n{head}\n{text}')
    return path


def batch(*words: object) -> int:
    return main(["batch", *map(str, words), "--effort", "quick", "--workers", "1"])


def plan_of(shop: Path, hides: list[Hide], wallets: int, mats: int) -> Plan:
    lines = [OrderLine(str(shop / f"{name}.toml"), n) for name, n in (("wallet", wallets), ("mat", mats)) if n]
    return make_plan(Order("o", tuple(lines)), hides, Tools(read_product), QUICK)


def test_an_order_is_filled_and_everything_asked_for_is_written(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    order = write_order(shop, 5, 4)
    (shop / "pictures").mkdir()
    files = {name: shop / name for name in ("plan.json", "plan.pdf", "pieces.csv", "totals.csv")}
    told = ["--out", files["plan.json"], "--sheet", files["plan.pdf"], "--csv", files["pieces.csv"]]
    told += ["--totals", files["totals.csv"], "--pictures", shop / "pictures"]
    assert batch(order, "--hides", shop / "hides", *told) == 0
    words = capsys.readouterr().out
    assert "The order is filled from 2 hides." in words
    assert "no plan needs fewer" in words.lower()
    data = json.loads(files["plan.json"].read_text())
    for each in data["layouts"]:
        assert faults(layout_from_data(each)) == []
    rows = list(csv.DictReader(files["pieces.csv"].read_text().splitlines()))
    assert len(rows) == 5 * 3 + 4
    rows = list(csv.DictReader(files["totals.csv"].read_text().splitlines()))
    totals = {row["piece"]: int(row["pieces"]) for row in rows}
    assert totals == {"back": 10, "strap": 5, "mat": 4}
    assert files["plan.pdf"].read_bytes().startswith(b"%PDF")
    assert len(list((shop / "pictures").glob("*.png"))) == len(data["layouts"])


def test_json_goes_to_standard_output_alone(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert batch(write_order(shop, 1, 0), "--hides", shop / "hides", "--json") == 0
    out = capsys.readouterr()
    assert json.loads(out.out)["format"] == "hideplan-plan-1"


def test_what_is_short_is_told_with_what_to_buy_and_status_1(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (shop / "hides" / "h2.json").unlink()
    (shop / "hides" / "h3.json").unlink()
    assert batch(write_order(shop, 0, 30), "--hides", shop / "hides", "--json") == 1
    data = json.loads(capsys.readouterr().out)
    assert data["filled"] is False
    assert data["possible"] is False
    assert data["short"]["mat"] == 30 - data["products"][0]["planned"] > 0
    assert data["buy"]
    best = data["buy"][0]
    assert (best["cut"], best["estimate"], best["products"]) == ("side", True, {"mat": data["short"]["mat"]})
    assert best["cost"] == pytest.approx(best["hides"] * best["area"] / AREA_UNITS["sq ft"] * 8, rel=1e-3)


def test_a_commit_marks_the_hides_cut_and_puts_their_offcuts_on_the_shelf(shop: Path) -> None:
    register = shop / "hides.stock"
    with open_stock(register, create=True) as stock:
        stock.add([(each.hide, each.source) for each in hides_from(shop / "hides")])
    order = write_order(shop, 0, 2)
    plan = shop / "plan.json"
    assert batch(order, "--hides", register, "--out", plan, "--commit") == 0
    (cut,) = json.loads(plan.read_text())["layouts"]
    name = cut["hides"][0]["name"]
    with open_stock(register) as stock:
        row = stock.find(name)
        assert row.status is Status.CUT
        back = [each for each in stock.hides() if each.parent == row.id]
        assert len(back) == len(cut["hides"][0]["offcuts"]) > 0
        stock.undo()
        assert len(stock.hides()) == 3


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("order.toml", "--hides", "none"), "none"),
        (("none.toml", "--hides", "hides"), "none.toml"),
        (("order.toml", "--hides", "hides", "--commit"), "--commit"),
        (("order.toml", "--hides", "hides", "--out", "nowhere/plan.json"), "--out nowhere/plan.json"),
        (("order.toml", "--hides", "hides", "--out", "hides"), "--out hides"),
        (("order.toml", "--hides", "hides", "--pictures", "nowhere"), "--pictures nowhere"),
        (("order.toml", "--hides", "hides", "--least-offcut", "3"), "--least-offcut"),
        (("order.toml", "--hides", "hides", "--workers", "0"), "--workers"),
        (("order.toml", "--hides", "hides", "--workers", "tcp://127.0.0.1:1"), "--workers"),
        (("order.toml", "--hides", "hides", "--effort", "great"), "effort"),
        (("order.toml",), "--hides"),
    ],
)
def test_unusable_arguments_are_told_in_one_line(
    shop: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    words: tuple[str, ...],
    message: str,
) -> None:
    write_order(shop, 1, 0)
    monkeypatch.chdir(shop)
    assert main(["batch", *words, "--effort", "quick"][: None if "--effort" not in words else -2]) == 2
    out = capsys.readouterr()
    assert out.out == ""
    assert message in out.err
    assert out.err.strip().count("\n") == 0


def test_one_hide_and_one_product_give_what_yield_gives(shop: Path) -> None:
    hide, product = small("H"), read_product(shop / "wallet.toml")
    alone = lay_out(hide, [Want(product)], QUICK).counts[0].complete
    plan = plan_of(shop, [hide], 99, 0)
    assert plan.filled == (alone,)
    assert not plan.full


def test_a_mixed_order_takes_fewer_hides_than_one_product_after_the_other(shop: Path) -> None:
    hides = [small(f"H-{n}") for n in range(4)]
    wallet, mat = (read_product(shop / f"{name}.toml") for name in ("wallet", "mat"))
    counts = {p.name: lay_out(hides[0], [Want(p)], QUICK).counts[0].complete for p in (wallet, mat)}
    half = {name: -(-n // 2) - 1 for name, n in counts.items()}
    plan = plan_of(shop, hides, half["wallet"], half["mat"])
    assert plan.full
    assert len(plan.cuts) == 1 == plan.least_hides, "one after the other takes a hide for each product"


def test_a_planted_order_is_filled_at_the_planted_cost_and_bounded_by_it(shop: Path) -> None:
    """Layouts found at odd worths are the plan planted; the order is what they give together."""
    hides = [small("H-1"), small("H-2"), small("H-3", 0.9)]
    wallet, mat = (read_product(shop / f"{name}.toml") for name in ("wallet", "mat"))
    layouts = [lay_out(h, [Want(wallet, 1.0, 3 + n), Want(mat, 0.7)], QUICK) for n, h in enumerate(hides[:2])]
    many = [sum(layout.counts[k].complete for layout in layouts) for k in (0, 1)]
    planted = sum(hide.cost or 0 for hide in hides[:2])
    plan = plan_of(shop, hides, *many)
    assert plan.full
    assert plan.least_cost <= planted + 1e-6
    assert plan.least_hides <= 2
    assert plan.cost <= 1.03 * planted


def test_the_limits_of_a_hide_allow_every_layout_of_it(shop: Path) -> None:
    hide = small("H")
    products = [read_product(shop / f"{name}.toml") for name in ("wallet", "mat")]
    limits = limits_of(hide, products, QUICK)
    for worth in (0.4, 2.0):
        layout = lay_out(hide, [Want(products[0]), Want(products[1], worth)], QUICK)
        assert limits.allow([count.complete for count in layout.counts])


def test_the_scenarios_order_can_be_read_against_its_hides() -> None:
    folder = Path(__file__).parents[1] / "nesting" / "scenario"
    from nesting.batch.demand import demands
    from nesting.batch.order_file import read_order
    from nesting.batch.task import make_task

    order = read_order(folder / "order.toml")
    hides = [each.hide for each in hides_from(folder)]
    task = make_task(demands(order, hides, read_product), hides, order.credit)
    assert [demand.name for demand in task.demands] == ["Map rack", "Tool roll set"]
    assert all(any(row[n] for row in task.products) for n in range(2))
    assert read_hide(folder / "side-1.json").price is not None


def test_ctrl_c_keeps_the_best_so_far(shop: Path) -> None:
    """A stop that comes at once still gives an answer, in time, and says that it was stopped."""
    order = write_order(shop, 9, 9)
    words = [sys.executable, "-m", "nesting", "batch", str(order), "--hides", str(shop / "hides"), "--time", "0.01"]
    done = subprocess.run([*words, "--json", "--workers", "1"], capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode in (0, 1), done.stderr
    assert json.loads(done.stdout)["stopped"] is True
