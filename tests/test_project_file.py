"""Project files: what is read, and the one line that each slip gets."""

from __future__ import annotations

import math
import os
from pathlib import Path

import pytest
from shapely.geometry import Polygon

from hides.errors import InputError, NeedsThickness
from hides.hide import Grade
from nesting.model.product import Along, Product
from nesting.project.project_file import read_product

HEAD = 'format = "hideplan-project-1"\nname = "goods"\n'
SCENARIO = Path(__file__).resolve().parents[1] / "nesting" / "scenario"


def read(tmp_path: Path, text: str, t: float | None = None) -> Product:
    path = tmp_path / "goods.toml"
    path.write_text(text, encoding="utf-8")
    return read_product(path, t)


def piece(**fields: str) -> str:
    """A project with one piece, its fields as TOML."""
    own = {"name": '"back"', "shape": "{ rectangle = [150, 560] }", **fields}
    return HEAD + "[[piece]]\n" + "".join(f"{name} = {value}\n" for name, value in own.items())


def test_a_piece_with_only_name_and_shape_has_the_defaults(tmp_path: Path) -> None:
    product = read(tmp_path, piece())
    (back,) = product.pieces
    assert (product.name, back.name, back.count, back.grade) == ("goods", "back", 1, Grade.A)
    assert (back.along, back.tolerance, back.turn, back.mirror, back.angles) == (Along.ANY, 0, True, False, None)
    assert (back.holes, back.thickness, back.spare, back.covered) == ((), None, False, ())
    assert back.outline == ((0, 0), (150, 0), (150, 560), (0, 560))


def test_every_field_of_a_piece_is_read(tmp_path: Path) -> None:
    text = piece(
        count="3", grade='"B"', along='"across"', tolerance="10", turn="false", mirror="true", spare="true",
        holes='[{ at = [10, "1 in"], diameter = 5, group = "wall" }]', thickness='"8-12 oz"',
        covered='[{ outline = [[0, 0], [150, 0], [150, 60], [0, 60]], grade = "C" }]',
    )  # fmt: skip
    (back,) = read(tmp_path, text).pieces
    assert (back.count, back.grade, back.along, back.tolerance) == (3, Grade.B, Along.ACROSS, 10)
    assert (back.turn, back.mirror, back.spare) == (False, True, True)
    assert (back.holes[0].at, back.holes[0].diameter, back.holes[0].group) == ((10, 25.4), 5, "wall")
    assert back.thickness is not None
    assert back.thickness.low == pytest.approx(8 * 25.4 / 64)
    assert (back.covered[0].grade, Polygon(back.covered[0].outline).area) == (Grade.C, 9000)


def test_the_name_defaults_to_the_files(tmp_path: Path) -> None:
    assert read(tmp_path, piece().replace('name = "goods"\n', "")).name == "goods"


def test_numbers_are_in_the_files_units_and_texts_in_their_own(tmp_path: Path) -> None:
    text = piece(shape='{ rectangle = [2, "140 mm"] }').replace("[[piece]]", 'units = "in"\n[[piece]]')
    assert Polygon(read(tmp_path, text).pieces[0].outline).bounds == (0, 0, 50.8, 140)


def test_angles_stand_in_place_of_a_direction(tmp_path: Path) -> None:
    (back,) = read(tmp_path, piece(angles="[0, 90.5]")).pieces
    assert back.angles == (0, 90.5)


@pytest.mark.parametrize(
    ("shape", "area"),
    [
        ("{ rectangle = [100, 80], corner = 10 }", 8000 - (4 - math.pi) * 100),
        ('{ strap = [40, 300], ends = "point" }', 12000 - 800),
        ('{ strap = [40, 300], ends = ["square", "round"] }', 280 * 40 + math.pi * 200),
        ("{ circle = 60 }", math.pi * 900),
        ('{ polygon = [[0, 0], [30, 0], [0, 40]], fold = "y" }', 1200),
        ('{ polygon = [[0, 0], [30, 0], [0, 40]], fold = "both" }', 2400),
        ("{ polygon = [[0, 0], [30, 0], [0, 40], [0, 0]] }", 600),
    ],
)
def test_each_shape_is_read(tmp_path: Path, shape: str, area: float) -> None:
    assert read(tmp_path, piece(shape=shape)).pieces[0].area == pytest.approx(area, abs=5)


def test_lengths_follow_the_leathers_thickness(tmp_path: Path) -> None:
    text = piece(
        shape='{ rectangle = [40, "pi * (80 + t) + 30"] }', holes='[{ at = [20, "30 + t"], diameter = "2 * t" }]'
    )
    thin, thick = read(tmp_path, text, 2.0), read(tmp_path, text, 4.0)
    assert Polygon(thick.pieces[0].outline).bounds[3] == pytest.approx(math.pi * 84 + 30)
    assert thick.pieces[0].area - thin.pieces[0].area == pytest.approx(40 * math.pi * 2)
    assert thick.pieces[0].holes[0].diameter == 8


def test_a_length_with_t_needs_a_thickness_and_says_where(tmp_path: Path) -> None:
    text = piece(shape='{ rectangle = [40, "80 + t"] }')
    with pytest.raises(NeedsThickness) as caught:
        read(tmp_path, text)
    assert str(caught.value).startswith(str(tmp_path / "goods.toml") + ": piece “back”.shape.rectangle: uses")
    read(tmp_path, piece())


def test_named_lengths_serve_every_piece(tmp_path: Path) -> None:
    text = piece(shape='{ rectangle = ["wide", "2 * wide"] }').replace(
        "[[piece]]", '[lengths]\nwide = "4 cm"\n[[piece]]'
    )
    assert read(tmp_path, text).pieces[0].area == 3200


def test_tables_of_the_making_are_read_with_the_pieces(tmp_path: Path) -> None:
    making = read(tmp_path, piece() + '[labour]\nrate = 30\n[price]\ncurrency = "EUR"\n').making
    assert making.labour is not None
    assert making.labour.rate == 30


@pytest.mark.parametrize(("name", "kinds"), [("map-rack", 6), ("tool-roll", 8)])
def test_the_scenarios_products_are_read(name: str, kinds: int) -> None:
    assert len(read_product(SCENARIO / f"{name}.toml", 4.2).pieces) == kinds


BAD = {
    "a truncated file": (piece()[:-4], "no TOML"),
    "no format": (piece().replace('format = "hideplan-project-1"\n', ""), "format: is missing"),
    "another format": (piece().replace("project-1", "project-9"), "hideplan-project-9"),
    "an unknown top field": (piece() + "[joints]\n", "did you mean “joint”"),
    "an unknown piece field": (piece(colour='"red"'), "unknown field “colour”"),
    "a misspelt piece field": (piece(tolerence="10"), "did you mean “tolerance”"),
    "no piece": (HEAD, "piece: is missing"),
    "an empty list of pieces": (HEAD + "piece = []\n", "0 kinds"),
    "a piece that is a text": (HEAD + 'piece = ["back"]\n', "not a table"),
    "a piece without a name": (HEAD + "[[piece]]\nshape = { circle = 5 }\n", "piece 1.name: is missing"),
    "an empty name": (piece(name='" "'), "not a text"),
    "a name with a newline": (piece(name='"a\\nb"'), "unprintable"),
    "two pieces of one name": (piece() + piece().removeprefix(HEAD), "two pieces are named “back”"),
    "a piece without a shape": (HEAD + '[[piece]]\nname = "back"\n', "shape: is missing"),
    "a shape of no kind": (piece(shape="{ corner = 3 }"), "names no shape"),
    "two shapes at once": (piece(shape="{ circle = 3, rectangle = [3, 4] }"), "2 shapes at once"),
    "an unknown shape": (piece(shape="{ ellipse = [3, 4] }"), "unknown field “ellipse”"),
    "a misspelt shape": (piece(shape="{ rectangel = [3, 4] }"), "did you mean “rectangle”"),
    "a field of another shape": (piece(shape="{ circle = 30, corner = 3 }"), "does not go with a circle"),
    "a zero width": (piece(shape="{ rectangle = [0, 100] }"), "too small"),
    "a negative length": (piece(shape="{ rectangle = [10, -100] }"), "too small"),
    "a width that t makes negative": (piece(shape='{ rectangle = ["2 - t", 10] }'), "too small"),
    "a NaN": (piece(shape="{ rectangle = [nan, 100] }"), "not a finite number"),
    "an endless length": (piece(shape="{ rectangle = [10, inf] }"), "not a finite number"),
    "a kilometre and more": (piece(shape="{ rectangle = [10, 1e9] }"), "kilometre"),
    "a text without a unit": (piece(shape='{ rectangle = [10, "100"] }'), "no unit"),
    "an unknown unit": (piece(shape='{ rectangle = [10, "100 furlong"] }'), "unknown unit"),
    "one side only": (piece(shape="{ rectangle = [10] }"), "two lengths"),
    "a shape that is a number": (piece(shape="3"), "not a table"),
    "a corner beyond half the side": (piece(shape="{ rectangle = [10, 40], corner = 6 }"), "half the shorter side"),
    "a negative corner": (piece(shape="{ rectangle = [10, 40], corner = -1 }"), "half the shorter side"),
    "an unknown end": (piece(shape='{ strap = [10, 40], ends = "pointed" }'), "ends"),
    "three ends": (piece(shape='{ strap = [10, 40], ends = ["round", "round", "round"] }'), "one for each end"),
    "ends longer than the strap": (piece(shape='{ strap = [50, 40], ends = "round" }'), "the ends take"),
    "an unknown fold": (piece(shape='{ polygon = [[0,0],[9,0],[0,9]], fold = "z" }'), "unknown “z”"),
    "a polygon of two points": (piece(shape="{ polygon = [[0,0],[9,0]] }"), "fewer than three"),
    "a polygon that crosses itself": (
        piece(shape="{ polygon = [[0,0],[9,9],[9,0],[0,9]] }"),
        "crosses itself near [4.5, 4.5]",
    ),
    "a point of three numbers": (piece(shape="{ polygon = [[0,0],[9,0,1],[0,9]] }"), "polygon[1]"),
    "a count of nought": (piece(count="0"), "whole number from 1"),
    "a negative count": (piece(count="-2"), "whole number from 1"),
    "an absurd count": (piece(count="10001"), "10000"),
    "a broken count": (piece(count="2.5"), "whole number"),
    "a count in words": (piece(count='"two"'), "whole number"),
    "a count that is true": (piece(count="true"), "whole number"),
    "absurd counts together": (
        piece(count="9000") + piece(count="9000", name='"other"').removeprefix(HEAD),
        "more than 10000 pieces",
    ),
    "an unknown grade": (piece(grade='"E"'), "grade: unknown “E”"),
    "a grade that no leather has": (piece(grade='"none"'), "grade: unknown “none”"),
    "an unknown direction": (piece(along='"spine"'), "unknown “spine”"),
    "a tolerance beyond 180": (piece(along='"backbone"', tolerance="181"), "0 to 180"),
    "a negative tolerance": (piece(along='"backbone"', tolerance="-1"), "0 to 180"),
    "a tolerance without a direction": (piece(tolerance="10"), "along is not given"),
    "a turn without a direction": (piece(turn="false"), "along is not given"),
    "angles beside a direction": (piece(angles="[0]", along='"any"'), "along: cannot stand beside angles"),
    "angles beside a tolerance": (piece(angles="[0]", tolerance="0"), "tolerance: cannot stand beside angles"),
    "angles beside a turn": (piece(angles="[0]", turn="true"), "turn: cannot stand beside angles"),
    "no angles": (piece(angles="[]"), "0 angles"),
    "an angle in words": (piece(angles='["up"]'), "angles[0]"),
    "an angle beyond the circle": (piece(angles="[720]"), "-360 to 360"),
    "a turn that is a number": (piece(along='"across"', turn="1"), "true or false"),
    "a mirror that is a text": (piece(mirror='"no"'), "true or false"),
    "a hole outside the piece": (piece(holes="[{ at = [200, 10], diameter = 5 }]"), "outside the piece"),
    "a hole of no width": (piece(holes="[{ at = [10, 10], diameter = 0 }]"), "too small"),
    "a hole without a place": (piece(holes="[{ diameter = 5 }]"), "holes[0].at: is missing"),
    "an unknown hole field": (piece(holes="[{ at = [10, 10], dia = 5 }]"), "did you mean “diameter”"),
    "holes that are a number": (piece(holes="5"), "not a list"),
    "a thickness without a unit": (piece(thickness='"8-12"'), "no unit of thickness"),
    "a thickness upside down": (piece(thickness='"12-8 oz"'), "no thickness"),
    "a covered part outside the piece": (
        piece(covered='[{ outline = [[0,0],[160,0],[160,60],[0,60]], grade = "C" }]'),
        "reaches out of the piece at (160, ",
    ),
    "a covered part better than the piece": (
        piece(grade='"C"', covered='[{ outline = [[0,0],[150,0],[150,60]], grade = "B" }]'),
        "better than the piece's own",
    ),
    "a covered part without a grade": (piece(covered="[{ outline = [[0,0],[150,0],[150,60]] }]"), "grade: is missing"),
    "a covered part that crosses itself": (
        piece(covered='[{ outline = [[0,0],[90,90],[90,0],[0,90]], grade = "C" }]'),
        "crosses",
    ),
    "unknown units": (piece().replace("[[piece]]", 'units = "furlong"\n[[piece]]'), "units: unknown “furlong”"),
    "an unknown name in a length": (piece(shape='{ circle = "t + gap" }'), "unknown name “gap”"),
    "lengths in a circle": (
        piece().replace("[[piece]]", '[lengths]\na = "b + 1"\nb = "a + 1"\n[[piece]]'),
        "lengths.a: goes round in a circle: a → b → a",
    ),
    "a length named as a unit": (piece().replace("[[piece]]", "[lengths]\nmm = 3\n[[piece]]"), "cannot name a length"),
    "a power": (piece(shape='{ circle = "t ** 9" }'), "may not stand"),
    "lists nested beyond reason": (HEAD + "piece = " + "[" * 5000, "no TOML"),
    "a bare number as a file": ("42", "no TOML"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_slip_gets_one_line_that_names_the_file_and_what_is_wrong(tmp_path: Path, name: str) -> None:
    text, told = BAD[name]
    with pytest.raises(InputError) as caught:
        read(tmp_path, text, 4.0)
    line = str(caught.value)
    assert told in line
    assert line.startswith(str(tmp_path / "goods.toml"))
    assert "\n" not in line


def test_files_that_cannot_be_read_are_said_to_be(tmp_path: Path) -> None:
    (tmp_path / "latin.toml").write_bytes(b'name = "caf\xe9"')
    (tmp_path / "digits.toml").write_text("n = " + "1" * 5000)
    (tmp_path / "side.json").write_text('{"format": "hideplan-hide 1"}')
    for path, told in (
        (tmp_path / "none.toml", "cannot be read"),
        (tmp_path, "cannot be read"),
        (tmp_path / "latin.toml", "UTF-8"),
        (tmp_path / "digits.toml", "too many digits"),
        (tmp_path / "side.json", r"is JSON, as hides and layouts are.*name a project file"),
    ):
        with pytest.raises(InputError, match=told):
            read_product(path)


@pytest.mark.parametrize("t", [0, -1, 51, math.nan])
def test_a_thickness_that_no_leather_has_is_refused(tmp_path: Path, t: float) -> None:
    with pytest.raises(InputError, match="thickness t"):
        read(tmp_path, piece(), t)


def test_a_byte_order_mark_is_read_over(tmp_path: Path) -> None:
    (tmp_path / "bom.toml").write_bytes(b"\xef\xbb\xbf" + piece().encode())
    assert read_product(tmp_path / "bom.toml").name == "goods"


def test_names_of_every_kind_are_kept(tmp_path: Path) -> None:
    assert read(tmp_path, piece(name='"Rücken № 1 / <b> ×2"')).pieces[0].name == "Rücken № 1 / <b> ×2"


def test_the_source_is_kept_for_messages(tmp_path: Path) -> None:
    assert read(tmp_path, piece()).source == os.fspath(tmp_path / "goods.toml")


@pytest.mark.parametrize("page", ["README.md", "nesting/FORMATS.md"])
def test_the_examples_on_the_pages_are_read(tmp_path: Path, page: str) -> None:
    text = (SCENARIO.parents[1] / page).read_text(encoding="utf-8")
    examples = [block for block in text.split("```toml\n")[1:] if "hideplan-project-1" in block]
    assert examples
    for block in examples:
        assert read(tmp_path, block.partition("```")[0], 4.0).name == "Map rack"
