"""Texts become the settings of a search, by one set of rules for the command line and the page."""

from __future__ import annotations

from collections.abc import Sequence

from hides.errors import InputError
from hides.fields import whole_number
from hides.units import length
from nesting.model.settings import Settings
from nesting.model.straight import StraightRules


def settings_in(gap: str, edge: str | None, seed: str, effort: str) -> Settings:
    """The settings that texts ask for (`edge` None: the hide file's); InputError names the one that cannot be used.

    >>> settings_in("2 mm", None, "7", "quick")
    Settings(gap=2.0, edge=None, seed=7, effort='quick', straight=None)
    """
    kept = distance("--gap", gap)
    strip = None if edge is None else distance("--edge", edge)
    return Settings(kept, strip, _seed(seed), effort)


def straight_rules_in(cutter: Sequence[str] | None, kerf: str | None) -> StraightRules:
    """How straight cuts are made: the widths that the cutter opens to, and what a cut takes; InputError as above.

    >>> straight_rules_in(("6 mm", "4 in"), "1 mm")
    StraightRules(least=6.0, most=101.6, kerf=1.0)
    """
    taken = 0.0 if kerf is None else distance("--kerf", kerf)
    if cutter is None:
        return StraightRules(kerf=taken)
    least, most = (distance("--cutter", each) for each in cutter)
    if not 0 <= least < most:
        raise InputError(
            f"opens from {least:g} to {most:g} mm",
            where="--cutter",
            remedy='give the least width, then the greatest: --cutter "6 mm" "100 mm"',
        )
    return StraightRules(least, most, taken)


DISTANCE = 'give a distance: "2 mm", "1/8 in", 0'


def distance(option: str, text: str) -> float:
    """A distance in mm, of nought or more; InputError names the option."""
    text = text.strip()
    try:
        value = length(float(text)) if _is_number(text) else length(text)
    except InputError as error:
        raise InputError(error.problem, where=option, field=error.field, remedy=error.remedy or DISTANCE) from error
    if value < 0:
        raise InputError(f"“{text}” is less than nought", where=option, remedy=DISTANCE)
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
