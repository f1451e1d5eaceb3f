"""What every test shares: a header with the engines' versions, and the public instances where they are."""

from __future__ import annotations

import os
from collections.abc import Generator
from pathlib import Path

import numpy
import ortools
import pytest
import shapely
from hypothesis import HealthCheck, settings

BENCHMARKS = Path(__file__).resolve().parents[2] / "shared" / "benchmarks"


os.environ["HIDEPLAN_CACHE"] = ""  # nothing is kept on disk from one test to the next, nor found there

# The same examples every time, so that a red run can be had again. Slow drawing on a loaded machine says nothing.
settings.register_profile("hideplan", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("hideplan")


LONGEST = ("test_soak", "test_stock_kill", "test_page_", "test_packaging", "test_photo", "test_bound", "test_many")
"""Files that take longest. They come first, so that no process has one of them left when the others are done."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: next((n for n, name in enumerate(LONGEST) if item.path.stem.startswith(name)), 99))


def pytest_report_header() -> str:
    engines = (numpy, shapely, ortools)
    versions = ", ".join(f"{engine.__name__} {engine.__version__}" for engine in engines)
    return f"{versions}, GEOS {shapely.geos_version_string}"


@pytest.fixture(scope="session")
def benchmarks() -> Path:
    """The folder of public instances; a clone without it skips the tests that need it."""
    if not BENCHMARKS.is_dir():
        pytest.skip(f"the public instances are not here ({BENCHMARKS})")
    return BENCHMARKS


ELSEWHERE = ("public instances", "/dev/full", "optional extra", "Unix")
"""What a skip may say where tests run on their own: these cannot run there."""


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Where CI is set, a test that is skipped although it could run there fails: nobody reads skips."""
    report = yield
    told = str(report.longrepr)
    skipped = os.environ.get("CI") == "true" and report.skipped and not hasattr(report, "wasxfail")
    if skipped and not any(word in told for word in ELSEWHERE):
        report.outcome = "failed"
        report.longrepr = f"skipped, although it could run here: {told}"
    return report
