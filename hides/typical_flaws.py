"""Flaws as a bought hide usually has them, laid on a typical outline: an estimate without any would promise too much.

How many and how large is our own guess, not a measurement; the same hide and seed give the same flaws. The names are
those of ISO 2822-1 (cattle hides, description of defects).
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass, replace

from shapely.geometry import Point, Polygon

from hides.hide import Flaw, Grade, Hide, Ring


@dataclass(frozen=True)
class Usual:
    """A kind of flaw: so many a square metre, its least and greatest length and width in mm, what leather it leaves."""

    kind: str
    many: float
    length: tuple[float, float]
    width: tuple[float, float]
    grade: Grade
    clearance: float = 0.0


USUAL = (
    Usual("warble hole", 1.0, (4.0, 12.0), (4.0, 12.0), Grade.NONE, 3.0),
    Usual("scratch", 1.5, (60.0, 220.0), (3.0, 6.0), Grade.C),
    Usual("scar", 1.0, (15.0, 60.0), (8.0, 25.0), Grade.D),
)
REASON = (
    "typical flaws are ours, seeded: to the square metre 1 warble hole, 1.5 scratches fit for grade C, 1 scar fit for D"
)
ATTEMPTS = 50


def with_typical_flaws(hide: Hide, seed: int = 1) -> Hide:
    """The hide with typical flaws beside its own; lengths in mm.

    >>> from hides.typical import typical_hide
    >>> len(with_typical_flaws(typical_hide("side", "2 m2")).flaws)
    7
    """
    rng = random.Random(f"{seed} {hide.cut} {hide.measured_area:.0f}")
    found = [flaw for usual in USUAL for flaw in _some(hide.polygon, usual, rng)]
    return replace(hide, flaws=(*hide.flaws, *found))


def _some(leather: Polygon, usual: Usual, rng: random.Random) -> Iterator[Flaw]:
    """A kind's flaws on the leather, so many as its area makes, rounded."""
    for _ in range(round(usual.many * leather.area / 1e6)):
        place = _place(leather, rng)
        ring = _oblong(place, rng.uniform(*usual.length), rng.uniform(*usual.width), rng.uniform(0, math.pi))
        if leather.intersects(Polygon(ring)):
            yield Flaw(usual.kind, ring, usual.grade, usual.clearance)


def _place(leather: Polygon, rng: random.Random) -> Point:
    """A place on the leather, each as likely as any other."""
    west, south, east, north = leather.bounds
    for _ in range(ATTEMPTS):
        place = Point(rng.uniform(west, east), rng.uniform(south, north))
        if leather.contains(place):
            return place
    return leather.representative_point()


def _oblong(place: Point, length: float, width: float, turn: float) -> Ring:
    """An ellipse of twelve corners."""
    steps = [math.tau * k / 12 for k in range(12)]
    along = [(length / 2 * math.cos(a), width / 2 * math.sin(a)) for a in steps]
    cos, sin = math.cos(turn), math.sin(turn)
    return tuple((round(place.x + x * cos - y * sin, 3), round(place.y + x * sin + y * cos, 3)) for x, y in along)
