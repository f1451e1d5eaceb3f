"""Routes for the folder's contents and the drafts."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from nesting.page.answers import folder_of
from nesting.page.drafts import drop_draft, list_drafts, new_draft, read_draft, save_draft
from nesting.page.errors import Refusal
from nesting.page.example import lay_out_example
from nesting.page.intake import read_json


async def show_folder(request: Request) -> Response:
    """What lies in the folder."""
    folder = folder_of(request)
    return JSONResponse(
        {
            "folder": str(folder.path),
            "hides": await run_in_threadpool(folder.hides),
            "projects": await run_in_threadpool(folder.projects),
            "leathers": await run_in_threadpool(folder.leathers),
            "drafts": await run_in_threadpool(list_drafts, folder),
        }
    )


async def bring_example(request: Request) -> Response:
    """Put the built-in example into the folder."""
    return JSONResponse({"files": await run_in_threadpool(lay_out_example, folder_of(request))}, 201)


async def make_draft(request: Request) -> Response:
    """Keep a new draft."""
    content = await read_json(request)
    return JSONResponse(await run_in_threadpool(new_draft, folder_of(request), content), 201)


async def show_draft(request: Request) -> Response:
    """A kept draft."""
    return JSONResponse(await run_in_threadpool(read_draft, folder_of(request), request.path_params["draft"]))


async def keep_draft(request: Request) -> Response:
    """Keep a change to a draft."""
    body = await read_json(request)
    revision, content = body.get("revision"), body.get("content")
    if not isinstance(revision, int) or not isinstance(content, dict):
        raise Refusal(400, "a draft needs its revision and its content")
    draft = request.path_params["draft"]
    return JSONResponse(await run_in_threadpool(save_draft, folder_of(request), draft, revision, content))


async def remove_draft(request: Request) -> Response:
    """Throw a draft away."""
    await run_in_threadpool(drop_draft, folder_of(request), request.path_params["draft"])
    return Response(status_code=204)


ROUTES = [
    Route("/api/folder", show_folder),
    Route("/api/example", bring_example, methods=["POST"]),
    Route("/api/drafts", make_draft, methods=["POST"]),
    Route("/api/drafts/{draft}", show_draft),
    Route("/api/drafts/{draft}", keep_draft, methods=["PUT"]),
    Route("/api/drafts/{draft}", remove_draft, methods=["DELETE"]),
]
