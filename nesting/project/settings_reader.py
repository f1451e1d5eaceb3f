"""Texts become the settings of a search, by one set of rules for the command line and the page."""

from __future__ import annotations

from hides.errors import InputError
from hides.fields import whole_number
from hides.units import length
from nesting.model.settings import Settings


def settings_in(gap: str, edge: str | None, seed: str, effort: str) -> Settings:
    """The settings that texts ask for (`edge` None: the hide file's); InputError names the one that cannot be used.

    >>> settings_in("2 mm", None, "7", "quick")
    Settings(gap=2.0, edge=None, seed=7, effort='quick', straight=None)
    """
    kept = distance("--gap", gap)
    strip = None if edge is None else distance("--edge", edge)
    return Settings(kept, strip, _seed(seed), effort)


def distance(option: str, text: str) -> float:
    """A distance in mm, of nought or more; InputError names the option."""
    try:
        value = length(float(text)) if _is_number(text) else length(text)
    except InputError as error:
        raise error.within(where=option) from error
    if value < 0:
        raise InputError(f"“{text}” is less than nought", where=option, remedy='give a distance: "2 mm", "1/8 in", 0')
    return value


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _seed(text: str) -> int:
    number = whole_number(text)
    if number is None or number >= 2**63:
        raise InputError(f"“{text[:40]}” is no seed", where="--seed", remedy="give a whole number, nought or above")
    return number


def seconds_in(text: str) -> float:
    """A time in seconds, above nought."""
    value = float(text) if _is_number(text) else -1.0
    if not 0 < value < 1e7:
        raise InputError(f"“{text}” is no time", where="--time", remedy="give seconds above nought: 20")
    return value
