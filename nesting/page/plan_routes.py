"""Routes for projects, searches and their answers."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Mapping
from functools import partial
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from hides.errors import InputError
from hides.units import thickness
from nesting.model.layout import Layout
from nesting.page.answers import download, folder_of, runs_of
from nesting.page.cutting import tick_again
from nesting.page.downloads import Made, made, stem
from nesting.page.errors import Refusal
from nesting.page.flat_photos import photo_asked
from nesting.page.folder import Folder
from nesting.page.grounds import grounds
from nesting.page.intake import FILE_BYTES, file_name, read_bytes, read_json
from nesting.page.interlocking import interlock, interlock_svg
from nesting.page.moved import keep_moved
from nesting.page.planning import (
    YieldRequest,
    carry_out,
    judged,
    keep_layout,
    kept_answer,
    layout_path,
    product_lines,
    read_order,
)
from nesting.page.projects import LOOKED_OVER_AT, form_text, keep_project, product_in
from nesting.page.runs import Runs
from nesting.page.solver import Job
from nesting.result.answer import Shortage
from nesting.result.layout_file import read_layout


async def bring_project(request: Request) -> Response:
    """Keep a project file that was handed in."""
    name = file_name(request, ".toml")
    content = await read_bytes(request, FILE_BYTES)
    path = await run_in_threadpool(lambda: keep_project(folder_of(request), name, content, replace=True))
    return JSONResponse({"file": path.name}, 201)


async def keep_form(request: Request) -> Response:
    """Keep the simple form as a project file."""
    form = await read_json(request)
    text = form_text(form)
    stem = "-".join("".join(c if c.isalnum() else " " for c in str(form.get("name", ""))).lower().split())
    folder = folder_of(request)
    path = await run_in_threadpool(lambda: keep_project(folder, f"{stem or 'product'}.toml", text, replace=False))
    return JSONResponse({"file": path.name}, 201)


async def show_project(request: Request) -> Response:
    """The pieces of a project in the folder, in leather of the thickness told."""
    told = request.query_params.get("thickness", "")
    product = await run_in_threadpool(product_in, folder_of(request), request.path_params["file"], _middle(told))
    return JSONResponse(product_lines(product))


async def show_interlock(request: Request) -> Response:
    """How well each piece of a project nests with itself."""
    told, file = request.query_params, request.path_params["file"]
    t = _middle(told.get("thickness", ""))
    return JSONResponse(await run_in_threadpool(interlock, folder_of(request), file, told, t))


async def draw_interlock(request: Request) -> Response:
    """The picture of it."""
    told, file = request.query_params, request.path_params["file"]
    t = _middle(told.get("thickness", ""))
    text = await run_in_threadpool(interlock_svg, folder_of(request), file, told, t)
    return Response(text, media_type="image/svg+xml")


async def start_run(request: Request) -> Response:
    """Begin a search."""
    folder, runs = folder_of(request), runs_of(request)
    body = await read_json(request)
    order = await run_in_threadpool(read_order, folder, body)
    job, finish = Job(carry_out, (order,)), partial(_keep, folder, order)
    run = await run_in_threadpool(runs.start, job, finish)
    return JSONResponse(run.told(), 201)


async def keep_hand(request: Request) -> Response:
    """A layout with its pieces as a person laid them, kept as an answer of its own."""
    told, run = (await read_json(request)).get("laid"), request.path_params["run"]
    return JSONResponse(await run_in_threadpool(keep_moved, folder_of(request), run, told), 201)


async def judge(request: Request) -> Response:
    """What is wrong with pieces as a person laid them."""
    folder, body = folder_of(request), await read_json(request)
    return JSONResponse({"faults": await run_in_threadpool(judged, folder, body)})


async def show_run(request: Request) -> Response:
    """How a search stands, or its answer."""
    identity = request.path_params["run"]
    run = runs_of(request).find(identity)
    if run is not None and run.state != "done":
        return JSONResponse(run.told())
    return JSONResponse(await run_in_threadpool(_answer, folder_of(request), identity))


async def stop_run(request: Request) -> Response:
    """End a search with its best so far."""
    await run_in_threadpool(runs_of(request).stop, request.path_params["run"])
    return JSONResponse({"stopping": True})


async def follow_run(request: Request) -> Response:
    """A search's progress as server-sent events, one `state` an event."""
    runs, identity = runs_of(request), request.path_params["run"]
    if runs.find(identity) is None:
        raise Refusal(404, "there is no such search")
    return StreamingResponse(_events(runs, identity), media_type="text/event-stream")


async def give_layout(request: Request) -> Response:
    """The layout file."""
    path = layout_path(folder_of(request), request.path_params["run"])
    if not path.is_file():
        raise Refusal(404, "this layout is not in the folder any more")
    name = await run_in_threadpool(lambda: stem(read_layout(path)))
    return download(f"{name} layout.json", path.read_bytes(), "application/json")


async def show_grounds(request: Request) -> Response:
    """What each kind of piece of a layout asks of its hide, for pieces moved by hand."""
    path = layout_path(folder_of(request), request.path_params["run"])
    if not path.is_file():
        raise Refusal(404, "this layout is not in the folder any more")
    return JSONResponse(await run_in_threadpool(lambda: grounds(read_layout(path))))


async def give_file(request: Request) -> Response:
    """A sheet, drawing or list made from the layout."""
    path = layout_path(folder_of(request), request.path_params["run"])
    kind, told = request.path_params["kind"], request.query_params
    name, media, content = await run_in_threadpool(_made, folder_of(request), path, kind, told)
    return download(name, content, media)


async def _events(runs: Runs, identity: str) -> AsyncIterator[str]:
    yield "retry: 1000\n\n"
    async for state in runs.follow(identity):
        yield f"event: state\ndata: {json.dumps(state)}\n\n"


def _keep(folder: Folder, order: YieldRequest, identity: str, result: tuple[Layout, list[Shortage]]) -> None:
    keep_layout(folder, identity, result)
    if order.cut:
        tick_again(folder, identity, order.cut)


def _made(folder: Folder, path: Path, kind: str, told: Mapping[str, str]) -> Made:
    return made(path, kind, told, photo_asked(folder, told))


def _answer(folder: Folder, identity: str) -> dict[str, object]:
    answer = kept_answer(folder, identity)
    if answer is None:
        raise Refusal(404, "there is no such search")
    return answer


def _middle(told: str) -> float:
    try:
        return thickness(told).middle
    except InputError:
        return LOOKED_OVER_AT


ROUTES = [
    Route("/api/projects", bring_project, methods=["POST"]),
    Route("/api/projects/form", keep_form, methods=["POST"]),
    Route("/api/projects/{file}", show_project),
    Route("/api/projects/{file}/interlock", show_interlock),
    Route("/api/projects/{file}/interlock.svg", draw_interlock),
    Route("/api/runs", start_run, methods=["POST"]),
    Route("/api/runs/{run}/by-hand", keep_hand, methods=["POST"]),
    Route("/api/laid/check", judge, methods=["POST"]),
    Route("/api/runs/{run}", show_run),
    Route("/api/runs/{run}/events", follow_run),
    Route("/api/runs/{run}/stop", stop_run, methods=["POST"]),
    Route("/api/runs/{run}/layout.json", give_layout),
    Route("/api/runs/{run}/grounds", show_grounds),
    Route("/api/runs/{run}/{kind}", give_file),
]
