"""The one folder the page reads and writes.

Hide files (`*.json`) and project files (`*.toml`) lie right in it, for the person and the command line alike. What
the page keeps for itself (drafts, photos, layouts) lies in its hidden folder `.hideplan`.
"""

from __future__ import annotations

import json
import re
import secrets
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hides.whole_file import write_whole
from nesting.page.errors import Refusal
from nesting.page.intake import plain_name

KEPT = ".hideplan"
IDENTITY = re.compile(r"[0-9a-f]{12}")
PHOTO_FILES = (".photo", ".preview.jpg", ".size.json", ".camera.json")
LISTED_BYTES = 4 << 20
"""Larger JSON files are not opened merely to list them."""


def new_identity() -> str:
    """A name for a draft, photo or run."""
    return secrets.token_hex(6)


@dataclass(frozen=True)
class Folder:
    """Paths inside the chosen folder, and only there."""

    path: Path

    def file(self, name: str, *endings: str) -> Path:
        """A file right in the folder; Refusal where the name could mean anything else."""
        return self.path / plain_name(name, *endings)

    def existing(self, name: str, *endings: str) -> Path:
        """The same, for a file that must be there."""
        path = self.file(name, *endings)
        if not path.is_file():
            raise Refusal(404, f"there is no file “{path.name}” in the folder")
        return path

    def kept(self, kind: str, identity: str, ending: str) -> Path:
        """A file of the page's own: a draft, a photo, a layout."""
        if not IDENTITY.fullmatch(identity):
            raise Refusal(404, "there is nothing by this name")
        return self._place(kind) / f"{identity}{ending}"

    def _place(self, kind: str) -> Path:
        place = self.path / KEPT / kind
        try:
            place.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise Refusal(422, f"the folder {self.path} cannot be written ({error.strerror})") from error
        return place

    @property
    def desk(self) -> Path:
        """Where what lies on the desk is kept."""
        return self._place("") / "desk.json"

    def all_kept(self, kind: str, ending: str) -> list[Path]:
        """The page's own files of a kind, last changed first."""
        place = self.path / KEPT / kind
        found = [p for p in place.glob(f"*{ending}") if IDENTITY.fullmatch(p.name.removesuffix(ending))]
        return sorted(found, key=lambda p: (-p.stat().st_mtime, p.name))

    def save_new(self, name: str, content: bytes | str, *endings: str, replace: bool) -> Path:
        """Write a file right in the folder, whole or not at all; Refusal where it exists and may not be replaced."""
        path = self.file(name, *endings)
        if path.exists() and not replace:
            raise Refusal(409, f"“{path.name}” is in the folder already")
        write_whole(path, content)
        return path

    def hides(self) -> list[dict[str, Any]]:
        """Name, cut and marked area of every hide file in the folder."""
        found = (_hide_line(path) for path in sorted(self.path.glob("*.json")))
        return [line for line in found if line]

    def projects(self) -> list[str]:
        """The project files in the folder."""
        return self._toml(b"hideplan-project")

    def leathers(self) -> list[str]:
        """The leathers files in the folder."""
        return self._toml(b"hideplan-leathers")

    def _toml(self, word: bytes) -> list[str]:
        found = (path for path in self.path.glob("*.toml") if not path.name.startswith("."))
        return sorted(path.name for path in found if _says(path, word))


def _hide_line(path: Path) -> dict[str, Any] | None:
    if not _says(path, b"hideplan-hide"):
        return None
    try:
        data = json.loads(path.read_bytes())
        told = {key: str(data.get(key, "")) for key in ("name", "cut", "area", "thickness")}
    except (OSError, ValueError, AttributeError, RecursionError):
        return None
    return {"file": path.name, **told}


def _says(path: Path, word: bytes) -> bool:
    try:
        return path.stat().st_size <= LISTED_BYTES and word in path.read_bytes()
    except OSError:
        return False
