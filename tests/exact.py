"""Small worlds where the truth is known: leather of whole cells, rectangles of whole cells, all in whole numbers.

Pieces that lie square on such leather may all be pushed to one corner, to whole cells, so the best layout is found by
trying all. The bounds are reckoned here once more, by their theorems alone, slowly and in fractions: nothing of the
program's own is used but the values it is given.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import chain, combinations, product
from math import isqrt

import numpy as np
import shapely
from scipy.optimize import linprog
from shapely.geometry import box

from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.model.tolerance import GIVE

CELL = 20
"""The side of a cell, mm: far more than what tolerances add up to."""

Cells = frozenset[tuple[int, int]]


@dataclass(frozen=True)
class Tile:
    """A rectangle of whole cells; `count` make one product, on leather of the `ground` of that number."""

    wide: int
    high: int
    count: int = 1
    turns: bool = False
    ground: int = 0

    @property
    def area(self) -> int:
        """Its cells."""
        return self.wide * self.high

    @property
    def ways(self) -> tuple[tuple[int, int], ...]:
        """Its width and height as it may lie."""
        both = {(self.wide, self.high), *([(self.high, self.wide)] if self.turns else [])}
        return tuple(sorted(both))


@dataclass(frozen=True)
class World:
    """One product of some tiles, and the leather of each ground."""

    grounds: tuple[Cells, ...]
    tiles: tuple[Tile, ...]

    def problem(self, given: Sequence[int] = ()) -> Problem:
        """The same for the program, regions grown by what a right layout may be off."""
        inner = tuple(_shape(cells) for cells in self.grounds)
        outer = tuple(shape.buffer(GIVE, join_style="mitre") for shape in inner)
        kinds = tuple(self._kind(n, tile, given[n] if given else 0) for n, tile in enumerate(self.tiles))
        return Problem(inner, outer, kinds, (Wanted("kit"),))

    @staticmethod
    def _kind(number: int, tile: Tile, given: int) -> Kind:
        outline = box(0, 0, tile.wide * CELL, tile.high * CELL)
        angles = (0.0, 90.0) if tile.turns else (0.0,)
        ways = tuple(Orientation(False, angle, angle, (tile.ground,)) for angle in angles)
        return Kind(str(number), 0, outline, (outline,), tile.count, ways, given=given)

    @property
    def leather(self) -> Cells:
        """All cells of all grounds."""
        return frozenset().union(*self.grounds)


def _shape(cells: Cells) -> shapely.Geometry:
    return shapely.union_all([box(CELL * x, CELL * y, CELL * (x + 1), CELL * (y + 1)) for x, y in sorted(cells)])


def random_world(rng: np.random.Generator, grounds: int = 1, turns: bool = True) -> World:
    """Up to 6 × 5 cells with some gone; each further ground is a part of the leather."""
    wide, high = (int(v) for v in rng.integers(3, 7, 2))
    every = [(x, y) for x in range(wide) for y in range(min(high, 5))]
    lost = rng.random(len(every)) < rng.choice([0.0, 0.1, 0.25])
    leather = frozenset(cell for cell, gone in zip(every, lost, strict=True) if not gone) or frozenset([(0, 0)])
    cut = [frozenset(c for c in leather if c[0] < int(rng.integers(1, wide + 1))) for _ in range(grounds - 1)]
    tiles = tuple(
        Tile(int(rng.integers(1, 4)), int(rng.integers(1, 4)), int(rng.integers(1, 3)),
             bool(turns and rng.integers(2)), int(rng.integers(grounds)))
        for _ in range(int(rng.integers(1, 4)))
    )  # fmt: skip
    return World((leather, *(c or leather for c in cut)), tiles)


# the truth


def best(world: World, given: Sequence[int] = (), taken: Cells = frozenset()) -> int:
    """The most complete products that there can be, by trying all; `given` of each tile lie on `taken` already."""
    number = 0
    while goes(world, [t.count * (number + 1) - (given[n] if given else 0) for n, t in enumerate(world.tiles)], taken):
        number += 1
    return number


def goes(world: World, need: Sequence[int], taken: Cells = frozenset()) -> bool:
    """Whether so many of each tile lie on the leather together."""
    order = sorted(range(len(need)), key=lambda n: -world.tiles[n].area)
    todo = [n for n in order for _ in range(max(0, need[n]))]
    if sum(world.tiles[n].area for n in todo) > len(world.leather - taken):
        return False
    places = {n: [p for p in _places(world.tiles[n], world.grounds) if not p & taken] for n in set(todo)}
    return _lies(todo, 0, 0, frozenset(), places)


def _places(tile: Tile, grounds: Sequence[Cells]) -> list[Cells]:
    ground = grounds[tile.ground]
    lie = (
        frozenset((x + i, y + j) for i in range(w) for j in range(h)) for w, h in tile.ways for x, y in sorted(ground)
    )
    return [cells for cells in lie if cells <= ground]


def _lies(todo: list[int], at: int, first: int, used: Cells, places: dict[int, list[Cells]]) -> bool:
    if at == len(todo):
        return True
    own = places[todo[at]]
    for number in range(first, len(own)):
        if not own[number] & used:
            again = at + 1 < len(todo) and todo[at + 1] == todo[at]
            if _lies(todo, at + 1, number + 1 if again else 0, used | own[number], places):
                return True
    return False


# the theorems, in fractions


def hall(world: World) -> int:
    """Hall's condition: of every set of tiles the cells must be there that they may lie on."""
    rooms = []
    for chosen in _subsets(world.tiles):
        cells = frozenset().union(*(world.grounds[tile.ground] for tile in chosen))
        rooms.append(Fraction(len(cells), sum(tile.area * tile.count for tile in chosen)))
    return int(min(rooms))


def _subsets(tiles: Sequence[Tile]) -> Iterable[tuple[Tile, ...]]:
    return chain.from_iterable(combinations(tiles, size) for size in range(1, len(tiles) + 1))


def chords(world: World) -> int | None:
    """Lines along rows and columns of points, s apart from just below the leather on, and whole lengths u of each.

    Every distance and unit that is a side of a tile, or a half or a third of it; the least of all they say.
    """
    told = []
    for turned in (False, True):
        cells = frozenset((y, x) for x, y in world.leather) if turned else world.leather
        lie = [[(h, w) if turned else (w, h) for w, h in tile.ways] for tile in world.tiles]
        units = {Fraction(w, part) for ways in lie for w, _ in ways for part in (1, 2, 3)}
        distances = {Fraction(h, part) for ways in lie for _, h in ways for part in (1, 2)}
        for unit, apart in product(units, distances):
            uses = sum(
                tile.count * min((h // apart) * (w // unit) for w, h in ways)
                for tile, ways in zip(world.tiles, lie, strict=True)
            )
            if uses:
                room = sum(int(Fraction(stretch) / unit) for stretch in _stretches(cells, apart))
                told.append(room // int(uses))
    return min(told, default=None)


def _stretches(cells: Cells, apart: Fraction) -> Iterator[int]:
    """Lengths of the leather on level lines; one on the border of two rows meets what lies in either."""
    low, top = min(y for _, y in cells), max(y for _, y in cells) + 1
    line = low + apart
    while line <= top:
        rows = {int(line), int(line) - 1} if line.denominator == 1 else {int(line)}
        met = sorted({x for x, y in cells if y in rows})
        runs = [0]
        for before, x in zip([None, *met], met, strict=False):
            runs = [*runs[:-1], runs[-1] + 1] if before == x - 1 else [*runs, 1]
        yield from runs
        line += apart


def islands(world: World) -> int:
    """Whole tiles on every island, by cells; of every way to share them out the one that makes the most products."""
    ways: set[tuple[int, ...]] = {(0,) * len(world.tiles)}
    for island in _parts(world.leather):
        fill = list(_fillings(world, island))
        ways = {tuple(a + b for a, b in zip(one, more, strict=True)) for one in ways for more in fill}
    return max(min(n // tile.count for n, tile in zip(way, world.tiles, strict=True)) for way in ways)


def _fillings(world: World, island: Cells) -> Iterator[tuple[int, ...]]:
    tops = [len(island & world.grounds[tile.ground]) // tile.area for tile in world.tiles]
    for counts in product(*(range(top + 1) for top in tops)):
        used = [(n * tile.area, world.grounds[tile.ground]) for n, tile in zip(counts, world.tiles, strict=True)]
        if all(sum(a for a, other in used if other <= ground) <= len(island & ground) for _, ground in used):
            yield counts


def _parts(cells: Cells) -> Iterator[Cells]:
    """The pieces that leather of cells falls into; cells that meet in a corner alone hang together for the program."""
    left = set(cells)
    while left:
        part, edge = set(), [left.pop()]
        while edge:
            x, y = edge.pop()
            part.add((x, y))
            beside = {(x + i, y + j) for i in (-1, 0, 1) for j in (-1, 0, 1)} & left
            left -= beside
            edge += sorted(beside)
        yield frozenset(part)


def in_shares(world: World) -> float:
    """Products of tiles taken in shares, at whole cells, so that no cell is covered more than once: as many as go.

    Whatever weights cells have, a share of a tile takes that share of what the least tile of its kind takes: no weights
    prove less.
    """
    cells = sorted(world.leather)
    lie = [[sorted(p) for p in _places(tile, world.grounds)] for tile in world.tiles]
    columns = [(n, place) for n, places in enumerate(lie) for place in places]
    over = np.zeros((len(cells) + len(world.tiles), len(columns) + 1))
    for c, (n, place) in enumerate(columns):
        over[[cells.index(cell) for cell in place], c] = 1.0
        over[len(cells) + n, c] = -1.0
    over[len(cells) :, -1] = [tile.count for tile in world.tiles]
    room = np.concatenate([np.ones(len(cells)), np.zeros(len(world.tiles))])
    aim = np.zeros(len(columns) + 1)
    aim[-1] = -1.0
    return -float(linprog(aim, A_ub=over, b_ub=room, bounds=(0, None), method="highs").fun)


def oler(wide: Fraction, high: Fraction, radius: Fraction) -> int:
    """Oler's inequality for discs in a rectangle, rounded up where a root is not rational."""
    a, b = wide - 2 * radius, high - 2 * radius
    if a < 0 or b < 0:
        return 0
    root = Fraction(isqrt(3 * 10**24), 10**12)  # below the root of three
    apart = 2 * radius
    return int(2 * a * b / (root * apart**2) + (a + b) / apart + 1)


def lies_at(piece: tuple[Fraction, Fraction], room: tuple[Fraction, Fraction], t: Fraction) -> bool:
    """Whether a rectangle fits into another when it is turned by the angle whose half has the tangent t."""
    c, s = (1 - t * t) / (1 + t * t), 2 * t / (1 + t * t)
    (w, h), (wide, high) = piece, room
    return w * c + h * s <= wide and w * s + h * c <= high


def never_lies(
    piece: tuple[Fraction, Fraction], room: tuple[Fraction, Fraction], low: Fraction, high: Fraction, depth: int = 12
) -> bool:
    """Whether it is proven by halving that it fits at no angle between two (tangents of their halves, 0 to 1).

    Over such a stretch the cosine is least at its end and the sine at its beginning: what they make is never less.
    """
    c, s = (1 - high * high) / (1 + high * high), 2 * low / (1 + low * low)
    (w, h), (wide, tall) = piece, room
    if w * c + h * s > wide or w * s + h * c > tall:
        return True
    middle = (low + high) / 2
    if not depth:
        return False
    return never_lies(piece, room, low, middle, depth - 1) and never_lies(piece, room, middle, high, depth - 1)


def best_strips(wide: int, high: int, tiles: Sequence[Tile]) -> int:
    """The most products from strips butted on one level line of a rectangle of leather, by trying all.

    A strip is as wide as its pieces are high, and holds as many as its length takes; a tile that turns may lie so in
    some strips and otherwise in others.
    """
    found = {(0,) * len(tiles)}
    stacks: dict[int, set[tuple[int, ...]]] = {0: found}
    widths = sorted({h for tile in tiles for _, h in tile.ways})
    for used in range(high + 1):
        for width in widths:
            if used + width <= high:
                for own in list(_strip(wide, width, tiles)):
                    for made in stacks.get(used, ()):
                        total = tuple(a + b for a, b in zip(made, own, strict=True))
                        stacks.setdefault(used + width, set()).add(total)
    every = set().union(*stacks.values())
    return max(min(n // tile.count for n, tile in zip(made, tiles, strict=True)) for made in every)


def _strip(long: int, width: int, tiles: Sequence[Tile]) -> Iterator[tuple[int, ...]]:
    """What fills of a strip there are that leave no room for one piece more."""
    lengths = [min([w for w, h in tile.ways if h == width], default=0) for tile in tiles]
    tops = [long // length if length else 0 for length in lengths]
    for counts in product(*(range(top + 1) for top in tops)):
        left = long - sum(n * length for n, length in zip(counts, lengths, strict=True))
        if left >= 0 and all(left < length for length in lengths if length):
            yield counts
