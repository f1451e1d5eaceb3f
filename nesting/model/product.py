"""What is to be cut: a product and its pieces as immutable values in millimetres.

A piece has its own frame: its grain line is +y. It is carried onto a hide by mirroring (x to −x) if turned
over, then turning by an angle, then shifting.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from enum import Enum

from shapely.geometry import Polygon

from hides.hide import Grade, Point, Ring, Thickness
from nesting.model.choice import Choice
from nesting.model.making import Making


class Along(Enum):
    """Which way a piece's grain line runs on the hide.

    >>> Along("across") is Along.ACROSS
    True
    """

    BACKBONE = "backbone"
    ACROSS = "across"
    ANY = "any"


@dataclass(frozen=True)
class PunchHole:
    """A punch mark in the piece's frame. It takes no leather. `group` serves the joints; `purpose` says what else it
    is for, where nothing fastens it.
    """

    at: Point
    diameter: float
    group: str = ""
    purpose: str = ""


@dataclass(frozen=True)
class Cover:
    """A part of a piece that another piece hides, so that it may lie on leather of a worse grade."""

    outline: Ring
    grade: Grade


@dataclass(frozen=True)
class Near:
    """A wish to lie near a piece of the same product: from middle to middle at most `within` mm."""

    piece: str
    within: float


LINE_KINDS = ("fold", "crease", "stitch", "skive", "notch", "mark")
"""What a line on a piece that is not cut stands for; `mark` is any other."""


@dataclass(frozen=True)
class InnerLine:
    """A line on a piece that is not cut through, in the piece's frame.

    Of a skived edge the line is how far the skiving reaches: `width` from the edge, down to `left` of the thickness
    (both mm, None where not said).
    """

    kind: str
    points: tuple[Point, ...]
    width: float | None = None
    left: float | None = None
    name: str = ""


@dataclass(frozen=True)
class Piece:
    """One kind of piece; `count` of it go into one product.

    `outline` is a simple counter-clockwise ring. `cutouts` are openings cut inside the piece; they free no
    leather for other pieces. `angles`, where given, are the only angles allowed (degrees counter-clockwise
    from the backbone to the piece's +y) and stand in place of `along`, `tolerance` and `turn`. `lines` are not cut;
    `finished` is where the edge comes to lie when what is allowed for turning or lapping is folded in. `hand` is
    `left` or `right` of a piece that is made for both; `leather` one of the product's leathers.

    It lies `off_backbone` mm from the backbone, within the `regions` where the hide has any of these zones (or is such
    a cut), `near` pieces of its own product, and a left one within `pair_within` mm of its right one's mirrored place.

    >>> Piece("tab", ((0, 0), (20, 0), (20, 50), (0, 50)), count=2).area
    1000.0
    """

    name: str
    outline: Ring
    count: int = 1
    grade: Grade = Grade.A
    along: Along = Along.ANY
    tolerance: float = 0.0
    turn: bool = True
    mirror: bool = False
    angles: tuple[float, ...] | None = None
    holes: tuple[PunchHole, ...] = ()
    cutouts: tuple[Ring, ...] = ()
    thickness: Thickness | None = None
    spare: bool = False
    covered: tuple[Cover, ...] = ()
    lines: tuple[InnerLine, ...] = ()
    finished: Ring | None = None
    hand: str = ""
    leather: str = ""
    off_backbone: float = 0.0
    regions: tuple[str, ...] = ()
    near: tuple[Near, ...] = ()
    pair_within: float | None = None

    @property
    def polygon(self) -> Polygon:
        """The leather the piece takes, in its own frame."""
        return Polygon(self.outline)

    @property
    def area(self) -> float:
        """Leather the piece takes, mm² (cutouts included)."""
        return float(self.polygon.area)

    @property
    def needs_direction(self) -> bool:
        """Whether the piece may lie only some ways round, so that the hide must state its backbone."""
        return self.angles is None and self.along is not Along.ANY

    @property
    def needs_backbone(self) -> bool:
        """Whether the hide must state its backbone for this piece."""
        return self.needs_direction or self.off_backbone > 0 or self.pair_within is not None


@dataclass(frozen=True)
class ProductLeather:
    """One of a product's leathers: what hides of it are called, and its thickness `t` (None: not said)."""

    name: str
    called: str
    t: float | None = None


@dataclass(frozen=True)
class Product:
    """A product: its pieces, and what its making takes beside them (joints, fasteners, labour, ...).

    `source` is the file it was read from, for messages and for orders; `choices` what could be chosen, and what was;
    `leathers` those it is made of, where the project names them; `units` those the file speaks, and `ounces` whether it
    tells thickness in them; `straight` asks for its straight pieces in strips off one struck line.

    >>> tab = Piece("tab", ((0, 0), (20, 0), (20, 50), (0, 50)), count=2)
    >>> Product("key fob", (tab,)).area
    2000.0
    """

    name: str
    pieces: tuple[Piece, ...]
    source: str = ""
    making: Making = field(default_factory=Making, compare=False, hash=False)
    choices: tuple[Choice, ...] = field(default=(), compare=False, hash=False)
    leathers: tuple[ProductLeather, ...] = field(default=(), compare=False, hash=False)
    units: str = field(default="mm", compare=False)
    ounces: bool = field(default=False, compare=False)
    straight: bool = False

    @property
    def area(self) -> float:
        """Leather in one product, mm²."""
        return sum(piece.area * piece.count for piece in self.pieces)

    def of(self, leathers: Collection[str]) -> Product:
        """The part of the product that is cut from some of its leathers, named after them; itself where that is all."""
        if len(self.leathers) < 2 or all(leather.name in leathers for leather in self.leathers):
            return self
        pieces = tuple(piece for piece in self.pieces if piece.leather in leathers)
        there = {piece.name for piece in pieces}
        joints = tuple(j for j in self.making.joints if all(not each.piece or each.piece in there for each in j.layers))
        names = " + ".join(leather.name for leather in self.leathers if leather.name in leathers)
        making = replace(self.making, joints=joints)
        return replace(self, name=f"{self.name}: {names}", pieces=pieces, making=making)
