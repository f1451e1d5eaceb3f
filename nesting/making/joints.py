"""A product's joints in leather of one thickness: do the holes agree, how thick is each stack, which fastener suits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Point, Polygon

from hides.hide import Point as Spot
from nesting.making.pattern import Fit, best_fit
from nesting.making.pick import pick, rule_text, thread_length, wanted_text
from nesting.model.making import Fastener, Joint, Layer, Making, Size
from nesting.model.product import Piece, Product, PunchHole
from nesting.project.joint_reader import holes_of

POST_EDGE = 9.525
"""Hole centre to edge for screw posts, 3/8 in (common practice), mm."""
EDGE_DIAMETERS = 2.0
"""Hole centre to edge in diameters of the hole (common practice)."""
RIVET_SPACING = 8.0
"""Least distance of rivet centres (common practice), mm."""
SNUG = 0.5
"""How far a punched hole may differ from the one its fastener asks for, mm."""


@dataclass(frozen=True)
class Use:
    """A joint with its stack (mm) and what holds it.

    `number` is how many of the fastener one product takes in these joints, of thread how many mm; `run` is the
    length of one seam, mm. `size` is None where the maker's list holds none that suits.
    """

    joint: Joint
    stack: float
    fastener: Fastener | None
    size: Size | None
    number: float
    run: float = 0.0

    @property
    def amount(self) -> float:
        """What one product takes in the unit that prices and weights are given for: pieces, of thread metres."""
        return self.number / 1000 if self.fastener and self.fastener.kind == "thread" else self.number


@dataclass(frozen=True)
class Remark:
    """Something about a joint that the maker should know; a `fault` means that it cannot be put together as drawn."""

    joint: str
    text: str
    fault: bool = False


@dataclass(frozen=True)
class Misfit:
    """A hole of a piece (its own frame, mm) that is `off` mm from the hole it should fall on in a joint."""

    joint: str
    piece: str
    at: Spot
    off: float


def stack_of(joint: Joint, t: float) -> float:
    """Thickness of a joint's layers in leather `t` mm thick.

    >>> stack_of(Joint("j", (Layer("a"), Layer("b", plies=2), Layer(thickness=1.5))), 4.0)
    13.5
    """
    return sum(layer.plies * (t if layer.thickness is None else layer.thickness) for layer in joint.layers)


def uses(product: Product, making: Making, t: float) -> tuple[Use, ...]:
    """Every joint of the product with its stack and fastener."""
    return tuple(_use(joint, product, making, t) for joint in making.joints)


def joint_remarks(product: Product, making: Making) -> tuple[Remark, ...]:
    """What is to be said about the hole patterns, whatever the leather's thickness."""
    found: list[Remark] = []
    for joint in making.joints:
        found += _pattern_remarks(joint, product)
        found += _one_end_only(joint)
        if joint.fastener:
            found += _place_remarks(joint, making.fastener(joint.fastener), product)
    return (*found, *_edge_remarks(product, making), *_loose_groups(product, making))


def misfits(product: Product, making: Making) -> tuple[Misfit, ...]:
    """Every hole that is off by more than its joint allows."""
    found: list[Misfit] = []
    for joint in making.joints:
        patterns = _patterns(joint, product)
        if len(patterns) < 2:
            continue
        base_layer, base = max(patterns, key=lambda pattern: len(pattern[1]))
        for layer, points in (each for each in patterns if each[0] is not base_layer):
            fit = best_fit(np.array(points), np.array(base), joint.tolerance)
            for i in fit.wrong(joint.tolerance):
                found.append(Misfit(joint.name, layer.piece, points[i], fit.off[i]))
                found.append(Misfit(joint.name, base_layer.piece, base[fit.onto[i]], fit.off[i]))
    return tuple(found)


def fastener_remarks(found: Sequence[Use]) -> tuple[Remark, ...]:
    """Joints for which the maker's list holds no size."""
    return tuple(
        Remark(
            use.joint.name,
            f"no {use.fastener.name} in the list suits a stack of {use.stack:.1f} mm; "
            f"wanted is {wanted_text(use.fastener, use.stack)} ({rule_text(use.fastener)})",
            True,
        )
        for use in found
        if use.fastener and use.size is None
    )


def _use(joint: Joint, product: Product, making: Making, t: float) -> Use:
    stack = stack_of(joint, t)
    if not joint.fastener:
        return Use(joint, stack, None, None, 0)
    fastener = making.fastener(joint.fastener)
    size = pick(fastener, stack)
    if fastener.kind != "thread":
        return Use(joint, stack, fastener, size, _hole_count(joint, product) * joint.count)
    pitches = _pitches(joint, product)
    each = thread_length(pitches, stack, fastener.tail)
    return Use(joint, stack, fastener, size, each * joint.count, sum(pitches))


def _hole_count(joint: Joint, product: Product) -> int:
    layer, points = _patterns(joint, product)[0]
    return len(points) * layer.pieces


def _pitches(joint: Joint, product: Product) -> list[float]:
    """From stitch to stitch along a seam, mm; punched holes are sewn in the order they stand in the file."""
    if joint.seam is not None and joint.pitch is not None:
        number = max(round(joint.seam / joint.pitch), 1)
        return [joint.seam / number] * number
    _, points = max(_patterns(joint, product), key=lambda pattern: len(pattern[1]))
    return [float(step) for step in np.hypot(*np.diff(np.array(points), axis=0).T)]


def _patterns(joint: Joint, product: Product) -> list[tuple[Layer, list[Spot]]]:
    pieces = {piece.name: piece for piece in product.pieces}
    return [(layer, holes_of(layer, pieces[layer.piece])) for layer in joint.layers if layer.groups]


def _pattern_remarks(joint: Joint, product: Product) -> list[Remark]:
    """Every layer against the fullest: the one whose single piece has all the holes."""
    patterns = _patterns(joint, product)
    if len(patterns) < 2:
        return []
    base_layer, base = max(patterns, key=lambda pattern: len(pattern[1]))
    found = []
    for layer, points in patterns:
        if layer is not base_layer:
            found += _compared(joint, layer, points, base_layer, base)
    return found


def _compared(joint: Joint, layer: Layer, points: list[Spot], base_layer: Layer, base: list[Spot]) -> list[Remark]:
    fit = best_fit(np.array(points), np.array(base), joint.tolerance)
    if fit.turned_over and not fit.wrong(joint.tolerance):
        if layer.turned != base_layer.turned:
            return []
        text = (
            f"the holes of “{layer.piece}” fall on those of “{base_layer.piece}” only when one of them is turned over"
        )
        return [Remark(joint.name, text)]
    return [
        Remark(joint.name, _off_text(layer.piece, i, points[i], fit, base_layer.piece, base, joint.tolerance), True)
        for i in fit.wrong(joint.tolerance)
    ]


def _off_text(piece: str, i: int, at: Spot, fit: Fit, base_piece: str, base: Sequence[Spot], tolerance: float) -> str:
    onto = fit.onto[i]
    return (
        f"hole {i + 1} of “{piece}” at {_at(at)} is {fit.off[i]:.1f} mm off hole {onto + 1} of “{base_piece}” "
        f"at {_at(base[onto])}; up to {tolerance:g} mm is allowed"
    )


def _at(spot: Spot) -> str:
    return f"({spot[0]:g}, {spot[1]:g}) mm"


def _place_remarks(joint: Joint, fastener: Fastener, product: Product) -> list[Remark]:
    found: list[Remark] = []
    pieces = {piece.name: piece for piece in product.pieces}
    seen: set[tuple[str, tuple[str, ...]]] = set()
    for layer in joint.layers:
        if layer.groups and (layer.piece, layer.groups) not in seen:
            seen.add((layer.piece, layer.groups))
            piece = pieces[layer.piece]
            holes = [hole for hole in piece.holes if hole.group in layer.groups]
            texts = [*_spacing(piece, holes, fastener), *_snug(piece, holes, fastener)]
            found += [Remark(joint.name, text) for text in texts]
    return found


def _edge_remarks(product: Product, making: Making) -> list[Remark]:
    """Holes too near to the edge, told once a fastener by the nearest of every piece, with the way to set it."""
    near: dict[str, dict[str, list[tuple[float, PunchHole]]]] = {}
    pieces = {piece.name: piece for piece in product.pieces}
    for joint in (each for each in making.joints if each.fastener):
        fastener = making.fastener(joint.fastener)
        for layer in (each for each in joint.layers if each.groups):
            found = _too_near(pieces[layer.piece], layer.groups, fastener)
            if found:
                near.setdefault(fastener.name, {}).setdefault(layer.piece, []).extend(found)
    return [_edge_remark(making.fastener(name), of) for name, of in near.items()]


def _too_near(piece: Piece, groups: Sequence[str], fastener: Fastener) -> list[tuple[float, PunchHole]]:
    rim = Polygon(piece.outline, piece.cutouts).boundary
    holes = [(rim.distance(Point(hole.at)), hole) for hole in piece.holes if hole.group in groups]
    return [(distance, hole) for distance, hole in holes if distance < _least_edge(hole, fastener)[0] - 1e-3]


def _edge_remark(fastener: Fastener, near: dict[str, list[tuple[float, PunchHole]]]) -> Remark:
    told = []
    for piece, holes in near.items():
        distance = min(distance for distance, _ in holes)
        number = len({hole.at for _, hole in holes})
        told.append(f"{number} holes of “{piece}”, {distance:.1f} mm from it" if number > 1 else
                    f"a hole of “{piece}”, {distance:.1f} mm from it")  # fmt: skip
    hole = min((pair for holes in near.values() for pair in holes), key=lambda pair: pair[0])[1]
    least, why = _least_edge(hole, fastener)
    text = (
        f"near the edge: {'; '.join(told)}; {why} at least {least:.1f} mm "
        f'(edge = "{least:.1f} mm" in [[fastener]] “{fastener.name}” sets it)'
    )
    return Remark(fastener.name, text)


def _least_edge(hole: PunchHole, fastener: Fastener) -> tuple[float, str]:
    if fastener.edge is not None:
        return fastener.edge, "the fastener asks for"
    least = EDGE_DIAMETERS * hole.diameter
    if fastener.kind == "post" and least < POST_EDGE:
        return POST_EDGE, "common practice, 3/8 in for a screw post, is"
    return least, "common practice, two hole diameters, is"


def _spacing(piece: Piece, holes: Sequence[PunchHole], fastener: Fastener) -> list[str]:
    texts = []
    for i, one in enumerate(holes):
        for other in holes[:i]:
            distance = Point(one.at).distance(Point(other.at))
            touching = (one.diameter + other.diameter) / 2
            if distance <= touching:
                texts.append(f"two holes of “{piece.name}” run into one another at {_at(one.at)}")
            elif fastener.kind == "rivet" and distance < RIVET_SPACING - 1e-3:
                texts.append(
                    f"two rivets of “{piece.name}” are {distance:.1f} mm apart at {_at(one.at)}; "
                    f"common practice is at least {RIVET_SPACING:g} mm"
                )
    return texts


def _snug(piece: Piece, holes: Sequence[PunchHole], fastener: Fastener) -> list[str]:
    wanted = fastener.hole
    sizes = sorted({hole.diameter for hole in holes})
    return [
        f"the holes of “{piece.name}” are {size:g} mm wide, and {fastener.name} takes {wanted:.2f} mm"
        for size in sizes
        if wanted is not None and abs(size - wanted) > SNUG
    ]


def _one_end_only(joint: Joint) -> list[Remark]:
    """Layers that lie folded there, though the holes of one end alone are named."""
    return [
        Remark(
            joint.name,
            f"“{layer.piece}” lies {layer.plies} plies thick there, and only the holes of one end are named; "
            'ends = ["…", "…"] counts and checks them all',
        )
        for layer in joint.layers
        if layer.plies > 1 and layer.groups and joint.fastener
    ]


def _loose_groups(product: Product, making: Making) -> list[Remark]:
    """Groups of holes that no joint names: a slip, or holes that serve something else."""
    if not making.joints:
        return []
    named = {(layer.piece, group) for joint in making.joints for layer in joint.layers for group in layer.groups}
    named |= {(side.piece, side.group) for seam in making.seams for side in seam.sides}
    groups = {
        (piece.name, hole.group) for piece in product.pieces for hole in piece.holes if hole.group and not hole.purpose
    }
    return [Remark("", f"no joint uses the holes “{group}” of “{piece}”") for piece, group in sorted(groups - named)]
