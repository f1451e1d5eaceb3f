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
    """The atoms of some regions, and the area of all crumbs together, mm²."""
    found: list[Atom] = []
    left: BaseGeometry = shapely.Polygon()
    crumbs = 0.0
    for index, region in enumerate(regions):
        if region.is_empty:
            continue
        region = solid(region)
        fresh = solid(region.difference(left))
        cut = [Atom(fresh, frozenset([index]))] if fresh.area > 0 else []
        for atom in found:
            inside = solid(atom.shape.intersection(region))
            outside = solid(atom.shape.difference(region)) if inside.area > 0 else atom.shape
            cut += [Atom(inside, atom.regions | {index}), Atom(outside, atom.regions)]
        found = [atom for atom in cut if atom.shape.area > CRUMB]
        crumbs += sum(atom.shape.area for atom in cut if atom.shape.area <= CRUMB)
        left = solid(left.union(region))
    told = crumbs + sum(atom.shape.area for atom in found)
    return tuple(found), crumbs + max(0.0, left.area - told)  # what mending a ring may lose counts as crumbs
