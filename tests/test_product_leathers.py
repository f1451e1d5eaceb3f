"""A product of several leathers is one file: each with its own thickness, laid, ordered and compared by itself."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from test_project_file import HEAD, read

from hides.errors import InputError
from hides.hide import Hide, Thickness
from nesting.batch.demand import demands
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order, OrderLine
from nesting.commands import main
from nesting.compare.comparison import compare
from nesting.compare.data import comparison_data
from nesting.compare.leather import Leather
from nesting.making.joints import stack_of
from nesting.model.settings import Settings
from nesting.project.project_file import product_for, read_product

BAG = (
    HEAD
    + """[[leather]]
name = "shell"
thickness = "3 mm"
leather = "bridle"
[[leather]]
name = "lining"
thickness = "1 mm"
[[piece]]
name = "front"
count = 2
shape = { rectangle = [200, "100 + 10 * t"] }
[[piece]]
name = "inside"
leather = "lining"
shape = { rectangle = [180, "100 + 10 * t"] }
[[joint]]
name = "seam"
layers = [{ piece = "front" }, { piece = "inside" }]
"""
).replace('{ piece = "front" }', '{ piece = "front", holes = "h" }').replace(
    '{ piece = "inside" }', '{ piece = "inside", holes = "h" }'
).replace("shape =", 'holes = [{ at = [9, 9], diameter = 3, group = "h" }]\nshape =')  # fmt: skip


def hide(leather: str, t: float, name: str = "h") -> Hide:
    return Hide(name, ((0, 0), (420, 0), (420, 150), (0, 150)), leather=leather, thickness=Thickness(t, t))


def length(tmp_path: Path, piece: int, t: float | None, leather: str = "") -> float:
    read(tmp_path, BAG, 3.0)
    return read_product(tmp_path / "goods.toml", t, leather=leather).pieces[piece].polygon.bounds[3]


def test_every_piece_is_measured_by_its_own_leather(tmp_path: Path) -> None:
    assert [length(tmp_path, piece, 4.0, "shell") for piece in (0, 1)] == [140, 110]
    assert [length(tmp_path, piece, 2.0, "lining") for piece in (0, 1)] == [130, 120]
    assert [length(tmp_path, piece, 2.0) for piece in (0, 1)] == [120, 120]


def test_a_stack_has_the_true_thickness_of_every_layer(tmp_path: Path) -> None:
    read(tmp_path, BAG, 3.0)
    product = read_product(tmp_path / "goods.toml", 4.0, leather="shell")
    assert stack_of(product.making.joints[0], 4.0) == 5


def test_a_hide_gives_the_pieces_of_the_leather_it_is_called(tmp_path: Path) -> None:
    read(tmp_path, BAG, 3.0)
    path = tmp_path / "goods.toml"
    shell, lining = product_for(path, hide("Bridle", 4.0)), product_for(path, hide("lining", 2.0))
    assert (shell.name, [piece.name for piece in shell.pieces]) == ("goods: shell", ["front"])
    assert (lining.name, [piece.name for piece in lining.pieces]) == ("goods: lining", ["inside"])
    assert shell.making.joints == ()
    assert lining.pieces[0].polygon.bounds[3] == 120
    both = product_for(path, hide("", 2.0), leathers=["shell", "lining"])
    assert (both.name, len(both.pieces)) == ("goods", 2)


def test_yield_lays_what_is_asked_for_and_check_knows_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    read(tmp_path, BAG, 3.0)
    data = {
        "format": "hideplan-hide-1", "name": "h", "outline": [[0, 0], [420, 0], [420, 150], [0, 150]],
        "thickness": [3, 3],
    }  # fmt: skip
    (tmp_path / "h.json").write_text(json.dumps(data))
    files = [str(tmp_path / name) for name in ("h.json", "goods.toml")]
    assert main(["yield", *files, "--effort", "quick"]) == 2
    assert "does not say of which leather it is" in capsys.readouterr().err
    out = str(tmp_path / "l.json")
    assert main(["yield", *files, "--effort", "quick", "--leather", "shell", "--out", out]) == 0
    assert "1 complete product of goods: shell" in capsys.readouterr().out
    assert main(["check", out, "--project", files[1]]) == 0
    assert main(["yield", *files, "--leather", "shel"]) == 2
    assert "did you mean “shell”" in capsys.readouterr().err
    assert {piece["leather"] for piece in json.loads(Path(out).read_text())["pieces"]} == {"shell"}


def test_an_order_needs_each_leather(tmp_path: Path) -> None:
    read(tmp_path, BAG, 3.0)
    line = OrderLine(str(tmp_path / "goods.toml"), 2)
    hides = [hide("bridle", 3.0, "s1"), hide("bridle", 3.0, "s2"), hide("lining", 1.0, "l1")]
    found = demands(Order("o", (line,)), hides, read_product)
    assert [(demand.name, demand.wanted, demand.lines[0].leather) for demand in found] == [
        ("goods: shell", 2, "bridle"), ("goods: lining", 2, "lining"),
    ]  # fmt: skip
    plan = make_plan(Order("o", (line,)), hides, Tools(read_product), Settings(effort="quick"))
    assert [plan.short(place) for place in range(2)] == [0, 0]
    assert sorted(cut.hide.name for cut in plan.cuts) == ["l1", "s1", "s2"]


def test_an_order_cannot_name_the_leather_of_a_product_of_several(tmp_path: Path) -> None:
    read(tmp_path, BAG, 3.0)
    line = OrderLine(str(tmp_path / "goods.toml"), 2, leather="bridle")
    with pytest.raises(InputError, match=r"line\[1\].leather: “goods” is made of shell, lining; leave it out"):
        demands(Order("o", (line,)), [hide("bridle", 3.0)], read_product)


def test_an_order_says_where_a_thickness_is_not_stated(tmp_path: Path) -> None:
    read(tmp_path, BAG.replace('thickness = "1 mm"\n', ""), 3.0)
    line = OrderLine(str(tmp_path / "goods.toml"), 2)
    with pytest.raises(InputError, match=r"give every \[\[leather\]\] of the project its thickness"):
        demands(Order("o", (line,)), [hide("bridle", 3.0)], read_product)


def test_a_comparison_varies_one_leather_or_all(tmp_path: Path) -> None:
    read(tmp_path, BAG, 3.0)
    tried = [Leather("thin", Thickness(2, 2), "EUR", per_hide=50.0, hides=(hide("x", 2.0),))]
    one = compare(tmp_path / "goods.toml", tried, Settings(effort="quick"), part="shell")
    assert one.product == "goods: shell"
    assert [piece.name for piece in one.entries[0].trial.product.pieces] == ["front"]
    assert one.entries[0].trial.uses[0].stack == 3
    assert "The leather for lining is in no cost" in comparison_data(one)["remarks"][0]
    every = compare(tmp_path / "goods.toml", tried, Settings(effort="quick"))
    assert every.entries[0].trial.uses[0].stack == 4
    assert len(every.entries[0].trial.product.pieces) == 2


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (
            'leather = "lining"',
            'leather = "linning"',
            "piece “inside”.leather: unknown leather “linning”; did you mean",
        ),
        ('name = "lining"\n', 'name = "shell"\n', "two are named “shell”"),
        ('thickness = "1 mm"', 'thickness = "1"', "leather “lining”.thickness"),
        ('thickness = "1 mm"', 'thicknes = "1 mm"', "did you mean “thickness”"),
    ],
)
def test_a_leather_nobody_named_is_told_in_one_line(tmp_path: Path, old: str, new: str, told: str) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path, BAG.replace(old, new, 1), 3.0)
    assert told in str(caught.value)


def test_a_piece_of_a_leather_in_a_project_without_any_is_told(tmp_path: Path) -> None:
    text = HEAD + '[[piece]]\nname = "a"\nleather = "shell"\nshape = { circle = 9 }\n'
    with pytest.raises(InputError, match=r"write \[\[leather\]\] tables"):
        read(tmp_path, text)
