"""Routes of the product bench: a project's text, changes to it, and what it makes."""

from __future__ import annotations

import json
import tempfile
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from hides.errors import InputError
from hides.units import thickness
from nesting.drawing.sheet_style import SheetStyle
from nesting.page.answers import download, folder_of
from nesting.page.downloads import style_in
from nesting.page.drafts import new_draft, read_draft, save_draft
from nesting.page.errors import Refusal
from nesting.page.folder import Folder
from nesting.page.intake import FILE_BYTES, file_name, read_bytes, read_json
from nesting.page.product_edits import changed_text, new_text
from nesting.page.product_told import told
from nesting.page.projects import LOOKED_OVER_AT, keep_project, product_from_text, refuse_outside
from nesting.project.differences import differences
from nesting.project.editing import read_text

KIND = "products"
NAMELESS = "the product.toml"


async def show_products(request: Request) -> Response:
    """The products in the folder and those being worked on."""
    folder = folder_of(request)
    drafts = await run_in_threadpool(_drafts, folder)
    return JSONResponse({"files": await run_in_threadpool(folder.projects), "drafts": drafts})


async def make_product(request: Request) -> Response:
    """Put a product on the bench: a new one, or one from a file of the folder."""
    body = await read_json(request)
    return JSONResponse(await run_in_threadpool(_begun, folder_of(request), body), 201)


async def show_product(request: Request) -> Response:
    """A product on the bench, as it is kept."""
    return JSONResponse(await run_in_threadpool(read_draft, folder_of(request), request.path_params["product"], KIND))


async def keep_product(request: Request) -> Response:
    """Keep a change to a product on the bench."""
    body = await read_json(request)
    revision, content = body.get("revision"), body.get("content")
    if not isinstance(revision, int) or not isinstance(content, dict):
        raise Refusal(400, "a product needs its revision and its content")
    args = (folder_of(request), request.path_params["product"], revision, content, KIND)
    return JSONResponse(await run_in_threadpool(save_draft, *args))


async def remove_product(request: Request) -> Response:
    """Take a product off the bench; its file stays."""
    path = folder_of(request).kept(KIND, request.path_params["product"], ".json")
    path.unlink(missing_ok=True)
    return Response(status_code=204)


async def look_over(request: Request) -> Response:
    """What a text says: pieces, measures, joints, what is wrong."""
    body = await read_json(request)
    return JSONResponse(await run_in_threadpool(_told, folder_of(request), body, _text(body)))


async def change(request: Request) -> Response:
    """Make changes in a text; the new text, and what it says."""
    body = await read_json(request)
    text = await run_in_threadpool(changed_text, _text(body), body.get("edits"))
    shown = await run_in_threadpool(_told, folder_of(request), body, text)
    return JSONResponse({"text": text, "told": shown})


async def compare(request: Request) -> Response:
    """What two texts say differently, and the pieces of the former."""
    body = await read_json(request)
    now, before = read_text(_text(body)), read_text(_text(body, "before"))
    lines = [
        {"place": each.place, "field": each.field, "before": _worded(each.before), "after": _worded(each.after)}
        for each in differences(before, now)
    ]
    shown = await run_in_threadpool(_told, folder_of(request), body, _text(body, "before"))
    return JSONResponse({"differences": lines, "before": shown})


async def keep_file(request: Request) -> Response:
    """Keep a text as a project file, once it has been read without fault."""
    body = await read_json(request)
    folder, name, replace = folder_of(request), str(body.get("file", "")), body.get("replace") is True
    text = _text(body)
    path = await run_in_threadpool(lambda: keep_project(folder, name, text.encode(), replace=replace))
    return JSONResponse({"file": path.name}, 201)


async def bring_drawing(request: Request) -> Response:
    """Keep a drawing in the folder, once a piece could be read from it; `parts` names them where it has several."""
    name = file_name(request, ".dxf", ".svg")
    content = await read_bytes(request, FILE_BYTES)
    path, parts = await run_in_threadpool(_kept_drawing, folder_of(request), name, content)
    return JSONResponse({"file": path.name, **({"parts": parts} if parts else {})}, 201)


async def give_pattern(request: Request) -> Response:
    """The full-size pattern of a product on the bench."""
    folder, identity = folder_of(request), request.path_params["product"]
    t = _thickness(request.query_params.get("t", ""))
    name, content = await run_in_threadpool(_pattern, folder, identity, t, style_in(request.query_params))
    return download(f"{name} pattern.pdf", content, "application/pdf")


def _begun(folder: Folder, body: dict[str, Any]) -> dict[str, Any]:
    file = body.get("file")
    if file is None:
        content = {"text": new_text(body.get("units", "mm")), "file": "", "kept": "", "before": "", "aside": {}}
    else:
        text = _file_text(folder.existing(str(file), ".toml"))
        content = {"text": text, "file": str(file), "kept": text, "before": "", "aside": {}}
    return {**new_draft(folder, content, KIND), "content": content}


def _file_text(path: Path) -> str:
    if path.stat().st_size > FILE_BYTES:
        raise Refusal(413, f"“{path.name}” is too large for the bench")
    try:
        return path.read_bytes().decode("utf-8")
    except UnicodeDecodeError as error:
        raise Refusal(422, f"“{path.name}” is not UTF-8 text") from error


def _kept_drawing(folder: Folder, name: str, content: bytes) -> tuple[Path, list[str]]:
    from nesting.project.drawn_shape import drawn_shape, pieces_in  # ezdxf, which most products can do without

    with tempfile.NamedTemporaryFile(dir=folder.path, prefix=".drawing-", suffix=Path(name).suffix.lower()) as stream:
        stream.write(content)
        stream.flush()
        parts: list[str] = []
        try:
            drawn_shape(Path(stream.name), None, "mm", None)
        except InputError as error:
            with suppress(InputError):
                parts = pieces_in(Path(stream.name))
            if not parts:
                raise InputError(error.problem, where=name, field=error.field, remedy=error.remedy) from error
    there = folder.file(name)
    if there.exists() and there.read_bytes() == content:
        return there, parts
    return folder.save_new(name, content, ".dxf", ".svg", replace=False), parts


def _told(folder: Folder, body: dict[str, Any], text: str) -> dict[str, Any]:
    chosen = body.get("chosen")
    try:
        refuse_outside(text.encode(), NAMELESS)
    except Refusal as refusal:
        if "no TOML" not in refusal.problem:
            raise
    shown = told(
        text,
        folder.path / str(body.get("file") or NAMELESS),
        _thickness(body.get("t")),
        str(body.get("leather") or ""),
        chosen if isinstance(chosen, dict) else None,
    )
    plain: dict[str, Any] = json.loads(json.dumps(shown, default=str))
    return plain


def _pattern(folder: Folder, identity: str, t: float, style: SheetStyle) -> tuple[str, bytes]:
    """On the paper that was chosen, in the units of the product."""
    from nesting.drawing.canvas import pdf_bytes  # it brings matplotlib, which takes its time
    from nesting.drawing.piece_pattern import product_patterns

    content = read_draft(folder, identity, KIND)["content"]
    product = product_from_text(folder, str(content.get("text", "")).encode(), NAMELESS, t)
    pages = product_patterns((product,), replace(style, units=product.units))
    return product.name, pdf_bytes(pages, "Patterns at full size")


def _drafts(folder: Folder) -> list[dict[str, Any]]:
    lines = []
    for path in folder.all_kept(KIND, ".json")[:20]:
        try:
            content = read_draft(folder, path.stem, KIND)["content"]
            name = str(read_text(str(content.get("text", ""))).get("name", ""))
        except (InputError, Refusal):
            name = ""
        lines.append({"id": path.stem, "name": name[:80], "changed": int(path.stat().st_mtime)})
    return lines


def _text(body: dict[str, Any], name: str = "text") -> str:
    text = body.get(name)
    if not isinstance(text, str):
        raise Refusal(400, f"a product's {name} is expected")
    return text


def _thickness(told_value: object) -> float:
    """The thickness in mm: a number, or as people write it."""
    if isinstance(told_value, (int, float)) and 0 < told_value <= 50:
        return float(told_value)
    if isinstance(told_value, str) and told_value.strip():
        return thickness(told_value).middle
    return LOOKED_OVER_AT


def _worded(value: object) -> str:
    if value is None:
        return ""
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, default=str)[:200]


ROUTES = [
    Route("/api/products", show_products),
    Route("/api/products", make_product, methods=["POST"]),
    Route("/api/products/read", look_over, methods=["POST"]),
    Route("/api/products/change", change, methods=["POST"]),
    Route("/api/products/compare", compare, methods=["POST"]),
    Route("/api/products/keep", keep_file, methods=["POST"]),
    Route("/api/products/drawings", bring_drawing, methods=["POST"]),
    Route("/api/products/{product}", show_product),
    Route("/api/products/{product}", keep_product, methods=["PUT"]),
    Route("/api/products/{product}", remove_product, methods=["DELETE"]),
    Route("/api/products/{product}/pattern.pdf", give_pattern),
]
"""The `read`, `change`, `compare` and `keep` routes stand before those that take a product's name."""
