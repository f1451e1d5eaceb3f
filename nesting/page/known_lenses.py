"""Lenses that eight marks have straightened, remembered for the next photo that was taken alike.

A camera's Exif data are kept beside its photo; what was found, in the page's own part of the folder, by a digest of
what makes two photos alike (`PhotoCamera.likeness`).
"""

from __future__ import annotations

import hashlib
import json
import math
from pathlib import Path
from typing import Any

from hides.photo import Lens, Photo
from hides.photo.lens import MOST
from hides.whole_file import write_whole
from nesting.page.errors import Refusal
from nesting.page.folder import Folder


def camera_told(folder: Folder, identity: str, photo: Photo) -> dict[str, Any]:
    """What the page is told of a photo's camera, and the bend of its lens where it is known; kept for `remember`."""
    if photo.camera is None:
        return {}
    told: dict[str, Any] = {"camera": photo.camera.words, "wide": photo.camera.ultra_wide}
    likeness = photo.camera.likeness(photo.size)
    if likeness is None:
        return told
    write_whole(folder.kept("photos", identity, ".camera.json"), json.dumps(likeness))
    known = _read(_place(folder, likeness))
    return told | {"alike": True} | ({} if known is None else {"known": known})


def remember(folder: Folder, identity: str, lens: Lens) -> None:
    """Keep the bend that eight marks found for photos taken alike; nothing where the photo does not say how."""
    likeness = _read(folder.kept("photos", identity, ".camera.json"))
    if isinstance(likeness, str):
        write_whole(_place(folder, likeness), json.dumps(lens.k))


def lens_given(k: Any, size: tuple[int, int]) -> Lens | None:
    """The lens of a request that names its bend; None where it names none."""
    if k is None:
        return None
    if isinstance(k, bool) or not isinstance(k, int | float) or not (math.isfinite(k) and abs(k) <= MOST):
        raise Refusal(422, f"the bend of a lens lies between -{MOST:g} and {MOST:g}")
    return Lens(float(k), size)


def _place(folder: Folder, likeness: str) -> Path:
    return folder.kept("lenses", hashlib.sha256(likeness.encode()).hexdigest()[:12], ".json")


def _read(path: Path) -> Any:
    try:
        return json.loads(path.read_bytes())
    except (OSError, ValueError):
        return None
