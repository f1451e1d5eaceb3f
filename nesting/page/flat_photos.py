"""Photos laid flat: kept beside the hide file they belong to, shown, and put under a sheet."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from hides.photo import FlatPicture, open_photo
from nesting.page import pictures
from nesting.page.errors import Refusal
from nesting.page.folder import IDENTITY, Folder

PICTURES = (".jpg", ".jpeg", ".png")


def with_photo(folder: Folder, hide: Any, file: str, photo: Any, *, replace: bool) -> Any:
    """The bench's hide with its photo kept beside the file it is to be saved as, where its marks are set."""
    if not isinstance(photo, dict) or not isinstance(hide, dict):
        return hide
    floor = pictures.read_marks(folder, str(photo.get("id", "")), photo)
    path, box = pictures.flat_file(folder, str(photo["id"]), floor)
    kept = folder.save_new(f"{Path(file).stem}.jpg", path.read_bytes(), ".jpg", replace=replace)
    return {**hide, "photo": {"file": kept.name, "box": list(box)}}


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
