"""Variants: what a project lets one choose, and what follows from it."""

from __future__ import annotations

from pathlib import Path

import pytest

from hides.errors import InputError
from hides.hide import Hide
from nesting.batch.demand import demands
from nesting.batch.order_file import read_order
from nesting.commands import main
from nesting.model.product import Product
from nesting.project.project_file import read_product

RACK = """format = "hideplan-project-1"
name = "Rack"
[choices]
places = { default = 4, from = 1, to = 12 }
reach = { default = "34 in", from = "24 in", to = "52 in" }
side = { default = "left", of = ["left", "right"] }
lined = { default = false }
[lengths]
long = "places * 40 + 20"
[[piece]]
name = "loop"
count = "2 * places"
shape = { rectangle = [32, 120] }
[[piece]]
name = "back"
shape = { rectangle = ["reach", "long"] }
[[piece]]
name = "lining"
count = "lined"
shape = { rectangle = ["reach", "long"] }
[[piece]]
name = "right tab"
when = { side = "right" }
shape = { circle = 20 }
[[material]]
name = "wax"
amount = "1.5 * places"
"""


def read(tmp_path: Path, text: str = RACK, **chosen: object) -> Product:
    path = tmp_path / "rack.toml"
    path.write_text(text, encoding="utf-8")
    return read_product(path, chosen=chosen)


def test_defaults_make_the_usual_product(tmp_path: Path) -> None:
    product = read(tmp_path)
    assert product.name == "Rack"
    assert [(piece.name, piece.count) for piece in product.pieces] == [("loop", 8), ("back", 1)]
    assert product.pieces[1].polygon.bounds == pytest.approx((0, 0, 34 * 25.4, 180))
    assert product.making.materials[0].amount == 6


def test_choices_drive_counts_lengths_and_whether_a_piece_is_there(tmp_path: Path) -> None:
    product = read(tmp_path, places=6, reach="40 in", side="right", lined=True)
    assert product.name == "Rack, places 6, reach 40 in, side right, lined yes"
    assert [(piece.name, piece.count) for piece in product.pieces] == [
        ("loop", 12), ("back", 1), ("lining", 1), ("right tab", 1),
    ]  # fmt: skip
    assert product.pieces[1].polygon.bounds == pytest.approx((0, 0, 1016, 260))
    assert [choice.changed for choice in product.choices] == [True] * 4


@pytest.mark.parametrize(
    ("count", "told"),
    [
        ("two", "unknown name “two” in a length; write how many in figures"),
        ("2 * place", "did you mean “places”?"),
        ("2 * reach", "“2 * reach” comes to a length; write how many there are"),
    ],
)
def test_what_is_no_count_is_told_with_what_would_be(tmp_path: Path, count: str, told: str) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path, RACK.replace("2 * places", count))
    assert told in str(caught.value)


JOINED = """format = "hideplan-project-1"
name = "Rack"
[choices]
straps = { default = 3, from = 2, to = 5 }
folds = { default = 1, from = 1, to = 2 }
[[piece]]
name = "strap"
count = "straps"
shape = { strap = [30, 400] }
holes = [{ at = [15, 20], diameter = 5, group = "head" }]
[[piece]]
name = "back"
shape = { rectangle = ["straps * 50", 200] }
rows = [{ line = [[25, 180], ["straps * 50 - 25", 180]], number = "straps", ends = 0, diameter = 5, group = "top" }]
[[joint]]
name = "head"
layers = [{ piece = "strap", holes = "head", pieces = "straps", plies = "folds" }, { piece = "back", holes = "top" }]
"""


def test_choices_drive_how_many_lie_side_by_side_and_how_often_folded(tmp_path: Path) -> None:
    for straps in (2, 3, 5):
        joint = read(tmp_path, JOINED, straps=straps, folds=2).making.joints[0]
        assert [(layer.pieces, layer.plies) for layer in joint.layers] == [(straps, 2), (1, 1)]
    with pytest.raises(
        InputError, match=r"layers\[0\].pieces: “straps \+ 1” comes to 4; it must come out whole, from 1 to 3"
    ):
        read(tmp_path, JOINED.replace('pieces = "straps"', 'pieces = "straps + 1"'))


@pytest.mark.parametrize(
    ("chosen", "told"),
    [
        ({"place": 6}, "did you mean “places”"),
        ({"places": 13}, "choices.places: 13 is asked for: is 13; choose from 1 to 12"),
        ({"places": 2.5}, "choose a whole number"),
        ({"places": "many"}, "choose a whole number"),
        ({"reach": "1 in"}, "choose from 24 in to 52 in"),
        ({"reach": "long"}, "does not begin with a number"),
        ({"side": "middle"}, "unknown “middle”"),
        ({"lined": 2}, "choose true or false"),
    ],
)
def test_what_cannot_be_chosen_is_told_in_one_line(tmp_path: Path, chosen: dict[str, object], told: str) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path, **chosen)
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("from = 1, ", "", "choices.places.from: is missing"),
        ("default = 4", "default = 40", "choices.places.default: is 40"),
        ("default = 4", "default = 4.5", "choices.places.default: is 4.5"),
        ("{ default = false }", "{ default = false, from = 1 }", "does not go with a flag"),
        ("places = {", "t = {", "“t” cannot name a choice"),
        ("long = ", 'side = "3 mm"\nlong = ', "names a choice too"),
        ('"2 * places"', '"places / 3"', "comes to 1.33333; it must come out whole"),
        ('"2 * places"', '"2 * plates"', "did you mean “places”"),
        ('"2 * places"', '"2 mm"', "count: is “2 mm”, a length; write how many"),
        ('{ side = "right" }', '{ sid = "right" }', "did you mean “side”"),
        ('{ side = "right" }', '{ side = "up" }', "piece “right tab”.when.side: unknown “up”"),
    ],
)
def test_a_slip_in_the_choices_gets_one_line(tmp_path: Path, old: str, new: str, told: str) -> None:
    assert old in RACK
    with pytest.raises(InputError) as caught:
        read(tmp_path, RACK.replace(old, new, 1))
    assert told in str(caught.value)


def test_a_variant_without_any_piece_is_refused(tmp_path: Path) -> None:
    text = 'format = "hideplan-project-1"\n[choices]\nn = { default = 0, from = 0, to = 3 }\n[[piece]]\nname = "a"\n'
    with pytest.raises(InputError, match="no piece at all"):
        read(tmp_path, text + 'count = "n"\nshape = { circle = 9 }\n')


def test_lines_of_an_order_choose_and_are_told_apart(tmp_path: Path) -> None:
    read(tmp_path)
    line = '[[line]]\nproject = "rack.toml"\nquantity = 1\n'
    text = f'format = "hideplan-order-1"\n{line}{line}choose = {{ places = 6 }}\n'
    (tmp_path / "order.toml").write_text(text, encoding="utf-8")
    hide = Hide("h", ((0, 0), (2000, 0), (2000, 900), (0, 900)))
    found = demands(read_order(tmp_path / "order.toml"), [hide], read_product)
    assert [demand.name for demand in found] == ["Rack", "Rack, places 6"]
    assert [demand.cut[0][1].pieces[0].count for demand in found] == [8, 12]


def test_yield_and_check_choose(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    read(tmp_path)
    hide = '{"format": "hideplan-hide-1", "name": "h", "outline": [[0, 0], [1000, 0], [1000, 400], [0, 400]]}'
    (tmp_path / "h.json").write_text(hide, encoding="utf-8")
    files = [str(tmp_path / name) for name in ("h.json", "rack.toml", "out.json")]
    assert main(["yield", *files[:2], "--effort", "quick", "--out", files[2], "--choose", "places=2"]) == 0
    assert "Rack, places 2" in capsys.readouterr().out
    assert main(["check", files[2], "--project", files[1], "--choose", "places=2"]) == 0
    assert main(["check", files[2], "--project", files[1]]) == 2
    assert main(["yield", *files[:2], "--choose", "places"]) == 2
    assert "--choose: “places” chooses nothing" in capsys.readouterr().err
