"""Routes for the shelf: the register of hides and offcuts, or the folder's hide files where there is no register."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from hides.errors import InputError
from hides.hide import Hide
from hides.hide_file import read_hide
from hides.stock import Change, Status, Stock, StockHide, open_stock
from hides.stock.listing import Entry, entries
from hides.stock.picture import picture
from nesting.page.answers import folder_of
from nesting.page.bench_hide import bench_data
from nesting.page.errors import Refusal
from nesting.page.folder import Folder
from nesting.page.intake import read_json
from nesting.stock.books import books_text
from nesting.stock.table import NOTHING, details, sums

REGISTER = "hides.stock"
SHOWN = (
    *("cut", "grade", "thickness", "area left", "area marked", "cost", "leather", "lot", "flaws", "from"),
    *("kept for", "note"),
)
MOST_TEXT = 200
LAST_CHANGES = 12
ACTIONS = ("add", "take", "back", "undo", "redo", "sell", "lose", "reserve", "note", "correct")
PLACES = (Status.IN, Status.OUT, Status.CUT, Status.SOLD, Status.LOST)


async def show_stock(request: Request) -> Response:
    """What is on the shelf, and the latest changes."""
    return JSONResponse(await run_in_threadpool(stock_data, folder_of(request)))


async def change_stock(request: Request) -> Response:
    """One change to the register, as `hideplan stock` makes it.

    `text` is whom hides are kept for, the note on them, or the file that describes one anew.
    """
    action = request.path_params["action"]
    if action not in ACTIONS:
        raise Refusal(404, "there is no such change")
    body = await read_json(request)
    names, text = body.get("names", []), " ".join(str(body.get("text") or "").split())[:MOST_TEXT]
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        raise Refusal(400, "the names of hides are expected as a list")
    folder = folder_of(request)
    told = await run_in_threadpool(_change, folder, action, names, text)
    return JSONResponse({"told": told, **await run_in_threadpool(stock_data, folder)})


async def show_picture(request: Request) -> Response:
    """A small picture of a hide on the shelf: by its number in the register, or its file."""
    hide = await run_in_threadpool(_hide, folder_of(request), request.path_params["hide"])
    return Response(picture(hide, 300, 190), media_type="image/svg+xml")


async def give_hide(request: Request) -> Response:
    """A hide on the shelf, for the bench."""
    return JSONResponse(bench_data(await run_in_threadpool(_hide, folder_of(request), request.path_params["hide"])))


async def give_layout(request: Request) -> Response:
    """The layout that a hide of the register was cut by."""
    text = await run_in_threadpool(_layout, folder_of(request), request.path_params["hide"])
    headers = {"content-disposition": f'attachment; filename="layout-{request.path_params["hide"]}.json"'}
    return Response(text, media_type="application/json", headers=headers)


def register_path(folder: Folder) -> Path:
    """Where the folder's register lies (or would)."""
    return folder.path / REGISTER


def stock_data(folder: Folder) -> dict[str, Any]:
    """The shelf as the page shows it."""
    if not register_path(folder).is_file():
        found, damaged = _files(folder)
        return {**_shelf(found, damaged), "register": None, "changes": []}
    with open_stock(register_path(folder)) as stock:
        found, damaged = entries(stock, PLACES)
        books = books_text(stock.books())
        changes = [_change_data(change) for change in stock.history()[-LAST_CHANGES:]]
    files = [line["file"] for line in folder.hides()]
    return {**_shelf(found, damaged), "register": REGISTER, "changes": changes[::-1], "books": books, "files": files}


def _shelf(found: Sequence[Entry], damaged: Sequence[InputError]) -> dict[str, Any]:
    hides = [
        {
            **entry.to_data(),
            "key": shelf_key(entry.stock_hide),
            "details": [pair for pair in details(entry) if pair[0] in SHOWN and pair[1] != NOTHING],
        }
        for entry in found
    ]
    return {"hides": hides, "sums": sums(found), "damaged": [str(error) for error in damaged]}


def _files(folder: Folder) -> tuple[list[Entry], list[InputError]]:
    found, damaged = [], []
    for line in folder.hides():
        try:
            hide = read_hide(folder.path / line["file"])
        except InputError as error:
            damaged.append(error)
            continue
        found.append(Entry(StockHide(0, hide, source=line["file"]), hide.measured_area))
    return found, damaged


def shelf_key(own: StockHide) -> str:
    """What the hide is asked for by: its number in the register, or its file."""
    return str(own.id) if own.id else Path(own.source).name


def _hide(folder: Folder, key: str) -> Hide:
    if not key.isdecimal():
        return read_hide(folder.existing(key, ".json"))
    if not register_path(folder).is_file():
        raise Refusal(404, "there is no register in the folder")
    with open_stock(register_path(folder)) as stock:
        hide: Hide = stock.find(key).read(stock.where).hide
        return hide


def _layout(folder: Folder, key: str) -> str:
    if not key.isdecimal() or not register_path(folder).is_file():
        raise Refusal(404, "there is no such hide in a register of the folder")
    with open_stock(register_path(folder)) as stock:
        text = stock.layout(stock.find(f"#{key}").id)
    if text is None:
        raise Refusal(404, "this hide has not been cut by a layout")
    return text


def _change(folder: Folder, action: str, names: list[str], text: str) -> str:
    with open_stock(register_path(folder), create=action == "add") as stock:
        if action == "add":
            return _add(folder, stock)
        if action == "correct":
            if len(names) != 1:
                raise Refusal(400, "one hide at a time is described anew")
            number = stock.correct(names[0], read_hide(folder.existing(text, ".json")), text)
        elif action in ("reserve", "note"):
            number = stock.remark(names, "reserved" if action == "reserve" else "note", text)
        else:
            number = _MOVES[action](stock, names)
        change = next(change for change in stock.history() if change.id == number)
        return ", ".join(step.name for step in change.steps)


_MOVES: dict[str, Callable[[Stock, list[str]], int]] = {
    "take": Stock.take,
    "back": Stock.put_back,
    "sell": Stock.sell,
    "lose": Stock.lose,
    "undo": lambda stock, _: stock.undo(),
    "redo": lambda stock, _: stock.redo(),
}


def _add(folder: Folder, stock: Stock) -> str:
    hides = [(read_hide(folder.path / line["file"]), line["file"]) for line in folder.hides()]
    if not hides:
        raise Refusal(422, "there are no hide files in the folder to put on the register")
    done = stock.add(hides)
    return f"{len(done.added)} put on the register, {len(done.known)} were there already"


def _change_data(change: Change) -> dict[str, Any]:
    return {
        "change": change.id,
        "at": change.at,
        "kind": change.kind,
        "note": change.note,
        "in_force": change.in_force,
        "hides": [step.name for step in change.steps],
    }


ROUTES = [
    Route("/api/stock", show_stock),
    Route("/api/stock/{action}", change_stock, methods=["POST"]),
    Route("/api/shelf/{hide}/picture.svg", show_picture),
    Route("/api/shelf/{hide}/layout.json", give_layout),
    Route("/api/shelf/{hide}", give_hide),
]
