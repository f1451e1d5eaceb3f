"""Efforts as fixed budgets, so that the same input, seed and effort give the same layout on any load."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Budget:
    """How much a search may do: constructions a goal, poses for all squeezing, angles for a free piece."""

    constructions: int
    poses: int
    angles: int


BUDGETS = {
    "quick": Budget(constructions=6, poses=300_000, angles=4),
    "normal": Budget(constructions=40, poses=12_000_000, angles=8),
    "thorough": Budget(constructions=200, poses=240_000_000, angles=16),
}
