"""One block of strips butted on one line at one angle: the best there is, by branch and bound over the line's place.

Terms. *Cell*: all places of the line within a short interval. What a strip can give wherever the line lies in a cell
is no more than what its core gives that belongs to it at all of these places, so strips of cores bound the cell; a
cell that is not excluded is tried at the places where strips and corners of the leather meet, then split.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from nesting.model.settings import Stop, never
from nesting.search.straight.beam import beam
from nesting.search.straight.choose import Chosen, choose
from nesting.search.straight.forms import Form
from nesting.search.straight.ground import Ground
from nesting.search.straight.lattice import Relaxed
from nesting.search.straight.lattice_kernel import HAIR, StripGraph, good_strips, picked
from nesting.search.straight.strip_kernel import Yields

Ints = NDArray[np.int64]
FINEST = 0.02
"""A cell narrower than this (mm) is not split; it stays open."""
SPLIT = 4
EACH = 0.02
"""What a model costs beside CP-SAT's own time, in the same units."""
NO_STRIPS = StripGraph(np.empty((0, 3), np.int64), np.empty((0, 0), np.int64), np.zeros(1, np.int64))


@dataclass(frozen=True)
class StraightBudget:
    """How much a plan may cost: cells looked at for a first plan, places of the line tried in a cell, beam searches and
    plans kept in each, angles tried, CP-SAT's deterministic time for a model and for all at an angle, the most uses
    of strips in a model, blocks with lines of their own, and intervals of the angle that are bounded."""

    cells: int
    places: int
    beams: int
    wide: int
    angles: int
    time: float
    proof: float
    uses: int
    blocks: int
    sweeps: int

    @property
    def small(self) -> StraightBudget:
        """That of one of many trials, of which nothing is proven."""
        return replace(self, cells=min(self.cells, 5), places=2, beams=2, wide=min(self.wide, 60), proof=0.0)


BUDGETS = {
    "quick": StraightBudget(
        cells=6, places=2, beams=4, wide=30, angles=2, time=0.1, proof=0.2, uses=500, blocks=3, sweeps=0
    ),
    "normal": StraightBudget(
        cells=12, places=3, beams=8, wide=80, angles=4, time=0.3, proof=0.8, uses=2000, blocks=3, sweeps=66
    ),
    "thorough": StraightBudget(
        cells=40, places=6, beams=40, wide=400, angles=16, time=4.0, proof=40.0, uses=50_000, blocks=4, sweeps=1000
    ),
}


@dataclass(frozen=True)
class LaidStrip:
    """A strip of a block: where it begins above the origin of the line's frame, and its pieces from the left."""

    offset: float
    width: float
    pieces: tuple[tuple[Form, float], ...]


@dataclass(frozen=True)
class Block:
    """Strips along one line at `angle` (degrees, in the problem's frame); the line lies at the first one's offset."""

    angle: float
    products: int
    strips: tuple[LaidStrip, ...]

    def given(self, kinds: int) -> Ints:
        """How many pieces of each kind come off the strips."""
        laid = [form.kind for strip in self.strips for form, _ in strip.pieces]
        return np.bincount(np.array(laid, dtype=np.int64), minlength=kinds)


@dataclass
class Cell:
    base: float
    wide: float
    bound: float
    graph: StripGraph


@dataclass
class BlockSearch:
    """The search for one block. `need`: pieces of each kind in one product; `ceiling`: products wanted at most."""

    ground: Ground
    outer: Ground
    need: tuple[int, ...]
    ceiling: int
    budget: StraightBudget
    seed: int = 1
    stop: Stop = never
    best: Block | None = None
    best_count: int = 0
    at_most: int = 0
    spent: float = 0.0
    open: list[Cell] = field(default_factory=list)

    def run(self, floor: int = 0) -> None:
        """Find the most products above `floor`; afterwards `at_most` holds for every block along this angle."""
        self.best_count = self.at_most = floor
        if not self.outer.forms or not self.ground.forms:
            return
        self.relaxed = Relaxed(self.outer, self.need, grid_step(self.outer.widths))
        if not len(self.relaxed.bound):
            return
        cells = self._cells()
        self._first(cells)
        while cells and not self._halted():
            cells.sort(key=lambda c: (-self._whole(c.bound), c.base))
            cell, level = cells[0], self._whole(cells[0].bound)
            if level <= self.best_count:
                break
            self._fill(cell, level)
            if self._excluded(cell, level):
                cell.bound = level - 1.0
            else:
                self.open.append(cells.pop(0))
        left = [self._whole(cell.bound) for cell in self.open + cells]
        self.at_most = max([self.best_count, *left])
        if not (self.relaxed.lattice.whole and self.ground.whole and self.outer.whole):
            self.at_most = self.ceiling

    def _whole(self, bound: float) -> int:
        return min(self.ceiling, math.floor(bound + 1e-6))

    def _halted(self) -> bool:
        return self.spent >= self.budget.proof or self.stop()

    def _cells(self) -> list[Cell]:
        """The cells that may hold more than the best so far, the best first, low ones first among equals."""
        r = self.relaxed
        found = [
            Cell(r.low + b * r.step, r.step, float(bound), NO_STRIPS)
            for b, bound in enumerate(r.bound)
            if self._whole(float(bound)) > self.best_count
        ]
        return sorted(found, key=lambda c: (-c.bound, c.base))

    def _first(self, cells: Sequence[Cell]) -> None:
        """A first good plan: a beam search at places of the line in the likeliest cells; one of one place at a stop."""
        if not cells:
            return
        top = self._whole(cells[0].bound)
        places: list[tuple[float, Cell]] = []
        for cell in cells[: self.budget.cells]:
            if not places or not self.stop():
                self._fill(cell, 0.6 * top)
                places += [(base, cell) for base in self._places(cell)]
        promised = self._exact(places[:1] if self.stop() else places, 0.6 * top)
        promised.sort(key=lambda c: (-round(c.bound, 6), c.base))
        for exact in promised[: self.budget.beams]:
            level = self._whole(exact.bound)
            if (self.best is not None and self.stop()) or level <= self.best_count:
                break
            found = beam(exact.graph, self.need, level, self.relaxed.worth, self.budget.wide)
            if found.products > self.best_count:
                self._take(exact, found)

    def _take(self, exact: Cell, chosen: Chosen) -> None:
        self.best_count = chosen.products
        self.best = self._block(exact, chosen)

    def _excluded(self, cell: Cell, level: int) -> bool:
        """Whether no plan of so many products has its line in a cell, or one was found; False leaves it open."""
        if self._halted():
            return False
        chosen = self._choose(cell, level)
        if chosen.settled and not chosen.products:
            return True
        for base in self._places(cell):
            if self._halted() or self._try(self._exact([(base, cell)], level)[0], level):
                break
        if level <= self.best_count:
            return True
        if cell.wide <= FINEST or not chosen.products:
            return False
        parts = (part for part in self._parts(cell, level) if self._whole(part.bound) >= level)
        return all(level <= self.best_count or self._excluded(part, level) for part in parts)

    def _fill(self, cell: Cell, level: float) -> None:
        """The strips of the first grid that a plan of so many products in a cell can contain."""
        cell.graph = self.relaxed.strips(round((cell.base - self.relaxed.low) / self.relaxed.step), level)

    def _parts(self, cell: Cell, level: int) -> list[Cell]:
        """The cell in narrower ones."""
        wide = cell.wide / SPLIT
        parts = []
        for n in range(SPLIT):
            base = cell.base + n * wide
            edges = cell.graph.edges
            given = self.outer.strips(edges[:, 1], base + self.relaxed.lattice.sums[edges[:, 0]], wide)
            part = Cell(base, wide, cell.bound, StripGraph(edges, given.mixes, given.first))
            parts.append(self._pruned(part, level))
        return parts

    def _pruned(self, cell: Cell, level: float) -> Cell:
        """The cell with its bound by the worths at hand, without strips that no better plan contains."""
        edges, mixes, first = cell.graph
        values = np.maximum.reduceat(mixes @ self.relaxed.worth, first[:-1]) if len(edges) else np.empty(0)
        kept, best = good_strips(edges, values, level)
        return Cell(cell.base, cell.wide, min(cell.bound, best), StripGraph(edges[kept], *picked(mixes, first, kept)))

    def _choose(self, cell: Cell, least: int) -> Chosen:
        if not len(cell.graph.edges):
            return Chosen(0, (), True, 0.0)
        self.spent += EACH
        if len(cell.graph.mixes) > self.budget.uses:
            return Chosen(0, (), False, 0.0)
        rises = [width + self.ground.kerf for width in self.ground.widths]
        how = self.budget.time, self.seed, self.stop
        chosen = choose(cell.graph, rises, self.need, least, self.ceiling, *how)
        self.spent += chosen.time
        return chosen

    def _places(self, cell: Cell) -> list[float]:
        """Places of the line in a cell at which a strip's side meets a corner of the leather; a few, low ones first."""
        starts = self.relaxed.lattice.sums[cell.graph.edges[:, 0]]
        sides = np.unique(np.append(starts, starts + np.array(self.ground.widths)[cell.graph.edges[:, 1]]))
        heights = self.ground.heights
        low, high = np.searchsorted(heights, [cell.base + sides - HAIR, cell.base + sides + cell.wide])
        met = [heights[a:b] - side for side, a, b in zip(sides, low, high, strict=True) if a < b]
        places = np.unique(np.round(np.concatenate(met), 4)) if met else np.empty(0)
        if len(places) > self.budget.places:
            places = places[np.linspace(0, len(places) - 1, self.budget.places).round().astype(int)]
        return [float(place) for place in places] or [cell.base + cell.wide / 2]

    def _exact(self, places: Sequence[tuple[float, Cell]], level: float) -> list[Cell]:
        """Cells narrowed to single places of the line; strips that several have are looked at once."""
        edges = [cell.graph.edges for _, cell in places]
        offsets = [base + self.relaxed.lattice.sums[each[:, 0]] for (base, _), each in zip(places, edges, strict=True)]
        given, which = self._once(np.concatenate([each[:, 1] for each in edges]), np.concatenate(offsets))
        found, begin = [], 0
        for (base, cell), each in zip(places, edges, strict=True):
            mixes, first = picked(given.mixes, given.first, which[begin : begin + len(each)])
            begin += len(each)
            found.append(self._pruned(Cell(base, 0.0, cell.bound, StripGraph(each, mixes, first)), level))
        return found

    def _once(self, widths: Ints, offsets: NDArray[np.float64]) -> tuple[Yields, Ints]:
        """What exact strips give, those that lie in the same place once, and which of these each is."""
        keys = np.round(offsets * 1e4).astype(np.int64) * len(self.ground.widths) + widths
        _, index, which = np.unique(keys, return_index=True, return_inverse=True)
        return self.ground.strips(widths[index], offsets[index]), which

    def _try(self, exact: Cell, level: int) -> bool:
        """Whether there is a plan of so many products with the line just there; it is kept."""
        if self._whole(exact.bound) < level:
            return False
        found = beam(exact.graph, self.need, level, self.relaxed.worth, self.budget.wide)
        if found.products < level:
            found = self._choose(exact, level)
        if found.products >= level:
            self._take(exact, found)
        return found.products >= level

    def _block(self, exact: Cell, chosen: Chosen) -> Block:
        """The chosen strips with all that they give, also beyond what is needed."""
        graph, strips = exact.graph, []
        for edge, mix in chosen.strips:
            node, width, _ = graph.edges[edge]
            offset = exact.base + float(self.relaxed.lattice.sums[node])
            given = graph.mixes[graph.first[edge] + mix]
            pieces = self.ground.sequence(offset, int(width), given) if given.any() else []
            strips.append(LaidStrip(offset, self.ground.widths[width], tuple(pieces)))
        return Block(self.ground.angle, chosen.products, tuple(strips))


def grid_step(widths: Sequence[float]) -> float:
    """The step of the first grid: fine beside the narrowest strip, and no finer than need be."""
    return max(0.5, min(2.0, min(widths) / 12))
