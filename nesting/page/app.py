"""The page as a Starlette application: routes, the guard at the door, and the life of its searches."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from nesting.page import (
    compare_routes,
    cutting_routes,
    draft_routes,
    hide_routes,
    order_routes,
    photo_routes,
    plan_routes,
    product_routes,
    stock_routes,
)
from nesting.page.answers import PROBLEMS
from nesting.page.door import Door
from nesting.page.folder import Folder
from nesting.page.guard import Guard
from nesting.page.runs import Runs

STATIC = Path(__file__).parent / "static"


def make_app(folder: Path, door: Door, *, warm: bool = True) -> Starlette:
    """The whole page for one folder. `warm` keeps a solver process loaded and waiting."""
    runs = Runs()

    @asynccontextmanager
    async def life(app: Starlette) -> AsyncIterator[None]:
        if warm:
            await run_in_threadpool(runs.warm_up)
        yield
        await run_in_threadpool(runs.close)

    app = Starlette(
        routes=[
            Route("/", front),
            *draft_routes.ROUTES,
            *hide_routes.ROUTES,
            *photo_routes.ROUTES,
            *cutting_routes.ROUTES,
            *plan_routes.ROUTES,
            *product_routes.ROUTES,
            *stock_routes.ROUTES,
            *order_routes.ROUTES,
            *compare_routes.ROUTES,
            Mount("/static", StaticFiles(directory=STATIC)),
        ],
        middleware=[Middleware(Guard, door=door)],
        exception_handlers={**PROBLEMS, 404: nothing_here, 500: went_wrong},
        lifespan=life,
    )
    app.state.folder, app.state.runs = Folder(folder.resolve()), runs
    return app


async def front(request: Request) -> Response:
    """The one page."""
    return FileResponse(STATIC / "index.html", media_type="text/html; charset=utf-8")


async def nothing_here(request: Request, error: Exception) -> Response:
    """An address that means nothing."""
    return JSONResponse({"problem": "there is nothing at this address"}, 404)


async def went_wrong(request: Request, error: Exception) -> Response:
    """A fault of our own: said, never shown as a traceback."""
    return JSONResponse(
        {"problem": "something in hideplan went wrong; load the page anew and look at what it has kept"}, 500
    )
