"""What no layout of a hide can exceed, as the batch's bound needs it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass

from hides.hide import Hide
from nesting.bound.limits import at_most
from nesting.bound.limits import limits as area_limits
from nesting.model.product import Product
from nesting.model.settings import Settings
from nesting.model.want import Want
from nesting.posing.pose_problem import pose_problem


@dataclass(frozen=True)
class Limits:
    """`most[i]` of product i alone; and for each (uses, room): Σ uses[i] · count[i] ≤ room, for any mix."""

    most: tuple[int, ...]
    rows: tuple[tuple[tuple[float, ...], float], ...]

    def allow(self, counts: Sequence[int]) -> bool:
        """Whether the limits leave these counts possible."""
        alone = all(n <= most for n, most in zip(counts, self.most, strict=True))
        return alone and all(sum(u * n for u, n in zip(uses, counts, strict=True)) <= room for uses, room in self.rows)

    def spread(self, row: Sequence[object]) -> Limits:
        """The same limits over a row of items, of which those that are None have none of these numbers."""
        places = [place for place, product in enumerate(row) if product is not None]

        def wide(values: Sequence[float]) -> list[float]:
            told = [0.0] * len(row)
            for place, value in zip(places, values, strict=True):
                told[place] = value
            return told

        return Limits(tuple(int(n) for n in wide(self.most)), tuple((tuple(wide(u)), room) for u, room in self.rows))


LimitsOf = Callable[[Hide, Sequence[Product], Settings], Limits]


def limits_of(hide: Hide, products: Sequence[Product], settings: Settings) -> Limits:
    """The proven limits of `nesting.bound` for these products on the hide."""
    if settings.edge is not None:
        hide = hide.with_edge(settings.edge)
    problem = pose_problem(hide, [Want(product) for product in products], settings.gap)
    rows = tuple((limit.uses, limit.room) for limit in area_limits(problem))
    return Limits(tuple(at_most(problem, place) for place in range(len(products))), rows)


def task_limits(
    groups: Sequence[Hide],
    rows: Sequence[Sequence[Product | None]],
    settings: Settings,
    of: LimitsOf = limits_of,
    executor: Executor | None = None,
) -> tuple[Limits, ...]:
    """The limits of every group over all items; on the executor, if there is one."""
    suiting = [[p for p in row if p is not None] for row in rows]
    spread = executor.map if executor else map
    told = spread(of, groups, suiting, [settings] * len(rows))
    return tuple(each.spread(row) for each, row in zip(told, rows, strict=True))
