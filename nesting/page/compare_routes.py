"""Routes for comparing leathers."""

from __future__ import annotations

from functools import partial

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from nesting.compare.leathers_file import read_leathers
from nesting.page import comparing
from nesting.page.answers import download, folder_of, runs_of
from nesting.page.errors import Refusal
from nesting.page.folder import Folder
from nesting.page.intake import FILE_BYTES, file_name, read_bytes, read_json
from nesting.page.leathers_form import form_of, keep_form
from nesting.page.solver import Job

KINDS = {"csv": "text/csv; charset=utf-8", "json": "application/json", "pdf": "application/pdf"}


async def start_comparison(request: Request) -> Response:
    """Begin to compare."""
    folder = folder_of(request)
    question = await run_in_threadpool(comparing.read_question, folder, await read_json(request))
    job, finish = Job(comparing.answer, (question,)), partial(comparing.keep_answer, folder)
    run = await run_in_threadpool(runs_of(request).start, job, finish)
    return JSONResponse(run.told(), 201)


async def bring_leathers(request: Request) -> Response:
    """Keep a leathers file that was handed in."""
    name = file_name(request, ".toml")
    content = await read_bytes(request, FILE_BYTES)
    return JSONResponse({"file": await run_in_threadpool(_keep, folder_of(request), name, content)}, 201)


async def show_leathers(request: Request) -> Response:
    """A leathers file as the form shows it."""
    return JSONResponse(await run_in_threadpool(form_of, folder_of(request), request.path_params["file"]))


async def keep_leathers(request: Request) -> Response:
    """The form as a leathers file."""
    body = await read_json(request)
    return JSONResponse({"file": await run_in_threadpool(keep_form, folder_of(request), body)}, 201)


async def give_comparison(request: Request) -> Response:
    """A comparison as a file."""
    kind = request.path_params["kind"]
    if kind not in KINDS:
        raise Refusal(404, "there is no such file")
    path = comparing.file_path(folder_of(request), request.path_params["run"], kind)
    if not path.is_file():
        raise Refusal(404, "this comparison is not in the folder any more")
    return download(f"comparison.{kind}", path.read_bytes(), KINDS[kind])


def _keep(folder: Folder, name: str, content: bytes) -> str:
    comparing.refuse_elsewhere(content, name)
    path = folder.save_new(name, content, ".toml", replace=False)
    try:
        read_leathers(path)
    except Exception:
        path.unlink()
        raise
    return path.name


ROUTES = [
    Route("/api/comparisons", start_comparison, methods=["POST"]),
    Route("/api/leathers/form", keep_leathers, methods=["POST"]),
    Route("/api/leathers/{file}", show_leathers),
    Route("/api/leathers", bring_leathers, methods=["POST"]),
    Route("/api/comparisons/{run}/comparison.{kind}", give_comparison),
]
