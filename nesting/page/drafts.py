"""Drafts: what a tab works on, kept after every change so that a reload, a crash or a closed lid loses nothing.

Every save names the revision it started from. A save from an older one (another tab was faster) is refused, so
that no tab overwrites what another has done. Hides on the bench are kept as `drafts`, products as `products`.
"""

from __future__ import annotations

import json
import threading
from typing import Any

from hides.errors import InputError
from hides.json_text import parse_json
from hides.whole_file import write_whole
from nesting.page.errors import Refusal
from nesting.page.folder import IDENTITY, PHOTO_FILES, Folder, new_identity

_ONE_AT_A_TIME = threading.Lock()


def new_draft(folder: Folder, content: dict[str, Any], kind: str = "drafts") -> dict[str, Any]:
    """Keep a new draft; the answer has its `id` and `revision`."""
    identity = new_identity()
    _write(folder, identity, 1, content, kind)
    return {"id": identity, "revision": 1}


def read_draft(folder: Folder, identity: str, kind: str = "drafts") -> dict[str, Any]:
    """A draft: `id`, `revision`, `content`."""
    path = folder.kept(kind, identity, ".json")
    try:
        kept = parse_json(path.read_bytes(), path.name)
        return {"id": identity, "revision": int(kept["revision"]), "content": dict(kept["content"])}
    except FileNotFoundError as error:
        raise Refusal(404, "this draft is not in the folder any more") from error
    except (InputError, OSError, ValueError, KeyError, TypeError) as error:
        raise Refusal(422, f"the draft {path.name} cannot be read") from error


def save_draft(
    folder: Folder, identity: str, revision: int, content: dict[str, Any], kind: str = "drafts"
) -> dict[str, Any]:
    """Keep a change made to the given revision; Refusal 409 where that is not the newest."""
    with _ONE_AT_A_TIME:
        newest = read_draft(folder, identity, kind)["revision"]
        if revision != newest:
            raise Refusal(409, "this draft was changed in another tab")
        _write(folder, identity, newest + 1, content, kind)
    return {"id": identity, "revision": newest + 1}


def drop_draft(folder: Folder, identity: str) -> None:
    """Throw a draft away, and its photo unless another draft shows the same."""
    path = folder.kept("drafts", identity, ".json")
    try:
        shown = read_draft(folder, identity)["content"].get("photo")
        photo = str(shown.get("id", "")) if isinstance(shown, dict) else ""
    except Refusal:
        photo = ""
    path.unlink(missing_ok=True)
    if IDENTITY.fullmatch(photo) and not any(photo in each.read_text() for each in folder.all_kept("drafts", ".json")):
        for ending in PHOTO_FILES:
            folder.kept("photos", photo, ending).unlink(missing_ok=True)


def list_drafts(folder: Folder) -> list[dict[str, Any]]:
    """The twenty drafts changed last: id, name of the hide, when (seconds since 1970)."""
    lines = []
    for path in folder.all_kept("drafts", ".json")[:20]:
        try:
            hide = json.loads(path.read_bytes())["content"].get("hide", {})
            name = str(hide.get("name", ""))[:80]
        except (OSError, ValueError, KeyError, AttributeError):
            continue
        lines.append({"id": path.stem, "name": name, "changed": int(path.stat().st_mtime)})
    return lines


def _write(folder: Folder, identity: str, revision: int, content: dict[str, Any], kind: str) -> None:
    text = json.dumps({"format": "hideplan-draft-1", "revision": revision, "content": content}, ensure_ascii=False)
    write_whole(folder.kept(kind, identity, ".json"), text)
