"""Every example in a docstring is right, and every name on the two doors has one or says why not."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

import hides
import nesting

MODULES = sorted(
    module.name
    for package in (hides, nesting)
    for module in pkgutil.walk_packages(package.__path__, package.__name__ + ".")
    if not module.name.endswith("__main__")
)
OPTIONS = doctest.NORMALIZE_WHITESPACE


@pytest.mark.parametrize("name", ["hides", "nesting", *MODULES])
def test_examples_are_right(name: str) -> None:
    result = doctest.testmod(importlib.import_module(name), optionflags=OPTIONS)
    assert result.failed == 0, f"{result.failed} of {result.attempted} examples in {name} fail: see the output above"


@pytest.mark.parametrize("door", [hides, nesting])
def test_every_public_name_has_an_example_or_says_why_not(door: object) -> None:
    for name in door.__all__:  # type: ignore[attr-defined]
        told = getattr(door, name).__doc__
        assert ">>>" in told or "example" in told, name


def test_examples_were_found_at_all() -> None:
    finder = doctest.DocTestFinder(exclude_empty=True)
    found = [test for name in MODULES for test in finder.find(importlib.import_module(name)) if test.examples]
    assert len(found) > 60


def test_the_door_offers_nothing_that_is_not_there() -> None:
    assert set(nesting.__all__) == set(nesting._HOME)
    assert set(hides.__all__) == set(hides._HOME)
    with pytest.raises(AttributeError, match="no attribute"):
        nesting.no_such_name  # noqa: B018
