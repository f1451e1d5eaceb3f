"""Routes for orders, their plans, and the desk on which they are written."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import partial
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from hides.whole_file import write_whole
from nesting.page.answers import download, folder_of, runs_of
from nesting.page.downloads import made_from
from nesting.page.errors import Refusal
from nesting.page.folder import Folder
from nesting.page.intake import read_json
from nesting.page.ordering import commit_plan, keep_plan, plan_batch, plan_path, read_batch
from nesting.page.solver import Job
from nesting.stock.done import layouts_of


async def start_order(request: Request) -> Response:
    """Begin to plan an order."""
    folder = folder_of(request)
    batch = await run_in_threadpool(read_batch, folder, await read_json(request))
    job, finish = Job(plan_batch, (batch,)), partial(keep_plan, folder)
    run = await run_in_threadpool(runs_of(request).start, job, finish)
    return JSONResponse(run.told(), 201)


async def commit_order(request: Request) -> Response:
    """Mark the hides of a plan cut."""
    partly = (await read_json(request)).get("partly") is True
    offcuts = await run_in_threadpool(commit_plan, folder_of(request), request.path_params["run"], partly)
    return JSONResponse({"offcuts": offcuts})


async def give_plan(request: Request) -> Response:
    """The plan file."""
    path = plan_path(folder_of(request), request.path_params["run"])
    if not path.is_file():
        raise Refusal(404, "this plan is not in the folder any more")
    return download("plan.json", path.read_bytes(), "application/json")


async def give_hide_file(request: Request) -> Response:
    """A sheet or drawing of one hide of a plan."""
    path = plan_path(folder_of(request), request.path_params["run"])
    place, kind = request.path_params["place"], request.path_params["kind"]
    name, media, content = await run_in_threadpool(_hide_file, path, place, kind, request.query_params)
    return download(name, content, media)


async def show_desk(request: Request) -> Response:
    """What lies on the desk."""
    return JSONResponse(await run_in_threadpool(_read_desk, folder_of(request)))


async def keep_desk(request: Request) -> Response:
    """Keep what lies on the desk."""
    content = json.dumps(await read_json(request), ensure_ascii=False)
    await run_in_threadpool(write_whole, folder_of(request).desk, content)
    return Response(status_code=204)


def _hide_file(path: Path, place: int, kind: str, told: Mapping[str, str]) -> tuple[str, str, bytes | str]:
    layouts = layouts_of(path) if path.is_file() else []
    if not 1 <= place <= len(layouts):
        raise Refusal(404, "there is no such hide in this plan")
    return made_from(layouts[place - 1], kind, told)


def _read_desk(folder: Folder) -> dict[str, object]:
    try:
        desk = json.loads(folder.desk.read_bytes())
    except (OSError, ValueError):
        return {}
    return desk if isinstance(desk, dict) else {}


ROUTES = [
    Route("/api/desk", show_desk),
    Route("/api/desk", keep_desk, methods=["PUT"]),
    Route("/api/orders", start_order, methods=["POST"]),
    Route("/api/orders/{run}/commit", commit_order, methods=["POST"]),
    Route("/api/orders/{run}/plan.json", give_plan),
    Route("/api/orders/{run}/{place:int}/{kind}", give_hide_file),
]
