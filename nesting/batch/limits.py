"""What no layout of a hide can exceed, as the batch's bound needs it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import Future, wait
from dataclasses import dataclass

from hides.errors import HideplanError
from hides.hide import Hide
from nesting.batch.searching import is_idle, told_to_stop
from nesting.laying.case import case_of
from nesting.model.product import Product
from nesting.model.settings import Settings, Stop, Watch, never
from nesting.model.want import Want

POLL = 0.2


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


LimitsOf = Callable[[Hide, Sequence[Product], Settings, Stop], Limits]


def limits_of(hide: Hide, products: Sequence[Product], settings: Settings, stop: Stop = never) -> Limits:
    """The proven limits of `nesting.bound` for these products on the hide; those that are found before the stop."""
    case = case_of(hide, [Want(product) for product in products], settings)
    sharp = case.bound.sharpen(stop)
    rows = tuple((tuple(limit.uses[place] for place in case.places), limit.room) for limit in sharp)
    return Limits(tuple(case.bound.at_most(place, stop) for place in case.places), rows)


def task_limits(
    groups: Sequence[Hide],
    rows: Sequence[Sequence[Product | None]],
    settings: Settings,
    of: LimitsOf = limits_of,
    watch: Watch | None = None,
) -> tuple[Limits, ...]:
    """The limits of every group over all items; on the watch's executor, if there is one.

    Those that a stop cuts off are the plain ones by area, which are weaker and as true.
    """
    watch = watch or Watch()
    suiting = [[p for p in row if p is not None] for row in rows]
    spread = _here if watch.executor is None else _handed_out
    told = spread(groups, suiting, settings, of, watch)
    return tuple(each.spread(row) for each, row in zip(told, rows, strict=True))


def by_area(hide: Hide, products: Sequence[Product], settings: Settings, stop: Stop = never) -> Limits:
    """How often a product's area goes into the hide's, with room for what the check lets pass."""
    room = hide.measured_area * (1 + LOOSE)
    most = tuple(math.floor(room / product.area) + 1 if product.area else MOST for product in products)
    return Limits(most, ())


LOOSE = 0.01
MOST = 10**6


def _here(
    groups: Sequence[Hide], rows: Sequence[Sequence[Product]], settings: Settings, of: LimitsOf, watch: Watch
) -> list[Limits]:
    return [_now(of, hide, row, settings, watch.stop) for hide, row in zip(groups, rows, strict=True)]


def _handed_out(
    groups: Sequence[Hide], rows: Sequence[Sequence[Product]], settings: Settings, of: LimitsOf, watch: Watch
) -> list[Limits]:
    assert watch.executor is not None
    futures = [watch.executor.submit(_there, of, hide, row, settings) for hide, row in zip(groups, rows, strict=True)]
    pending = set(futures)
    while pending and not watch.stop() and not is_idle(watch.executor):
        _, pending = wait(pending, timeout=POLL)
    for future in pending:
        future.cancel()
    return [
        _answer(future) or _now(of, hide, row, settings, watch.stop)
        for future, hide, row in zip(futures, groups, rows, strict=True)
    ]


def _now(of: LimitsOf, hide: Hide, row: Sequence[Product], settings: Settings, stop: Stop) -> Limits:
    return by_area(hide, row, settings) if stop() else of(hide, row, settings, stop)


def _there(of: LimitsOf, hide: Hide, row: Sequence[Product], settings: Settings) -> Limits:
    """The limits in a worker, which is told to stop by itself."""
    return of(hide, row, settings, told_to_stop)


def _answer(future: Future[Limits]) -> Limits | None:
    """What came back; None where nothing did, for the worker died or was not there."""
    if not future.done() or future.cancelled():
        return None
    error = future.exception()
    if isinstance(error, HideplanError):
        raise error
    return None if error else future.result()
