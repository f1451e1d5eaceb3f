"""The leather cut up along all regions' borders: each atom lies wholly in, or wholly out of, every region."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from nesting.geometry.solid import solid

CRUMB = 1.0
"""Atoms below this area (mm²) are not told apart: they count as leather for everything."""


@dataclass(frozen=True)
class Atom:
    """A part of the leather and the regions (indices) that it belongs to."""

    shape: BaseGeometry
    regions: frozenset[int]


def atoms(regions: Sequence[BaseGeometry]) -> tuple[tuple[Atom, ...], float]:
    """The atoms of some regions, and the area of all crumbs together, mm².

    Validity. Overlays may lose leather. What an atom or a region is cut into must have its area in all; what lacks, as
    an overlay or the mending of a ring lost it, counts as crumbs, and so does a crumb each time a region holds it. What
    one of two cuts (of the atom, of the region) lost the other still tells of. Leather told of twice only gives room.
    """
    found: list[Atom] = []
    left: BaseGeometry = shapely.Polygon()
    crumbs = 0.0
    for index, region in enumerate(regions):
        if region.is_empty:
            continue
        region = solid(region)
        fresh = solid(region.difference(left))
        cut = [Atom(fresh, frozenset([index]))] if fresh.area > 0 else []
        lacks = region.area - fresh.area
        for atom in found:
            inside = solid(atom.shape.intersection(region))
            outside = solid(atom.shape.difference(region)) if inside.area > 0 else atom.shape
            cut += [Atom(inside, atom.regions | {index}), Atom(outside, atom.regions)]
            crumbs += max(0.0, atom.shape.area - inside.area - outside.area)
            lacks -= inside.area
        found = [atom for atom in cut if atom.shape.area > CRUMB]
        crumbs += max(0.0, lacks) + sum(atom.shape.area for atom in cut if atom.shape.area <= CRUMB)
        left = solid(left.union(region))
    return tuple(found), crumbs
