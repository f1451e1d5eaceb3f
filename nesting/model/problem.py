"""What the search sees: kinds of pieces, the regions they may lie in, and what products are worth.

Polygons, degrees and millimetres only. Regions carry every demand on the leather: grades, flaws and their
clearance, the edge strip, thickness, zones with their own direction.
"""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

SLACK = 1e-6
"""What an angle (degrees) may be off by that was written to a file."""


@dataclass(frozen=True)
class Orientation:
    """One way a kind may lie: turned over or not, within an interval of angles (degrees, counter-clockwise).

    `regions` names, for each of the kind's parts, the region (an index into `Problem.regions`) it must lie in.
    """

    mirrored: bool
    low: float
    high: float
    regions: tuple[int, ...]


@dataclass(frozen=True)
class Kind:
    """One kind of piece: `count` make one product (an index into `Problem.wanted`).

    `parts` are the outline itself, or for a piece with covered parts the areas that ask for one grade each;
    together they are the outline. `given` of the kind lie there already, on leather that no region holds any more.
    """

    name: str
    product: int
    outline: Polygon
    parts: tuple[BaseGeometry, ...]
    count: int
    orientations: tuple[Orientation, ...]
    spare: bool = False
    given: int = 0

    @property
    def area(self) -> float:
        """Leather one piece takes, mm²."""
        return float(self.outline.area)

    def ways(self, mirrored: bool, angle: float) -> list[tuple[int, float]]:
        """The orientations in which it may lie at an angle (degrees): the number of each, and the angle within it."""
        found = []
        for number, one in enumerate(self.orientations):
            over = (angle - one.low + SLACK) % 360.0 - SLACK
            if one.mirrored == mirrored and over <= one.high - one.low + SLACK:
                found.append((number, min(max(one.low + over, one.low), one.high)))
        return found

    def oriented(self, number: int) -> Polygon:
        """The outline as its orientation of that number has it: turned over (x to −x) or not, at no angle yet."""
        if not self.orientations[number].mirrored:
            return self.outline
        return Polygon([(-x, y) for x, y in reversed(self.outline.exterior.coords)])


@dataclass(frozen=True)
class Wanted:
    """A product as the search sees it: what one complete product is worth, and how many at most."""

    name: str
    worth: float = 1.0
    limit: int | None = None


@dataclass(frozen=True)
class Fixed:
    """A piece that stays: its kind, and the carry from the piece's own frame (mirror, turn in degrees, shift in mm)."""

    kind: int
    mirrored: bool
    angle: float
    x: float
    y: float


@dataclass(frozen=True)
class Problem:
    """A nesting problem on one piece of leather.

    `regions` never reach beyond the leather they stand for; `outer` are the same regions grown a little so
    that they surely hold it: bounds use these. `gap` is the distance kept between pieces, `bearing` the way
    rows best run (the backbone's), degrees. `better` are the leather of each grade or better, best first, with what
    a mm² of it is worth beyond the next: of two layouts alike the one that takes less of it is wanted. `datum` is the
    bearing of the line that long sides are best laid along, degrees.

    Where pieces stay (`fixed`), no region holds the leather under them; `bare` are the same regions with that leather,
    so that a search can take these pieces as it takes those it lays. Empty where none stays.
    """

    regions: tuple[BaseGeometry, ...]
    outer: tuple[BaseGeometry, ...]
    kinds: tuple[Kind, ...]
    wanted: tuple[Wanted, ...]
    gap: float = 0.0
    bearing: float = 0.0
    better: tuple[tuple[BaseGeometry, float], ...] = ()
    datum: float = 0.0
    fixed: tuple[Fixed, ...] = ()
    bare: tuple[BaseGeometry, ...] = ()

    @property
    def leather(self) -> tuple[BaseGeometry, ...]:
        """The regions with the leather under pieces that stay."""
        return self.bare or self.regions

    def kinds_of(self, product: int) -> list[int]:
        """Indices of the kinds that make up a product."""
        return [index for index, kind in enumerate(self.kinds) if kind.product == product]
