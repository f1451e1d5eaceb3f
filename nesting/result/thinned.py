"""Layouts with some of their pieces only: what is left of a fuller one, its areas, offcuts and strips told anew."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from shapely.geometry import Polygon

from nesting.model.layout import HideLayout, Layout, Placement
from nesting.model.straight import StraightPlan
from nesting.result.areas import account


def thin(layout: Layout, placements: Sequence[Placement]) -> Layout:
    """The layout with some of its placements only; its counts stay as they are."""
    only, kept = layout.hides[0], tuple(placements)
    areas, offcuts = account(only.hide, [each.outline for each in kept], layout.gap)
    less = HideLayout(only.hide, kept, areas, offcuts)
    return replace(layout, hides=(replace(less, straight=strips_of(only, kept)),))


def strips_of(before: HideLayout, after: Sequence[Placement]) -> StraightPlan | None:
    """The straight plan of a hide whose placements stand in another order, carry other names, or are fewer."""
    if before.straight is None:
        return None
    place_at = {(p.x, p.y, p.angle): n for n, p in enumerate(after)}
    keys = [(p.x, p.y, p.angle) for p in before.placements]
    return before.straight.renumbered({n: place_at[key] for n, key in enumerate(keys) if key in place_at})


def sides(layout: Layout, keep: Mapping[str, int]) -> Iterator[list[Placement]]:
    """The placements with so many products of each name kept, those farthest to one side; for four sides."""
    on = layout.hides[0]
    along = math.radians(on.hide.direction or 0.0)
    for quarter in range(4):
        turn = along + quarter * math.pi / 2
        yield _at_side(on.placements, keep, math.cos(turn), math.sin(turn))


def _at_side(placements: Sequence[Placement], keep: Mapping[str, int], x: float, y: float) -> list[Placement]:
    far: dict[tuple[str, int], list[float]] = {}
    for each in placements:
        middle = Polygon(each.outline).centroid
        far.setdefault((each.product, each.number), []).append(x * middle.x + y * middle.y)
    kept: set[tuple[str, int]] = set()
    for name, many in keep.items():
        own = sorted((sum(at) / len(at), number) for (product, number), at in far.items() if product == name and number)
        kept |= {(name, number) for _, number in own[:many]}
    return [each for each in placements if (each.product, each.number) in kept]
