"""The wheel and the sdist hold all that is needed: both are built and tried away from the checkout."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Both, made from a copy of what the checkout holds, without asking a network."""
    place = tmp_path_factory.mktemp("packaging")
    left_out = shutil.ignore_patterns(".*", "*.egg-info", "bench-out", "demo-out", "build", "dist", "__pycache__")
    shutil.copytree(ROOT, place / "tree", ignore=left_out)
    command = [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(place / "dist"), str(place / "tree")]
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=place)
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    return place / "dist"


def run(folder: Path, *command: str) -> str:
    """What Python says in an empty folder where the wheel's content is all there is of hideplan."""
    environment = os.environ | {"PYTHONPATH": str(folder.parent / "site")}
    done = subprocess.run([sys.executable, *command], capture_output=True, text=True, cwd=folder, env=environment)
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout


@pytest.mark.packaging
def test_the_wheel_works_from_an_empty_folder(built: Path, tmp_path: Path) -> None:
    (wheel,) = built.glob("*.whl")
    with zipfile.ZipFile(wheel) as file:
        file.extractall(tmp_path / "site")
    empty = tmp_path / "empty"
    empty.mkdir()
    package = Path(run(empty, "-c", "import nesting; print(nesting.__file__)").strip()).parent
    assert package == tmp_path / "site" / "nesting"
    for name in ("scenario/side-1.json", "scenario/map-rack.toml", "page/static/index.html", "FORMATS.md", "py.typed"):
        assert (package / name).is_file(), name
    scripts = [path.relative_to(ROOT) for path in (ROOT / "nesting" / "page" / "static").rglob("*.js")]
    assert scripts
    assert all((tmp_path / "site" / path).is_file() for path in scripts)
    run(empty, "-m", "nesting", "trace", "typical", "--cut", "side", "--area", "22 sq ft", "--out", "side.json")
    assert (empty / "side.json").is_file()
    project = str(package / "scenario" / "map-rack.toml")
    read = "import sys; from nesting import read_product; print(read_product(sys.argv[1], 4.0).name)"
    assert run(empty, "-c", read, project).strip() == "Map rack"
    served = "from nesting.page.app import make_app; from nesting.page.door import Door, loopback_hosts as l; "
    served += "from starlette.testclient import TestClient as T; import pathlib; "
    served += "t = T(make_app(pathlib.Path.cwd(), Door(l(8760)), warm=False), base_url='http://127.0.0.1:8760'); "
    served += "print(t.get('/').status_code)"
    assert run(empty, "-W", "ignore", "-c", served).strip() == "200"


@pytest.mark.packaging
def test_the_sdist_holds_its_tests_and_they_run(built: Path, tmp_path: Path) -> None:
    (sdist,) = built.glob("*.tar.gz")
    with tarfile.open(sdist) as file:
        safely = {"filter": "data"} if hasattr(tarfile, "data_filter") else {}  # Python before 3.11.4 has none
        file.extractall(tmp_path, **safely)  # type: ignore[arg-type]
    (tree,) = tmp_path.iterdir()
    had = {path.name for path in (ROOT / "tests").glob("*.*")}
    assert had <= {path.name for path in (tree / "tests").glob("*.*")}
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "tests/test_units.py"]
    environment = os.environ | {"PYTHONPATH": str(tree)}
    done = subprocess.run(command, capture_output=True, text=True, cwd=tree, env=environment, check=False)
    assert done.returncode == 0, done.stdout[-2000:]
