"""Routes for a photo: bringing it in, seeing it, laying it flat, proposing its outline."""

from __future__ import annotations

from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from hides.whole_file import write_whole
from nesting.page.answers import folder_of
from nesting.page.errors import Refusal
from nesting.page.folder import Folder, new_identity
from nesting.page.intake import PHOTO_BYTES, file_name, picture_size, read_bytes, read_json
from nesting.page.pictures import Marks, keep_flat, keep_preview, photo_size, read_marks

ENDINGS = (".jpg", ".jpeg", ".png", ".webp")


async def bring_photo(request: Request) -> Response:
    """Keep a photo; the answer names it and its upright size."""
    file_name(request, *ENDINGS)
    content = await read_bytes(request, PHOTO_BYTES)
    return JSONResponse(await run_in_threadpool(_keep, folder_of(request), content), 201)


async def show_preview(request: Request) -> Response:
    """The upright photo at a size a page can show."""
    return _picture(folder_of(request).kept("photos", request.path_params["photo"], ".preview.jpg"))


async def show_flat(request: Request) -> Response:
    """A photo laid flat."""
    return _picture(folder_of(request).kept("photos", request.path_params["photo"], ".flat.jpg"))


async def flatten(request: Request) -> Response:
    """Lay the photo flat by its marks."""
    marks = read_marks(await read_json(request))
    return JSONResponse(await run_in_threadpool(keep_flat, folder_of(request), request.path_params["photo"], marks))


async def propose(request: Request) -> Response:
    """A proposal for the outline, in mm on the floor."""
    marks = read_marks(await read_json(request))
    ring = await run_in_threadpool(_outline, folder_of(request), request.path_params["photo"], marks)
    return JSONResponse({"outline": ring})


def _keep(folder: Folder, content: bytes) -> dict[str, object]:
    picture_size(content)
    identity = new_identity()
    width, height = keep_preview(folder, identity, content)
    write_whole(folder.kept("photos", identity, ".photo"), content)
    return {"id": identity, "width": width, "height": height}


def _outline(folder: Folder, identity: str, marks: Marks) -> list[list[float]]:
    photo_size(folder, identity)
    raise Refusal(501, "not here yet")


def _picture(path: Path) -> Response:
    if not path.is_file():
        raise Refusal(404, "this picture is not in the folder any more")
    return FileResponse(path, media_type="image/jpeg", headers={"cache-control": "private, max-age=86400, immutable"})


ROUTES = [
    Route("/api/photos", bring_photo, methods=["POST"]),
    Route("/api/photos/{photo}/preview.jpg", show_preview),
    Route("/api/photos/{photo}/flat.jpg", show_flat),
    Route("/api/photos/{photo}/flat", flatten, methods=["POST"]),
    Route("/api/photos/{photo}/outline", propose, methods=["POST"]),
]
