"""Photos laid flat: kept beside the hide file they belong to, shown, and put under a sheet."""

from __future__ import annotations

import json
from collections.abc import Mapping
from itertools import chain, count
from pathlib import Path
from typing import Any

import numpy as np

from hides.photo import FlatPicture, open_photo
from nesting.page import pictures
from nesting.page.errors import Refusal
from nesting.page.folder import IDENTITY, Folder

PICTURES = (".jpg", ".jpeg", ".png")


def with_photo(folder: Folder, hide: Any, file: str, photo: Any) -> Any:
    """The bench's hide with its photo kept beside the file it is to be saved as, where its marks are set.

    A picture there that is not that hide file's own, say the photo as it was taken, is left as it is.
    """
    if not isinstance(photo, dict) or not isinstance(hide, dict):
        return hide
    floor = pictures.read_marks(folder, str(photo.get("id", "")), photo)
    path, box = pictures.flat_file(folder, str(photo["id"]), floor)
    kept = folder.save_new(_free_name(folder, file), path.read_bytes(), ".jpg", replace=True)
    return {**hide, "photo": {"file": kept.name, "box": list(box)}}


def _free_name(folder: Folder, file: str) -> str:
    """A picture's name beside a hide file: what the file names already, or one that nothing in the folder has."""
    stem, own = Path(file).stem, _named_photo(folder.file(file, ".json"))
    names = chain((f"{stem}.jpg", f"{stem} flat.jpg"), (f"{stem} flat {n}.jpg" for n in count(2)))
    return next(name for name in names if name == own or not folder.file(name, ".jpg").exists())


def _named_photo(path: Path) -> str | None:
    """The picture that a hide file names; None where there is no such file, or it names none."""
    try:
        return str(json.loads(path.read_bytes())["photo"]["file"])
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None


def photo_path(folder: Folder, name: str) -> Path:
    """A photo laid flat by its name: one of the page's own, or a picture in the folder."""
    if IDENTITY.fullmatch(name):
        path = folder.kept("photos", name, ".flat.jpg")
        if path.is_file():
            return path
        raise Refusal(404, "this photo is not in the folder any more; bring it in again")
    return folder.existing(name, *PICTURES)


def photo_asked(folder: Folder, told: Mapping[str, str]) -> FlatPicture | None:
    """The photo that a sheet is asked to lie over (`photo` and `box`: left, low, right, high, mm), or None."""
    if not told.get("photo"):
        return None
    try:
        left, low, right, high = (float(each) for each in told.get("box", "").split(","))
    except ValueError as error:
        raise Refusal(400, "the box of the photo is expected as four numbers") from error
    if not (-1e6 < left < right < 1e6 and -1e6 < low < high < 1e6):
        raise Refusal(422, "the box of the photo is none")
    path = photo_path(folder, told["photo"])
    return FlatPicture(np.asarray(open_photo(path.read_bytes(), path.name).image), (left, low, right, high))
