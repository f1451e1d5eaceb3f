"""Routes for a photo: bringing it in, seeing it, laying it flat, proposing its outline."""

from __future__ import annotations

from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from hides.photo import MOST_BYTES
from nesting.page import known_lenses, mending, pictures
from nesting.page.answers import folder_of
from nesting.page.errors import Refusal
from nesting.page.flat_photos import photo_path
from nesting.page.intake import file_name, read_bytes, read_json

ENDINGS = (".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff")


async def bring_photo(request: Request) -> Response:
    """Keep a photo; the answer names it and its upright size."""
    name = file_name(request, *ENDINGS)
    content = await read_bytes(request, MOST_BYTES)
    return JSONResponse(await run_in_threadpool(pictures.keep_photo, folder_of(request), content, name), 201)


async def show_preview(request: Request) -> Response:
    """The upright photo at a size a page can show."""
    return _picture(folder_of(request).kept("photos", request.path_params["photo"], ".preview.jpg"))


async def show_flat(request: Request) -> Response:
    """A photo laid flat."""
    return _picture(folder_of(request).kept("photos", request.path_params["photo"], ".flat.jpg"))


async def show_picture(request: Request) -> Response:
    """A picture in the folder, as a hide file names it."""
    path = photo_path(folder_of(request), request.path_params["file"])
    kind = "image/png" if path.suffix.lower() == ".png" else "image/jpeg"
    return FileResponse(path, media_type=kind, headers={"cache-control": "no-cache"})


async def flatten(request: Request) -> Response:
    """Lay the photo flat by its marks."""
    folder, photo = folder_of(request), request.path_params["photo"]
    body = await read_json(request)
    floor = pictures.read_marks(folder, photo, body)
    if body.get("middles") and floor.lens:
        known_lenses.remember(folder, photo, floor.lens)
    return JSONResponse(await run_in_threadpool(pictures.keep_flat, folder, photo, floor))


async def propose(request: Request) -> Response:
    """A proposal for the outline, in mm on the floor, with what to look at."""
    folder, photo = folder_of(request), request.path_params["photo"]
    floor = pictures.read_marks(folder, photo, await read_json(request))
    found = await run_in_threadpool(pictures.propose, folder, photo, floor)
    ring = [[round(x, 2), round(y, 2)] for x, y in found.ring]
    told = mending.told_doubts(found.doubts, 0)["doubts"]
    return JSONResponse({"outline": ring, "confidence": found.confidence, "remarks": found.remarks, "doubts": told})


async def mend(request: Request) -> Response:
    """Work on the flat photo; the last word of the address says which."""
    folder, photo, body = folder_of(request), request.path_params["photo"], await read_json(request)
    floor = pictures.read_marks(folder, photo, body)
    way = mending.WAYS[request.url.path.rsplit("/", 1)[1]]
    return JSONResponse(await run_in_threadpool(way, folder, photo, floor, body))


def _picture(path: Path) -> Response:
    if not path.is_file():
        raise Refusal(404, "this picture is not in the folder any more")
    return FileResponse(path, media_type="image/jpeg", headers={"cache-control": "private, max-age=86400, immutable"})


ROUTES = [
    Route("/api/photos", bring_photo, methods=["POST"]),
    Route("/api/pictures/{file}", show_picture),
    Route("/api/photos/{photo}/preview.jpg", show_preview),
    Route("/api/photos/{photo}/flat.jpg", show_flat),
    Route("/api/photos/{photo}/flat", flatten, methods=["POST"]),
    Route("/api/photos/{photo}/outline", propose, methods=["POST"]),
    *(Route(f"/api/photos/{{photo}}/{way}", mend, methods=["POST"]) for way in mending.WAYS),
]
