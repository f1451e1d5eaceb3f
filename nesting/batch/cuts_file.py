"""How an order file says that straight cuts are made: `cutter` and `kerf`."""

from __future__ import annotations

from hides.errors import InputError
from hides.fields import Fields
from hides.units import length
from nesting.model.straight import StraightRules

PAIR = 'give the least width, then the greatest: cutter = ["6 mm", "100 mm"]'
ASK = "write straight = true in a line, or leave it out"


def cuts_in(fields: Fields, asked: bool) -> StraightRules:
    """The rules of an order of which lines ask for straight cuts or (not `asked`) none does; InputError by field."""
    for name in ("cutter", "kerf"):
        if fields.has(name) and not asked:
            raise fields.wrong(name, "says how straight cuts are made, and no line asks for them", ASK)
    kerf = _kerf(fields)
    if not fields.has("cutter"):
        return StraightRules(kerf=kerf)
    with fields.reading("cutter") as value:
        if not isinstance(value, list) or len(value) != 2:
            raise InputError("is no pair of widths", remedy=PAIR)
        least, most = (length(each) for each in value)
        if not 0 <= least < most:
            raise InputError(f"opens from {least:g} to {most:g} mm", remedy=PAIR)
        return StraightRules(least, most, kerf)


def _kerf(fields: Fields) -> float:
    if not fields.has("kerf"):
        return 0.0
    with fields.reading("kerf") as value:
        kerf = length(value)
        if kerf < 0:
            raise InputError("is less than nought", remedy='give what a cut takes away: 0, "1 mm", "1/32 in"')
        return kerf
