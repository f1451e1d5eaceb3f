"""How long and how the search works, and how it talks while it does."""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, field

from nesting.model.straight import StraightRules

EFFORTS = ("quick", "normal", "thorough")


@dataclass(frozen=True)
class Settings:
    """What every solving command can be told.

    `gap` is the distance kept between pieces in mm; `edge` the strip kept clear along the hide's edge, or None
    for the hide's own. `straight` asks for strips off one struck line, cut as it says; `cuts` says
    how where a product asks. With `begin` pieces of one more
    product of each kind are laid where not all of it goes. With `tidily` the layout is made tidy in the
    end. Same input, seed and effort give the same layout to the last byte.

    >>> Settings(gap=2.0, effort="quick").seed
    1
    """

    gap: float = 0.0
    edge: float | None = None
    seed: int = 1
    effort: str = "normal"
    straight: StraightRules | None = None
    cuts: StraightRules = field(default=StraightRules(), repr=False)
    begin: bool = field(default=True, repr=False)
    tidily: bool = field(default=True, repr=False)


@dataclass(frozen=True)
class Progress:
    """One report from long work: what is being done, how far (0 to 1), the best so far in words, and, where it is new,
    as something to look at."""

    stage: str
    fraction: float
    best: str = ""
    shown: object = None


Report = Callable[[Progress], None]
Stop = Callable[[], bool]


def never() -> bool:
    """A stop rule that never stops."""
    return False


def silent(progress: Progress) -> None:
    """A report that nobody reads."""


@dataclass
class Deadline:
    """A stop rule: so many seconds after it was made."""

    seconds: float
    started: float = field(default_factory=time.monotonic)

    def __call__(self) -> bool:
        return self.spent() >= 1.0

    def left(self) -> float:
        """Seconds of it that are left; less than nought once it is past."""
        return self.started + self.seconds - time.monotonic()

    def spent(self) -> float:
        """The share of its time that is gone."""
        return (time.monotonic() - self.started) / self.seconds if self.seconds > 0 else 1.0


def any_of(*rules: Stop) -> Stop:
    """A stop rule that stops when one of several does."""
    return lambda: any(rule() for rule in rules)


@dataclass(frozen=True)
class Watch:
    """The outside of a piece of long work: who hears of it, what stops it, who carries it out.

    `stop` is asked often and from several threads; when it answers True the work ends with the best so far.
    `executor` is any `concurrent.futures` executor; None means the machine's own cores. `stop_there` is the stop rule
    as tasks on that executor ask it: it must be able to travel where they run. Without one they end with their budget.

    >>> Watch(stop=Deadline(60)).stop()
    False
    """

    report: Report = silent
    stop: Stop = never
    executor: Executor | None = None
    stop_there: Stop = never
