"""What the compare tab asks for, as values; and what is kept of a comparison."""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hides.fields import whole_number
from hides.whole_file import write_whole
from nesting.compare.comparison import compare
from nesting.compare.data import comparison_csv, comparison_data, comparison_json
from nesting.compare.leather import Leather
from nesting.compare.leathers_file import read_leathers
from nesting.compare.sheet import comparison_pdf
from nesting.model.settings import Settings, Watch
from nesting.page.errors import Refusal
from nesting.page.folder import Folder
from nesting.page.intake import NAME
from nesting.page.planning import read_settings
from nesting.page.projects import refuse_outside
from nesting.project.project_file import read_product

LARGEST_BATCH = 100_000
MOST_SEEDS = 20


@dataclass(frozen=True)
class Question:
    """A product, the leathers to try it in, the batch, and how to search: what `hideplan compare` is given."""

    project: str
    leathers: tuple[Leather, ...]
    batch: int
    settings: Settings
    seeds: int = 1


@dataclass(frozen=True)
class Answer:
    """A comparison as data and as the files a person can keep."""

    data: dict[str, Any]
    files: dict[str, bytes]


def read_question(folder: Folder, body: dict[str, Any]) -> Question:
    """The question in a request's body; Refusal or InputError where it cannot be answered."""
    for name, words in (("project", "project"), ("leathers", "leathers file")):
        if not body.get(name):
            raise Refusal(422, f"choose a {words} first")
    project = folder.existing(str(body["project"]), ".toml")
    refuse_outside(project.read_bytes(), project.name)
    leathers = _leathers(folder, str(body["leathers"]))
    read_product(project, leathers[0].thickness.middle)
    batch = _count(body.get("batch"), "batch", LARGEST_BATCH)
    seeds = _count(body.get("seeds", "1"), "number of seeds", MOST_SEEDS)
    return Question(str(project), leathers, batch, read_settings({"edge": "", **body}), seeds)


def answer(question: Question, watch: Watch) -> Answer:
    """Compare; runs in the solver's process."""
    found = compare(question.project, question.leathers, question.settings, watch, question.batch, seeds=question.seeds)
    files = {"csv": comparison_csv(found).encode(), "json": comparison_json(found).encode()}
    if found.by_cost:
        files["pdf"] = comparison_pdf(found)
    return Answer(comparison_data(found), files)


def keep_answer(folder: Folder, identity: str, found: Answer) -> None:
    """Keep a comparison and its files."""
    for ending, content in found.files.items():
        write_whole(file_path(folder, identity, ending), content)
    shown = {"id": identity, "state": "done", "comparison": found.data, "files": sorted(found.files)}
    write_whole(folder.kept("answers", identity, ".json"), json.dumps(shown))


def file_path(folder: Folder, identity: str, ending: str) -> Path:
    """Where a file of a comparison lies."""
    return folder.kept("comparisons", identity, f".{ending}")


def refuse_elsewhere(text: bytes, name: str) -> None:
    """Refuse a leathers file whose sample hides lie outside the folder."""
    try:
        told = tomllib.loads(text.decode()).get("leather", [])
    except (ValueError, RecursionError) as error:
        raise Refusal(422, f"{name}: this is no TOML that can be read ({str(error)[:120]})") from error
    for leather in told if isinstance(told, list) else []:
        hides = leather.get("hides", []) if isinstance(leather, dict) else []
        for hide in hides if isinstance(hides, list) else [hides]:
            if not NAME.fullmatch(str(hide)) or ".." in str(hide):
                raise Refusal(422, f"{name}: the hide “{str(hide)[:60]}” must lie right in the folder")


def _leathers(folder: Folder, file: str) -> tuple[Leather, ...]:
    path = folder.existing(file, ".toml")
    refuse_elsewhere(path.read_bytes(), path.name)
    return read_leathers(path)


def _count(value: object, name: str, most: int) -> int:
    told = str(value or "").strip()
    number = whole_number(told)
    if number is None or not 1 <= number <= most:
        raise Refusal(422, f"the {name} “{told[:20]}” must be a whole number from 1 to {most}")
    return number
