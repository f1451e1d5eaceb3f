"""What hides of a cut have given in this workshop, over what a typical outline of their area would have promised.

A workshop's own hides are worse, or better, than typical ones: how much can be told from the hides it has cut. A hide
that was cut for a few products and put back on the shelf counts with the leather that was taken alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from hides.hide import Hide
from nesting.batch.searching import Solve
from nesting.laying.lay_out import Want
from nesting.model.layout import Layout, ProductCount
from nesting.model.product import Product
from nesting.model.settings import Settings, Watch

MOST = 5
"""Hides of a cut that are looked at, the last ones: each takes a search."""
LEAST_TAKEN = 0.4
"""Hides of which less was taken say nothing."""

Outline = Callable[[str, float], Hide]
"""A typical hide of a cut, scaled to an area (mm²): an estimate, with the backbone drawn in."""


@dataclass(frozen=True)
class Past:
    """Given over promised: the mean of some hides, the least and the most."""

    mean: float
    low: float
    high: float
    hides: int


def past_of(
    cut: str, cut_before: Sequence[Layout], outline: Outline, solve: Solve, settings: Settings, watch: Watch
) -> Past | None:
    """The workshop's past with a cut, from layouts by which its hides were cut, the latest first; None without any."""
    own = [layout for layout in cut_before if layout.hides[0].hide.cut == cut and _taken(layout) >= LEAST_TAKEN]
    shares = []
    for layout in own[:MOST]:
        if watch.stop():
            break
        promised = _promised(layout, outline, solve, settings, watch)
        if promised:
            shares.append(_given(layout) / (promised * _taken(layout)))
    return Past(sum(shares) / len(shares), min(shares), max(shares), len(shares)) if shares else None


def _taken(layout: Layout) -> float:
    """The share of the hide that did not go back on the shelf."""
    areas = layout.hides[0].areas
    return 1 - areas.offcuts / areas.hide


def _given(layout: Layout) -> float:
    """Leather in complete products."""
    return sum(count.complete * product.area for count, product in _made(layout))


def _made(layout: Layout) -> list[tuple[ProductCount, Product]]:
    by_name = {product.name: product for product in layout.products}
    return [(count, by_name[count.name]) for count in layout.counts if count.complete and count.name in by_name]


def _promised(layout: Layout, outline: Outline, solve: Solve, settings: Settings, watch: Watch) -> float:
    """Leather in complete products of the same kinds on the typical outline of the hide's area."""
    hide = layout.hides[0].hide
    typical = replace(outline(hide.cut, hide.paid_area), thickness=hide.thickness, edge=hide.edge)
    wants = [Want(product, product.area) for _, product in _made(layout)]
    return (
        _given(solve(typical, wants, replace(settings, effort="quick"), replace(watch, executor=None)))
        if wants
        else 0.0
    )
