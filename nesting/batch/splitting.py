"""Hides that serve a line once they are split to its thickness, at a cost for the area that is paid for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from hides.errors import InputError
from hides.hide import Hide, Price, Thickness, Zone
from hides.units import area_unit
from nesting.batch.order import Order, OrderLine

HAIR = 1e-6


def with_split(order: Order, hides: Sequence[Hide]) -> tuple[list[Hide], dict[str, str]]:
    """The hides, those that suit no line as they are split for the first line that wants it; and by name what is told.

    A hide is split only where it is nowhere thinner than the line wants, but for zones, which keep their own thickness
    where that is less.
    """
    told: dict[str, str] = {}
    found = []
    for hide in hides:
        line = None if any(line.suits(hide) for line in order.lines) else _splits(order, hide)
        found.append(hide if line is None else _split(hide, line))
        if line is not None and line.thickness and hide.thickness:
            told[hide.name] = f"{hide.name} is split from {_range(hide.thickness)} to {_range(line.thickness)} mm"
    return found, told


def _splits(order: Order, hide: Hide) -> OrderLine | None:
    for line in order.lines:
        if line.split is None or line.thickness is None or hide.thickness is None:
            continue
        thick_enough = hide.thickness.low >= line.thickness.low - HAIR and hide.thickness.high > line.thickness.high
        if thick_enough and line.suits(_split(hide, line)):
            return line
    return None


def _split(hide: Hide, line: OrderLine) -> Hide:
    assert line.thickness is not None
    assert line.split is not None
    zones = tuple(_split_zone(zone, line.thickness) for zone in hide.zones)
    return replace(hide, thickness=line.thickness, zones=zones, price=_with(hide, line.split))


def _split_zone(zone: Zone, to: Thickness) -> Zone:
    thinner = zone.thickness is not None and zone.thickness.low < to.low - HAIR
    return zone if thinner else replace(zone, thickness=None)


def _with(hide: Hide, split: Price) -> Price | None:
    """The hide's price with the splitting in it; none where it has none."""
    if hide.price is None:
        return None
    if hide.price.currency != split.currency:
        raise InputError(
            f"is in {split.currency}, and “{hide.name}” is priced in {hide.price.currency}",
            field="split.currency",
            remedy="give all prices in one currency",
        )
    per_mm2 = hide.price.per_mm2 + split.per_mm2
    return replace(hide.price, per_mm2=per_mm2, per_area=per_mm2 * area_unit(hide.price.unit))


def _range(thick: Thickness) -> str:
    return f"{thick.low:.1f}-{thick.high:.1f}"
