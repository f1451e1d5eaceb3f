"""Efforts as fixed budgets, so that the same input, seed and effort give the same layout on any load."""

from __future__ import annotations

from dataclasses import dataclass, replace

from nesting.search.rectangles.packing import PackingBudget

GROWS = ("orders", "moves", "moves_a_piece", "moves_times_pieces", "turns")
MORE, HOPEFUL = 3, 2.0
"""Beside pieces that stay: what there is more of and how many times, and the share of a product that may lack then."""


@dataclass(frozen=True)
class SearchBudget:
    """How much a search may do.

    Constructions a goal; runs of orders a goal, orders a run and pairs laid as one in them; constructions for a better
    leftover, fillings with spares, sides from which all is laid anew to be tidy; moves for all windows and squeezing,
    the most of them for every piece of a goal and the most that they come to times its pieces (a move among many takes
    longer), the share of a product that may lack after the orders for more to be tried, and the turns that these last
    for; angles for a free piece in constructions and in squeezing; and the packing of rectangles a goal.
    """

    constructions: int
    runs: int
    orders: int
    pairs: int
    tidies: int
    spares: int
    sides: int
    moves: int
    moves_a_piece: int
    moves_times_pieces: int
    hopeless: float
    turns: int
    angles: int
    rotations: int
    packing: PackingBudget

    def beside_fixed(self) -> SearchBudget:
        """The budget beside pieces that stay: what is left is places for single pieces, each found or missed.

        So what lacks tells little, and more orders are laid; of few pieces they cost little.
        """
        many = {name: MORE * getattr(self, name) for name in GROWS}
        return replace(self, hopeless=max(self.hopeless, HOPEFUL), **many)


BUDGETS = {
    "quick": SearchBudget(
        constructions=8,
        runs=4,
        orders=24,
        pairs=0,
        tidies=2,
        spares=1,
        sides=4,
        moves=100_000,
        moves_a_piece=1400,
        moves_times_pieces=8_000_000,
        hopeless=0.6,
        turns=1,
        angles=4,
        rotations=4,
        packing=PackingBudget(1_000_000, 0.5),
    ),
    "normal": SearchBudget(
        constructions=12,
        runs=4,
        orders=150,
        pairs=6,
        tidies=8,
        spares=8,
        sides=24,
        moves=1_000_000,
        moves_a_piece=1_000_000,
        moves_times_pieces=10**12,
        hopeless=0.9,
        turns=4,
        angles=4,
        rotations=8,
        packing=PackingBudget(30_000_000, 3.0),
    ),
    "thorough": SearchBudget(
        constructions=60,
        runs=16,
        orders=150,
        pairs=6,
        tidies=40,
        spares=8,
        sides=24,
        moves=20_000_000,
        moves_a_piece=20_000_000,
        moves_times_pieces=10**12,
        hopeless=1.0,
        turns=20,
        angles=8,
        rotations=16,
        packing=PackingBudget(400_000_000, 60.0),
    ),
}
