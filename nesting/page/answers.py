"""How the page's routes answer: JSON, files to keep, and problems in one plain line."""

from __future__ import annotations

from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from hides.errors import InputError, LayoutFault
from nesting.page.errors import Refusal
from nesting.page.folder import Folder
from nesting.page.runs import Runs


def folder_of(request: Request) -> Folder:
    """The folder this server works in."""
    folder: Folder = request.app.state.folder
    return folder


def runs_of(request: Request) -> Runs:
    """The searches of this server."""
    runs: Runs = request.app.state.runs
    return runs


def download(name: str, content: bytes | str, kind: str) -> Response:
    """A file the browser keeps under `name`."""
    answer = Response(content, media_type=kind)
    answer.headers["content-disposition"] = f"attachment; filename*=UTF-8''{quote(name)}"
    return answer


async def told_refusal(request: Request, error: Exception) -> Response:
    """A refusal as JSON."""
    assert isinstance(error, Refusal)
    return JSONResponse({"problem": error.problem}, error.status)


async def told_problem(request: Request, error: Exception) -> Response:
    """Input that cannot be used, as JSON with the field it concerns."""
    field = error.field if isinstance(error, InputError) else ""
    return JSONResponse({"problem": str(error), "field": field}, 422)


PROBLEMS = {Refusal: told_refusal, InputError: told_problem, LayoutFault: told_problem}
