"""What the page's tests share: an application in a folder of its own, asked through a test client."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from nesting.page.app import make_app
from nesting.page.door import Door, loopback_hosts

PORT = 8760
HERE = f"http://127.0.0.1:{PORT}"
OWN = {"X-Hideplan": "page"}

SQUARE_HIDE: dict[str, Any] = {
    "name": "Square",
    "cut": "hide",
    "outline": [[0, 0], [600, 0], [600, 400], [0, 400]],
    "backbone": [[10, 200], [590, 200]],
    "thickness": "8 oz",
    "flaws": [{"kind": "hole", "outline": [[20, 20], [40, 20], [40, 40], [20, 40]], "grade": "none", "clearance": "2"}],
    "zones": [],
    "holes": [],
}
FORM: dict[str, Any] = {
    "name": "Tag",
    "pieces": [{"name": "front", "count": "2", "width": "100 mm", "length": "150 mm", "along": "backbone"}],
}


@contextmanager
def page(folder: Path, door: Door | None = None, warm: bool = False) -> Iterator[TestClient]:
    """A client of a page on `folder`, that sends what our own page sends."""
    app = make_app(folder, door or Door(loopback_hosts(PORT)), warm=warm)
    with TestClient(app, base_url=HERE, headers=OWN, raise_server_exceptions=True) as client:
        yield client


def finished(client: TestClient, identity: str) -> dict[str, Any]:
    """What a run told when it was done or had failed."""
    began = time.monotonic()
    while True:
        told: dict[str, Any] = client.get(f"/api/runs/{identity}").json()
        if told["state"] in ("done", "failed"):
            return told
        assert time.monotonic() - began < 600, told
        time.sleep(0.1)
