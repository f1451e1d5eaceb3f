"""The chance that so many hides, like the samples, give a batch: means hide that some pairs of hides fall short."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction


def chance(number: int, hides: int, given: Sequence[int]) -> float:
    """How likely `hides` hides give `number` products, each hide being as likely as any of the samples.

    Exact, by adding up the distributions; hides are drawn independently.

    >>> chance(10, 2, [5, 5]), chance(12, 2, [6, 5, 7]), chance(1, 3, [0])
    (1.0, 0.6666666666666666, 0.0)
    """
    one = {n: Fraction(many, len(given)) for n, many in Counter(min(n, number) for n in given).items()}
    sums = {0: Fraction(1)}
    for _ in range(hides):
        more: Counter[int] = Counter()
        for before, part in sums.items():
            for n, share in one.items():
                more[min(number, before + n)] += part * share  # type: ignore[assignment]
        sums = dict(more)  # type: ignore[arg-type]
    return float(sums.get(number, Fraction(0)))
