"""Routes by which a hide comes in, is looked over, and is kept."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from hides.drawing import SUFFIXES, drawing_from_bytes
from hides.hide_file import hide_from_data, hide_to_data, read_hide
from hides.offsets import MOST_BYTES as OFFSETS_BYTES
from hides.offsets import offsets_from_bytes
from hides.typical import typical_hide
from nesting.page.answers import download, folder_of
from nesting.page.bench_hide import bench_data, hide_of
from nesting.page.drafts import read_draft
from nesting.page.errors import Refusal
from nesting.page.flat_photos import with_photo
from nesting.page.folder import Folder
from nesting.page.intake import FILE_BYTES, JSON_BYTES, file_name, parse_json, read_bytes, read_json

MOST_SHAPES = 2000


async def read_hide_file(request: Request) -> Response:
    """A hide file that was handed in."""
    name = file_name(request, ".json")
    data = parse_json(await read_bytes(request, JSON_BYTES))
    return JSONResponse(bench_data(await run_in_threadpool(hide_from_data, data, name)))


async def open_hide_file(request: Request) -> Response:
    """A hide file from the folder."""
    path = folder_of(request).existing(request.path_params["file"], ".json")
    if path.stat().st_size > JSON_BYTES:
        raise Refusal(413, f"“{path.name}” is too large to be opened here")
    return JSONResponse(bench_data(await run_in_threadpool(read_hide, path)))


async def keep_hide_file(request: Request) -> Response:
    """Save the hide in the folder."""
    body = await read_json(request)
    folder, name = folder_of(request), str(body.get("file", ""))
    replace = body.get("replace") is True
    path = await run_in_threadpool(_kept, folder, name, body, replace)
    return JSONResponse({"file": path.name})


async def check_hide(request: Request) -> Response:
    """Whether the hide could be saved; the answer names what is wrong."""
    hide = await run_in_threadpool(hide_of, (await read_json(request)).get("hide"))
    return JSONResponse({"measured": hide.measured_area})


async def give_hide_file(request: Request) -> Response:
    """The draft's hide as a file to download."""
    draft = await run_in_threadpool(read_draft, folder_of(request), request.path_params["draft"])
    hide = draft["content"].get("hide")
    text = await run_in_threadpool(_file_text, hide)
    return download(f"{hide.get('name') or 'hide'}.json", text, "application/json")


async def make_typical(request: Request) -> Response:
    """A typical outline from cut and marked area."""
    body = await read_json(request)
    cut, area = str(body.get("cut", "")), str(body.get("area", ""))
    return JSONResponse(bench_data(await run_in_threadpool(typical_hide, cut, area)))


async def make_from_offsets(request: Request) -> Response:
    """A hide from a typed table of offsets."""
    table = _offsets_table(await read_json(request))
    return JSONResponse(bench_data(await run_in_threadpool(offsets_from_bytes, table, "the table")))


async def read_offsets_file(request: Request) -> Response:
    """A hide from a table of offsets in a file."""
    name = file_name(request, ".csv", ".txt")
    content = await read_bytes(request, OFFSETS_BYTES)
    return JSONResponse(bench_data(await run_in_threadpool(offsets_from_bytes, content, name)))


async def read_drawing_file(request: Request) -> Response:
    """The lines of a DXF or SVG drawing."""
    name = file_name(request, *SUFFIXES)
    content = await read_bytes(request, FILE_BYTES)
    units = request.query_params.get("units") or None
    return JSONResponse(await run_in_threadpool(_shapes_of, name, content, units))


def _kept(folder: Folder, name: str, body: dict[str, object], replace: bool) -> Path:
    """The hide file, once it is known to be good; its photo lies beside it before it names it."""
    _file_text(body.get("hide"))
    if folder.file(name, ".json").exists() and not replace:
        raise Refusal(409, f"“{name}” is in the folder already")
    hide = with_photo(folder, body.get("hide"), name, body.get("photo"))
    return folder.save_new(name, _file_text(hide), ".json", replace=replace)


def _file_text(hide: object) -> str:
    return json.dumps(hide_to_data(hide_of(hide)), indent=1, ensure_ascii=False) + "\n"


def _offsets_table(body: dict[str, object]) -> bytes:
    """The typed table as the CSV that `hides.offsets` reads; a side nobody filled in is left out."""
    rows = body.get("rows")
    if not isinstance(rows, list) or not all(isinstance(row, list) and len(row) == 3 for row in rows):
        raise Refusal(400, "rows of station, left and right are expected")
    sides = [place for place in (1, 2) if any(str(row[place]).strip() for row in rows)]
    if len(rows) < 2 or not sides:
        raise Refusal(422, "the table: give at least two stations with a distance to the edge")
    names = ("station", "left", "right")
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(["name", str(body.get("name") or "Measured hide")])
    writer.writerow(["cut", "side" if len(sides) == 1 else "hide"])
    writer.writerow(["units", str(body.get("units") or "mm")])
    writer.writerow([names[place] for place in (0, *sides)])
    writer.writerows([str(row[place]).strip() for place in (0, *sides)] for row in rows)
    return stream.getvalue().encode()


def _shapes_of(name: str, content: bytes, units: str | None) -> dict[str, object]:
    """Every line of a drawing with the names it goes by, for the person to say which is what."""
    drawing = drawing_from_bytes(content, name, units=units)
    if len(drawing.shapes) > MOST_SHAPES:
        raise Refusal(422, f"{name}: {len(drawing.shapes)} lines are too many; leave only the hide in the drawing")
    shapes = [
        {"name": shape.names.told.strip("“”"), "closed": shape.closed, "points": [[x, y] for x, y in shape.points]}
        for shape in drawing.shapes
    ]
    return {"shapes": shapes, "findings": [str(finding) for finding in drawing.findings]}


ROUTES = [
    Route("/api/read/hide", read_hide_file, methods=["POST"]),
    Route("/api/read/typical", make_typical, methods=["POST"]),
    Route("/api/read/offsets", make_from_offsets, methods=["POST"]),
    Route("/api/read/offsets-file", read_offsets_file, methods=["POST"]),
    Route("/api/read/drawing", read_drawing_file, methods=["POST"]),
    Route("/api/hides", keep_hide_file, methods=["POST"]),
    Route("/api/hides/check", check_hide, methods=["POST"]),
    Route("/api/hides/{file}", open_hide_file),
    Route("/api/drafts/{draft}/hide.json", give_hide_file),
]
