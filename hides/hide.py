"""The leather itself: one hide (or side, bend, offcut, ...) as an immutable value in millimetres.

Terms. *Outline*: the ring that the knife may not cross. *Backbone*: the direction of least stretch.
*Grade*: A is best, D worst, `NONE` cannot be used at all. *Flaw*: a hole, scar, brand or the like.
*Zone*: a part of the hide that is weaker or thinner, or whose fibre runs another way (belly, neck, shank).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from enum import IntEnum
from functools import cached_property

from shapely.geometry import Polygon

Point = tuple[float, float]
Ring = tuple[Point, ...]
"""Corner points of a closed ring, first point not repeated, counter-clockwise, millimetres."""
Segment = tuple[Point, Point]

CUTS = ("hide", "side", "back", "butt", "bend", "double shoulder", "shoulder", "belly", "offcut")


class Grade(IntEnum):
    """Quality of leather, best first, so that `max` is the worst and `a <= b` means a is at least as good.

    >>> max(Grade.A, Grade.C).label
    'C'
    """

    A = 0
    B = 1
    C = 2
    D = 3
    NONE = 4

    @property
    def label(self) -> str:
        """The letter files and sheets use."""
        return "none" if self is Grade.NONE else self.name


@dataclass(frozen=True)
class Thickness:
    """A range of thickness in millimetres.

    >>> Thickness(3.0, 4.0).middle
    3.5
    """

    low: float
    high: float

    @property
    def middle(self) -> float:
        """The `t` of the project file's expressions."""
        return (self.low + self.high) / 2

    def inside(self, other: Thickness) -> bool:
        """Whether the whole of this range lies inside `other` (to a thousandth of a millimetre)."""
        return other.low - 1e-3 <= self.low and self.high <= other.high + 1e-3


@dataclass(frozen=True)
class Price:
    """What leather costs: `per_mm2` in `currency`, for the area that is paid for.

    >>> Price(per_mm2=8 / 92903.04, currency="USD", per_area=8.0, unit="sq ft").unit
    'sq ft'
    """

    per_mm2: float
    currency: str
    per_area: float
    unit: str


@dataclass(frozen=True)
class Flaw:
    """A fault in the leather. Pieces that ask for better than `grade` keep `clearance` away from it.

    >>> Flaw("scar", ((10, 10), (20, 10), (20, 12)), grade=Grade.C, clearance=3.0).grade.label
    'C'
    """

    kind: str
    outline: Ring
    grade: Grade = Grade.NONE
    clearance: float = 0.0


@dataclass(frozen=True)
class Zone:
    """A part of the hide with its own grade, thickness or direction of least stretch.

    >>> Zone("belly", ((0, 0), (300, 0), (300, 40), (0, 40)), grade=Grade.C).thickness is None
    True
    """

    name: str
    outline: Ring
    grade: Grade = Grade.A
    thickness: Thickness | None = None
    backbone: Segment | None = None


@dataclass(frozen=True)
class HidePhoto:
    """A photo of the hide laid flat: the name of a picture beside the hide file, and the box (left, low, right,
    high; mm of the hide) that it fills.

    >>> HidePhoto("S-07.jpg", (0.0, 0.0, 2200.0, 1300.0)).file
    'S-07.jpg'
    """

    file: str
    box: tuple[float, float, float, float]


@dataclass(frozen=True)
class Hide:
    """One piece of leather to cut from.

    All lengths are millimetres, areas mm². `area` is what the supplier marked (and is paid for), or None.
    `estimate` says that the outline was not measured (a typical outline scaled to an invoice's area); every
    answer made from such a hide says so. `parent` names the hide an offcut came from.

    >>> Hide("board", ((0, 0), (300, 0), (300, 200), (0, 200)), backbone=((0, 0), (300, 0))).direction
    0.0
    """

    name: str
    outline: Ring
    cut: str = "hide"
    holes: tuple[Ring, ...] = ()
    backbone: Segment | None = None
    grade: Grade = Grade.A
    thickness: Thickness | None = None
    edge: float = 0.0
    area: float | None = None
    price: Price | None = None
    flaws: tuple[Flaw, ...] = ()
    zones: tuple[Zone, ...] = ()
    estimate: bool = False
    leather: str = ""
    colour: str = ""
    lot: str = ""
    parent: str = ""
    photo: HidePhoto | None = None
    units: str = field(default="mm", compare=False)

    @cached_property
    def polygon(self) -> Polygon:
        """The leather that is there: outline less holes."""
        return Polygon(self.outline, self.holes)

    @property
    def measured_area(self) -> float:
        """Area of the outline less the holes, mm²."""
        return float(self.polygon.area)

    @property
    def paid_area(self) -> float:
        """The area that is paid for: the marked one, else the measured one."""
        return self.area if self.area is not None else self.measured_area

    @property
    def cost(self) -> float | None:
        """What this hide costs, or None where it has no price."""
        return self.price.per_mm2 * self.paid_area if self.price else None

    @property
    def direction(self) -> float | None:
        """Angle of the backbone, degrees counter-clockwise from +x, or None."""
        return None if self.backbone is None else bearing(self.backbone)

    def with_edge(self, edge: float) -> Hide:
        """The same hide with another strip kept clear along its edge."""
        return replace(self, edge=edge)


def bearing(segment: Segment) -> float:
    """Angle of a segment from its first point to its second, degrees counter-clockwise from +x."""
    (x0, y0), (x1, y1) = segment
    return math.degrees(math.atan2(y1 - y0, x1 - x0))
