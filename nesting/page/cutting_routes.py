"""Routes for the cutting table: what is cut so far, and the hide marked cut."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from nesting.page import cutting
from nesting.page.answers import folder_of
from nesting.page.intake import read_json


async def show_cutting(request: Request) -> Response:
    """How far the cutting of a layout is."""
    return JSONResponse(await run_in_threadpool(cutting.standing, folder_of(request), request.path_params["run"]))


async def show_steps(request: Request) -> Response:
    """The layout a strip or a piece at a time."""
    folder, run = folder_of(request), request.path_params["run"]
    return JSONResponse(await run_in_threadpool(cutting.steps, folder, run, request.query_params))


async def keep_cutting(request: Request) -> Response:
    """Keep which pieces are cut."""
    told = (await read_json(request)).get("cut")
    await run_in_threadpool(cutting.keep_ticks, folder_of(request), request.path_params["run"], told)
    return Response(status_code=204)


async def mark_cut(request: Request) -> Response:
    """Mark the hide cut; its offcuts go on the shelf."""
    body, folder, run = await read_json(request), folder_of(request), request.path_params["run"]
    add, begun = body.get("add") is True, body.get("begun") is True
    return JSONResponse(await run_in_threadpool(lambda: cutting.mark_cut(folder, run, add=add, begun=begun)))


ROUTES = [
    Route("/api/runs/{run}/cutting", show_cutting),
    Route("/api/runs/{run}/steps", show_steps),
    Route("/api/runs/{run}/cutting", keep_cutting, methods=["PUT"]),
    Route("/api/runs/{run}/cut", mark_cut, methods=["POST"]),
]
