"""The order file: what it says is what is read, and what cannot be used is told in one line."""

from __future__ import annotations

from pathlib import Path

import pytest

from hides.errors import InputError
from nesting.batch.order_file import read_order

HEAD = 'format = "hideplan-order-1"\n'
LINE = '[[line]]\nproject = "mat.toml"\nquantity = 4\n'


@pytest.fixture
def order(tmp_path: Path):  # type: ignore[no-untyped-def]
    (tmp_path / "mat.toml").write_text("")

    def write(text: str) -> Path:
        path = tmp_path / "order.toml"
        path.write_text(text)
        return path

    return write


def test_every_field_is_read(order) -> None:  # type: ignore[no-untyped-def]
    text = (
        HEAD
        + 'name = "March"\ncredit = { per_area = 4, unit = "sq ft", currency = "USD" }\n'
        + LINE
        + 'name = "Mat, brown"\ndue = 2027-03-31\none_hide = false\n'
        + 'thickness = "8-12 oz"\nleather = "bridle"\nspares = 10'
    )
    read = read_order(order(text))
    line = read.lines[0]
    assert (read.name, line.name, line.due, line.due_text, line.one_hide) == (
        "March", "Mat, brown", 1, "2027-03-31", False,
    )  # fmt: skip
    assert read.credit is not None
    assert read.credit.per_mm2 == pytest.approx(4 / 92903.04)
    assert line.thickness is not None
    assert line.thickness.low == pytest.approx(3.175)
    assert (line.leather, line.wanted) == ("bridle", 5)


def test_what_is_left_out_has_its_default(order) -> None:  # type: ignore[no-untyped-def]
    read = read_order(order(HEAD + LINE))
    line = read.lines[0]
    assert (read.name, read.credit, line.one_hide, line.spares, line.leather, line.thickness, line.wanted) == (
        "order", None, True, 0, "", None, 4,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("quantity", "spares", "wanted"), [(100, 7, 107), (40, 5, 42), (3, 5, 4), (10, 0, 10), (1, 100, 2), (3, 33.4, 5)]
)
def test_spares_are_whole_products_rounded_up(order, quantity: int, spares: float, wanted: int) -> None:  # type: ignore[no-untyped-def]
    """7 % of 100 is 7, although 100 × 7 / 100 need not be so in floating point."""
    line = f'[[line]]\nproject = "mat.toml"\nquantity = {quantity}\nspares = {spares}\n'
    assert read_order(order(HEAD + line)).lines[0].wanted == wanted


def test_lines_without_a_date_come_last(order) -> None:  # type: ignore[no-untyped-def]
    text = HEAD + LINE + LINE + "due = 2027-05-01\n" + LINE + "due = 2027-04-01\n" + LINE + "due = 2027-05-01\n"
    assert [line.due for line in read_order(order(text)).lines] == [3, 2, 1, 2]


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("", ("format", "missing")),
        ('format = "hideplan-plan-1"\n' + LINE, ("format", "hideplan-order-1")),
        (HEAD, ("line", "missing")),
        (HEAD + "line = []\n", ("line", "0 lines")),
        (HEAD + "line = 3\n", ("line", "list")),
        (HEAD + "line = [3]\n", ("line[1]", "table")),
        (HEAD + "lines = []\n", ("lines", "did you mean “line”")),
        (HEAD + LINE + "quantty = 3\n", ("line[1]", "quantty", "did you mean “quantity”")),
        (HEAD + '[[line]]\nproject = "mat.toml"\n', ("line[1].quantity", "missing")),
        (HEAD + '[[line]]\nproject = "mat.toml"\nquantity = 0\n', ("line[1].quantity", "from 1")),
        (HEAD + '[[line]]\nproject = "mat.toml"\nquantity = 2.5\n', ("line[1].quantity", "whole number")),
        (HEAD + '[[line]]\nproject = "mat.toml"\nquantity = true\n', ("line[1].quantity", "whole number")),
        (HEAD + '[[line]]\nproject = "mat.toml"\nquantity = 1000000000\n', ("line[1].quantity", "100000")),
        (HEAD + "[[line]]\nquantity = 1\n", ("line[1].project", "missing")),
        (HEAD + '[[line]]\nproject = "mut.toml"\nquantity = 1\n', ("line[1].project", "mut.toml")),
        (HEAD + LINE + 'due = "2027-03-31"\n', ("line[1].due", "without quotation marks")),
        (HEAD + LINE + "due = 2027-03-31T10:00:00\n", ("line[1].due", "date")),
        (HEAD + LINE + "due = 0\n", ("line[1].due", "rank")),
        (HEAD + LINE + "due = 1\n" + LINE + "due = 2027-03-31\n", ("line[1].due", "dates for all")),
        (HEAD + LINE + "spares = -5\n", ("line[1].spares", "from 0")),
        (HEAD + LINE + 'spares = "5 %"\n', ("line[1].spares", "number")),
        (HEAD + LINE + "spares = nan\n", ("line[1].spares", "finite")),
        (HEAD + LINE + 'one_hide = "yes"\n', ("line[1].one_hide", "true or false")),
        (HEAD + LINE + 'thickness = "10-11"\n', ("line[1].thickness", "unit")),
        (HEAD + LINE + "thickness = [5, 4]\n", ("line[1].thickness",)),
        (HEAD + LINE + "leather = 3\n", ("line[1].leather", "text")),
        (HEAD + 'credit = { per_area = -1, unit = "sq ft", currency = "USD" }\n' + LINE, ("credit.per_area", "from 0")),
        (HEAD + 'credit = { per_area = 1, unit = "acre", currency = "USD" }\n' + LINE, ("credit.unit", "sq ft")),
        (HEAD + 'credit = { per_area = 1, unit = 2, currency = "USD" }\n' + LINE, ("credit.unit",)),
        (HEAD + 'credit = { per_area = 1, unit = "sq ft" }\n' + LINE, ("credit.currency", "missing")),
        (HEAD + 'credit = { price = 1, unit = "sq ft", currency = "USD" }\n' + LINE, ("credit", "price")),
        (HEAD + "credit = 3\n" + LINE, ("credit", "table")),
        (HEAD + LINE + "[[line]\n", ("TOML",)),
    ],
)
def test_what_cannot_be_used_is_told_in_one_line(order, text: str, names: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    path = order(text)
    with pytest.raises(InputError) as caught:
        read_order(path)
    message = str(caught.value)
    assert "\n" not in message
    assert message.startswith(str(path))
    for name in names:
        assert name in message


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"[" * 100_000])
def test_a_file_that_is_no_text_or_no_toml_is_told(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "order.toml"
    path.write_bytes(content)
    with pytest.raises(InputError):
        read_order(path)


def test_a_file_larger_than_orders_are_is_told(tmp_path: Path) -> None:
    (tmp_path / "order.toml").write_text("#" * 1_000_001)
    with pytest.raises(InputError, match="larger than 1 MB"):
        read_order(tmp_path / "order.toml")


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"cannot be read"):
        read_order(tmp_path / "none.toml")
    with pytest.raises(InputError, match=r"cannot be read"):
        read_order(tmp_path)
