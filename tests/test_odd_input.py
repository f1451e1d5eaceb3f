"""Odd input gets one clear line: digits that are no digits, numbers without end, names that are no text."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from hides.drawing.reading import drawing_from_bytes
from hides.errors import InputError
from hides.fields import whole_number
from hides.json_text import parse_json
from hides.whole_file import write_whole
from nesting.batch.workers import workers
from nesting.commands import main
from nesting.model.settings import never
from nesting.page.bench_hide import hide_of
from nesting.page.drafts import drop_draft, new_draft, read_draft
from nesting.page.errors import Refusal
from nesting.page.folder import Folder
from nesting.page.intake import parse_json as parse_body
from nesting.page.projects import form_text, product_from_text

NO_NUMBERS = ["²", "9" * 5000, "-1", "½", "१२", ""]


@pytest.mark.parametrize("text", NO_NUMBERS)
def test_what_is_no_plain_whole_number_is_none(text: str) -> None:
    assert whole_number(text) is None


@pytest.mark.parametrize("text", ["²", "9" * 5000])
@pytest.mark.parametrize("option", [["yield", "h.json", "p.toml", "--seed"], ["compare", "p", "l", "--batch"]])
def test_options_refuse_odd_digits(option: list[str], text: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*option, text]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


def test_a_command_there_is_not_is_told_with_those_there_are(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["cards"]) == 2
    told = capsys.readouterr().err
    assert told.startswith("hideplan: there is no command “cards”; give one of trace, yield, ")


@pytest.mark.parametrize("text", ["²", "9" * 5000, "0", "257"])
def test_workers_refuse_odd_digits(text: str) -> None:
    with pytest.raises(InputError, match="no number of processes"), workers(text, never):
        pass


@pytest.mark.parametrize(
    "inner",
    [
        '<rect transform="rotate(1e999)" width="5" height="5"/>',
        '<rect transform="skewX(1e999)" width="5" height="5"/>',
        '<rect transform="matrix(1e300 0 0 1e300 0 0)" width="5" height="5"/>',
        '<g transform="scale(1e9)"><g transform="scale(1e9)"><circle r="5"/></g></g>',
        '<rect width="1e999" height="5"/>',
        '<polygon points="0,0 1e400,0 5,5"/>',
        '<path d="M0 0 A 5 5 1e999 0 1 9 9 z"/>',
        '<path d="M0 0 A 1e999 5 0 0 1 9 9 z"/>',
        '<path d="M0 0 A 5 5 0 0 1 1e999 9 z"/>',
        '<path d="M0 0 L 1e999 9 z"/>',
        '<path d="M0 0 L 1e300 9 1 1z"/>',
    ],
)
def test_a_drawing_beyond_all_measure_is_told(inner: str) -> None:
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" viewBox="0 0 90 90">{inner}</svg>'
    with pytest.raises(InputError):
        drawing_from_bytes(svg.encode(), "odd.svg")


def test_a_hide_named_by_a_nought_byte_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = 'format = "hideplan-leathers-1"\n[[leather]]\nname = "a"\nhides = ["\\u0000"]\n'
    (tmp_path / "leathers.toml").write_text(text)
    (tmp_path / "p.toml").write_text(
        'format = "hideplan-project-1"\nname = "p"\n[[piece]]\nname = "a"\ncount = 1\nshape = { rectangle = [9, 9] }\n'
    )
    assert main(["compare", str(tmp_path / "p.toml"), str(tmp_path / "leathers.toml")]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


@pytest.mark.skipif(sys.platform != "linux", reason="file names are text elsewhere")
def test_a_file_name_that_is_no_utf8_can_be_written_to(tmp_path: Path) -> None:
    write_whole(Path(os.fsdecode(os.fsencode(tmp_path) + b"/\xff.json")), json.dumps("\udcff", ensure_ascii=False))
    assert (os.fsencode(tmp_path) + b"/\xff.json") in [os.fsencode(each) for each in tmp_path.iterdir()]
    told = subprocess.run(
        [sys.executable, "-m", "nesting", "check", b"\xff.json"], capture_output=True, cwd=tmp_path, check=False,
        env={**os.environ, "PYTHONPATH": os.getcwd()},
    )  # fmt: skip
    assert told.returncode == 2
    assert b"Traceback" not in told.stderr


@pytest.mark.parametrize("text", ['"\\ud800"', '{"name": "\\udfff"}', "1e999", "[-1e999]", "NaN"])
def test_json_without_sense_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        parse_json(text)
    with pytest.raises(Refusal):
        parse_body(text.encode())


def test_whole_characters_by_two_escapes_are_read() -> None:
    assert parse_json('"\\ud83d\\ude00"') == "\U0001f600"


def test_a_hide_of_the_page_with_a_number_for_flaws_is_told() -> None:
    with pytest.raises(InputError):
        hide_of({"name": "a", "outline": [[0, 0], [9, 0], [9, 9]], "flaws": 5})


@pytest.mark.parametrize("photo", ["text", 5, ["a"]])
def test_a_draft_with_an_odd_photo_can_be_thrown_away(photo: object, tmp_path: Path) -> None:
    folder = Folder(tmp_path)
    made = new_draft(folder, {"photo": photo})
    drop_draft(folder, made["id"])
    with pytest.raises(Refusal):
        read_draft(folder, made["id"])


def test_a_kept_draft_with_an_infinite_number_is_told_and_can_be_thrown_away(tmp_path: Path) -> None:
    folder = Folder(tmp_path)
    made = new_draft(folder, {"edge": float("inf")})
    with pytest.raises(Refusal):
        read_draft(folder, made["id"])
    drop_draft(folder, made["id"])


@pytest.mark.parametrize(("text", "side"), [(".5", 0.5), ("5.", 5.0), ("05", 5.0), ("1e2", 100.0), ("+7", 7.0)])
def test_form_numbers_as_people_write_them(text: str, side: float, tmp_path: Path) -> None:
    form = {"name": "p", "pieces": [{"name": "a", "count": 1, "width": text, "length": "9"}]}
    product = product_from_text(Folder(tmp_path), form_text(form), "p")
    x0, y0, x1, y1 = product.pieces[0].polygon.bounds
    assert sorted((x1 - x0, y1 - y0)) == sorted((side, 9.0))


def test_a_count_of_thousands_of_digits_is_told() -> None:
    form = {"name": "p", "pieces": [{"name": "a", "count": "9" * 5000, "width": "9", "length": "9"}]}
    with pytest.raises(Refusal, match="whole number"):
        form_text(form)


@pytest.mark.parametrize("first", range(0, 300, 50))
def test_mutated_files_are_read_or_told_in_one_line(first: int) -> None:
    from scripts.attack_mutations import case

    assert [told for seed in range(first, first + 50) if (told := case(seed))] == []


@pytest.mark.parametrize("seed", [1742, 4127, 4796, 4829, 8745])
def test_mutated_files_that_once_ended_in_a_traceback(seed: int) -> None:
    from scripts.attack_mutations import case

    assert case(seed) is None


def test_an_entity_of_an_unknown_kind_is_told(tmp_path: Path) -> None:
    import ezdxf

    drawing = ezdxf.new(units=4)  # type: ignore[attr-defined]
    drawing.modelspace().add_circle((0, 0), 8)
    drawing.saveas(tmp_path / "a.dxf")
    content = (tmp_path / "a.dxf").read_bytes().replace(b"\nCIRCLE\n", b"\nCIRCLEE\n")
    with pytest.raises(InputError, match="holds no shape"):
        drawing_from_bytes(content, "a.dxf")
