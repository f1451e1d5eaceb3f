"""What the bench needs to know of a product once its pieces are cut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from shapely.geometry import Polygon

from nesting.drawing.cards.strap_ends import StrapEnds, strap_ends
from nesting.making.joints import Use, fastener_remarks, uses
from nesting.making.pick import rule_text
from nesting.model.making import EdgeWork, Layer, Making
from nesting.model.product import Piece, Product


@dataclass(frozen=True)
class Punch:
    """One size of punch: how many holes each piece has, how many one product takes."""

    diameter: float
    pieces: tuple[tuple[str, int, int], ...]
    """piece, holes in one of it, pieces in a product"""

    @property
    def each(self) -> int:
        """Holes in one product."""
        return sum(holes * count for _, holes, count in self.pieces)


@dataclass(frozen=True)
class Finish:
    """One operation on edges: metres in one product, and minutes where its speed is told."""

    work: EdgeWork
    metres: float
    minutes: float | None


@dataclass(frozen=True)
class CardStep:
    """One joint: what lies on what, what holds it, which edges come first, and what hangs free afterwards."""

    number: int
    use: Use
    finish_first: tuple[str, ...]
    free: tuple[tuple[str, str], ...]
    """piece, its group of holes that nothing holds yet and that this joint does not take up"""


@dataclass(frozen=True)
class Card:
    """A product's card; `made` products are cut, from leather `t` mm thick (None: not told)."""

    product: Product
    made: int
    t: float | None
    punches: tuple[Punch, ...]
    finishes: tuple[Finish, ...]
    straps: tuple[StrapEnds, ...]
    steps: tuple[CardStep, ...]
    remarks: tuple[str, ...]


def card_of(product: Product, made: int, t: float | None) -> Card:
    """The card of a product, in the order its file has joints and edge work in."""
    making = product.making
    found = uses(product, making, t) if t is not None else tuple(Use(j, 0.0, None, None, 0) for j in making.joints)
    return Card(
        product=product,
        made=made,
        t=t,
        punches=_punches(product.pieces),
        finishes=_finishes(product.pieces, making),
        straps=tuple(ends for piece in product.pieces if (ends := strap_ends(piece))),
        steps=_steps(found, making, product.pieces),
        remarks=_remarks(found, making, t),
    )


def _punches(pieces: Sequence[Piece]) -> tuple[Punch, ...]:
    sizes = sorted({round(hole.diameter, 2) for piece in pieces for hole in piece.holes})
    rows = []
    for size in sizes:
        holes = [(piece, sum(round(hole.diameter, 2) == size for hole in piece.holes)) for piece in pieces]
        rows.append(Punch(size, tuple((piece.name, number, piece.count) for piece, number in holes if number)))
    return tuple(rows)


def _finishes(pieces: Sequence[Piece], making: Making) -> tuple[Finish, ...]:
    """The edge work of the file, else that of its labour: the pieces whose edges are finished, at its speed."""
    works = making.edges or _plain_work(pieces, making)
    return tuple(_finish(work, pieces) for work in works)


def _plain_work(pieces: Sequence[Piece], making: Making) -> tuple[EdgeWork, ...]:
    labour = making.labour
    if labour is None or (labour.edge is None and labour.edges is None):
        return ()
    names = labour.edges if labour.edges is not None else tuple(piece.name for piece in pieces)
    return (EdgeWork("finish", names, "edge", None, labour.edge),) if names else ()


def _finish(work: EdgeWork, pieces: Sequence[Piece]) -> Finish:
    times = 2 if work.faces == "both" else 1
    length = sum(edge_length(piece, work.inset or 0.0) * piece.count for piece in pieces if piece.name in work.pieces)
    return Finish(work, times * length / 1000, times * length / work.speed if work.speed else None)


def edge_length(piece: Piece, inset: float = 0.0) -> float:
    """mm of a piece's edge, openings left out; along a line `inset` mm inside it."""
    shape = Polygon(piece.outline)
    return float(shape.length if inset == 0 else shape.buffer(-inset, join_style="mitre").length)


def _steps(found: Sequence[Use], making: Making, pieces: Sequence[Piece]) -> tuple[CardStep, ...]:
    """The joints that something holds, numbered; a piece's edges are finished before its first."""
    finished = {name for work in making.edges for name in work.pieces}
    if not making.edges and making.labour:
        finished = set(making.labour.edges if making.labour.edges is not None else [piece.name for piece in pieces])
    held: Counter[tuple[str, str]] = Counter()
    there: set[str] = set()
    steps: list[CardStep] = []
    for use in found:
        if not use.joint.fastener:
            continue
        names = list(dict.fromkeys(layer.piece for layer in use.joint.layers if layer.piece))
        first = tuple(name for name in names if name in finished and name not in there)
        there |= set(names)
        _hold(held, use.joint.layers, use.joint.count)
        here = {(layer.piece, group) for layer in use.joint.layers for group in layer.groups}
        free = tuple(each for each in _free(names, held, pieces, making) if each not in here)
        steps.append(CardStep(len(steps) + 1, use, first, free))
    return tuple(steps)


def _hold(held: Counter[tuple[str, str]], layers: Sequence[Layer], count: int) -> None:
    for layer in layers:
        for group in layer.groups:
            held[layer.piece, group] += layer.pieces * count


def _free(
    names: Sequence[str], held: Counter[tuple[str, str]], pieces: Sequence[Piece], making: Making
) -> tuple[tuple[str, str], ...]:
    """Groups of holes of these pieces that a later joint takes up and that nothing holds yet."""
    wanted = {(layer.piece, g) for j in making.joints if j.fastener for layer in j.layers for g in layer.groups}
    kinds = {piece.name: piece for piece in pieces}
    groups = [(name, group) for name in names for group in dict.fromkeys(h.group for h in kinds[name].holes)]
    return tuple(each for each in groups if each in wanted and held[each] < kinds[each[0]].count)


def _remarks(found: Sequence[Use], making: Making, t: float | None) -> tuple[str, ...]:
    told = [f"{f.name}: {rule_text(f)}" for f in making.fasteners if f.kind != "thread"]
    if t is None and making.joints:
        return ("The hide states no thickness, so that no stack and no size of fastener can be told.",)
    return (*told, *(f"{remark.joint}: {remark.text}" for remark in fastener_remarks(found)))
