"""The tables of a project's making as immutable values: millimetres, grams, minutes, and money in one currency."""

from __future__ import annotations

from dataclasses import dataclass, field

KINDS = ("post", "rivet", "snap", "thread")
FACES = ("edge", "grain", "flesh", "both")
"""Where an edge is worked: the edge itself, along it on one face, or along it on both."""
ENTERS = ("front", "back")


@dataclass(frozen=True)
class Size:
    """One size of a fastener: its length between the heads, and the stacks it grips (of a snap, or where stated).

    `price` and `weight` (g) are for one; of thread, for a metre.
    """

    name: str
    length: float | None = None
    grip: tuple[float, float] | None = None
    price: float = 0.0
    weight: float = 0.0


@dataclass(frozen=True)
class Fastener:
    """A fastener and the sizes the maker keeps of it.

    `kind` says by which rule the size is picked (see `pick`). `share` is the range of a post's length as a share of
    the stack, where the maker's list states one (None: by grip), `proud` the most a rivet may be longer than the stack
    (mm), `edge` the least distance from a hole's centre to the edge (None: by common practice). `hole` is the diameter
    to be punched for it, `spare` the share bought above what is needed, `tail` the thread left at the ends of a seam.
    """

    name: str
    kind: str
    sizes: tuple[Size, ...]
    share: tuple[float, float] | None = None
    proud: float = 3.0
    hole: float | None = None
    spare: float = 0.0
    tail: float = 0.0
    edge: float | None = None


@dataclass(frozen=True)
class Layer:
    """One layer of a joint: `pieces` of a kind side by side, each `plies` thick, with the holes of some groups.

    A layer that is no piece (a washer, a felt) has an empty `piece` and its own `thickness` in mm. `turned` tells that
    the leather lies the other side up there, as the second end of a folded piece does.
    """

    piece: str = ""
    groups: tuple[str, ...] = ()
    pieces: int = 1
    plies: int = 1
    thickness: float | None = None
    turned: bool = False


@dataclass(frozen=True)
class Joint:
    """Layers from the front to the back, and what holds them; `count` such joints are in one product.

    Without a fastener the joint only says that the hole patterns must agree, to `tolerance` mm. A seam without
    punched holes has its length `seam` and its `pitch` in mm instead of groups. `enters` is the side from which the
    fastener is put in.
    """

    name: str
    layers: tuple[Layer, ...]
    fastener: str = ""
    count: int = 1
    tolerance: float = 0.5
    seam: float | None = None
    pitch: float | None = None
    enters: str = "front"


@dataclass(frozen=True)
class EdgeWork:
    """One operation on the edges of some pieces: bevelled, grooved, burnished, ...

    `faces` says where (see `FACES`), `inset` how far from the edge (mm), `speed` how many mm are worked in a minute;
    None where not told.
    """

    name: str
    pieces: tuple[str, ...]
    faces: str = "edge"
    inset: float | None = None
    speed: float | None = None


@dataclass(frozen=True)
class SeamSide:
    """One side of a seam: the piece, how long the line is that is sewn there (mm), and the group of its holes."""

    piece: str
    length: float
    group: str = ""


@dataclass(frozen=True)
class Seam:
    """Edges that are sewn together; the reader has made sure that lengths and holes agree to `tolerance` mm."""

    name: str
    sides: tuple[SeamSide, ...]
    tolerance: float = 1.0

    @property
    def length(self) -> float:
        """Its length on its first side, mm."""
        return self.sides[0].length


@dataclass(frozen=True)
class Material:
    """Anything else in a product: `amount` of a `unit`, with price and weight (g) of one unit."""

    name: str
    amount: float
    unit: str = "piece"
    price: float = 0.0
    weight: float = 0.0
    spare: float = 0.0


@dataclass(frozen=True)
class Labour:
    """How fast the maker works. `rate` is money an hour; `cut`, `edge` and `sewing` mm a minute (None: not counted);
    `hole` and `fastener` minutes each; `assembly` minutes a product; `setup` minutes a batch.

    `edges` names the pieces whose edges are finished (None: all).
    """

    rate: float
    cut: float | None = None
    edge: float | None = None
    edges: tuple[str, ...] | None = None
    sewing: float | None = None
    hole: float = 0.0
    fastener: float = 0.0
    assembly: float = 0.0
    setup: float = 0.0


@dataclass(frozen=True)
class Overhead:
    """What a product carries of rent, tools and light: money each, money an hour of labour, share of its cost."""

    per_product: float = 0.0
    per_hour: float = 0.0
    share: float = 0.0


@dataclass(frozen=True)
class Pricing:
    """The currency of the file's prices, the overhead, and the maker's multipliers of the total cost."""

    currency: str = ""
    overhead: Overhead = field(default_factory=Overhead)
    wholesale: float | None = None
    retail: float | None = None


@dataclass(frozen=True)
class Care:
    """Whether the product hangs or carries something, so that the sheets show the usual cautions."""

    hangs: bool = False


@dataclass(frozen=True)
class Making:
    """All tables of a project that are not about its pieces."""

    joints: tuple[Joint, ...] = ()
    fasteners: tuple[Fastener, ...] = ()
    materials: tuple[Material, ...] = ()
    labour: Labour | None = None
    pricing: Pricing = field(default_factory=Pricing)
    care: Care = field(default_factory=Care)
    seams: tuple[Seam, ...] = ()
    edges: tuple[EdgeWork, ...] = ()

    def fastener(self, name: str) -> Fastener:
        """The fastener of that name (the reader has made sure that there is one)."""
        return next(each for each in self.fasteners if each.name == name)
