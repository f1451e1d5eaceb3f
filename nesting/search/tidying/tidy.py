"""The last pass of a search: a layout laid tidily, where that takes nothing from it.

Tried in this order, each kept where the score (`tidiness`) is better and no aim is worse: all pieces laid anew at tidy
angles, the pieces of a kind at an untidy angle laid anew among the others, single pieces moved to a place near by that
touches what lies there. No place is taken that is not free in the exact fields of the constructions.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from nesting.geometry.convex import ring_of
from nesting.model.problem import Problem
from nesting.model.settings import Stop, never
from nesting.search.arrays.arrays import Pose
from nesting.search.arrays.inner_fits import InnerFits, Laid, Rotation
from nesting.search.filling.bottom_left_fill import Sweep, bottom_left_fill
from nesting.search.filling.leftover import leftovers, placed
from nesting.search.filling.lesser_leather import better_leather_used
from nesting.search.finishing import LEATHER_STEP, SAME, Finished
from nesting.search.tidying.tidiness import EVEN, Shapes, gains, scores, shapes_of, tidiness

BETTER = 1e-4
"""What a score must gain at least."""
NEAR = 80.0
"""How far (mm) a single piece is moved at most to lie tidier: somewhat more than an offcut is wide."""
SPARED = 0.005
"""The share of a leftover that may go: a strip that lies 1 degree off takes so much, and no one cuts more of it."""
ENTERS = 1.0
"""Leather of a leftover (mm²) that a piece may take by a rounding."""
ROUNDS = 3
SIDES = 8
"""Ways of laying all anew that differ: from four sides, each with ties to either hand."""
SINGLES = 5
"""Single pieces that are tried, for every side from which a layout is laid anew: some 50 ms each among 160 pieces."""
QUARTER = math.pi / 2


def tidied(fits: InnerFits, finished: Finished, ways: int, stop: Stop = never) -> Finished:
    """The same pieces laid more tidily, or as they were; `ways` are the sides from which they are laid anew.

    The same pieces of complete products, of one begun and of spares lie after it; not more of better leather is used
    (as the aims count it), and of the largest leftover and of all those worth keeping at most `SPARED` is gone.
    """
    tidying = Tidying(fits, finished, ways, stop)
    if tidying.score(finished.laid + finished.begun + finished.spares) is None:
        return finished
    return tidying.run()


@dataclass
class Tidying:
    """One pass as it goes. `best` is the layout so far."""

    fits: InnerFits
    best: Finished
    ways: int
    stop: Stop
    found: Finished = field(init=False)
    shapes: Shapes = field(init=False)
    tidy: InnerFits = field(init=False)

    def __post_init__(self) -> None:
        self.found = self.best
        self.shapes = shapes_of(
            [self._ring(shape) for shape in range(int(self.fits.arrays.tables.orientation_shape.max()) + 1)]
        )
        self.tidy = InnerFits(self.fits.arrays, self.fits.most_angles, self.fits.no_fits)
        for kind in sorted({piece.kind for piece in self._all(self.best)}):
            self.tidy.kinds[kind] = self._rotations(kind)

    @property
    def problem(self) -> Problem:
        """The problem that is searched."""
        return self.fits.arrays.problem

    @property
    def datum(self) -> float:
        """The bearing of the datum line, radians."""
        return math.radians(self.problem.datum)

    def run(self) -> Finished:
        """All ways one after the other, until all is tidy or it is told to stop."""
        for step in (self._all_anew, self._kinds_anew, self._one_by_one):
            if self._done():
                break
            step()
        return self.best

    def _done(self) -> bool:
        told = self.score(self._all(self.best))
        return told is None or told > 1 - BETTER or self.stop()

    # what a layout is worth

    @cached_property
    def _found_leather(self) -> float:
        return self._leather(self.found)

    @cached_property
    def _found_leftovers(self) -> list[float]:
        return self._leftovers(self.found)

    def score(self, pieces: Sequence[Laid]) -> float | None:
        """The tidiness of pieces."""
        return tidiness(self.shapes, *self._lie(pieces), self.datum, self.problem.gap)

    def _lie(self, pieces: Sequence[Laid]) -> tuple[np.ndarray, np.ndarray]:
        shape = self.fits.arrays.tables.orientation_shape
        lie = np.array([shape[piece.orientation] for piece in pieces], dtype=np.int64)
        return lie, np.array([(p.x, p.y, p.angle) for p in pieces], dtype=np.float64).reshape(-1, 3)

    def _take(self, made: Finished) -> None:
        """Keep a layout where it is tidier and takes nothing."""
        ours, theirs = self.score(self._all(self.best)), self.score(self._all(made))
        if ours is not None and theirs is not None and theirs > ours + BETTER and self._no_worse(made):
            self.best = made

    def _no_worse(self, made: Finished) -> bool:
        """Whether nothing of what the search came with is lost; see `tidied`."""
        if self._leather(made) > self._found_leather:
            return False
        pairs = zip(self._found_leftovers, self._leftovers(made), strict=True)
        return all(new >= (1 - SPARED) * old - SAME for old, new in pairs)

    def _leather(self, made: Finished) -> float:
        used = better_leather_used(self.problem, self._poses((*made.laid, *made.begun)))
        return float(round(used / LEATHER_STEP))

    def _leftovers(self, made: Finished) -> list[float]:
        """The largest leftover and all of them, beside complete products and beside spares too."""
        told = [[p.area for p in leftovers(self.problem, self._poses(pick(made)))] for pick in (_laid, _kept)]
        return [figure for areas in told for figure in (max(areas, default=0.0), sum(areas))]

    def _poses(self, pieces: Sequence[Laid]) -> list[Pose]:
        return [self.fits.arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle) for p in pieces]

    # angles

    def _ring(self, shape: int) -> np.ndarray:
        """The true outline of a shape about its centre."""
        arrays = self.fits.arrays
        orientation = int(np.flatnonzero(arrays.tables.orientation_shape == shape)[0])
        about: np.ndarray = ring_of(arrays.outline_of(orientation)) - np.array(arrays.centres[shape])
        return about

    def _rotations(self, kind: int) -> list[Rotation]:
        """A kind's rotations along the datum line and square to it; of curved kinds all there are."""
        t = self.fits.arrays.tables
        made: list[Rotation] = []
        for orientation in range(t.kind_orientations[kind], t.kind_orientations[kind + 1]):
            if not self.shapes.weight[t.orientation_shape[orientation]]:
                return self.fits.rotations(kind)
            tried = (self._rotation(kind, orientation, angle) for angle in self._angles(orientation))
            made += [each for each in tried if each is not None and each.empty.size[1] > 0]
        return made or self.fits.rotations(kind)

    def _rotation(self, kind: int, orientation: int, angle: float) -> Rotation | None:
        """One that is known already, to the last digit, so that what was worked out for it serves."""
        for known in self.fits.kinds.get(kind, ()):
            if known.orientation == orientation and abs(math.remainder(known.angle - angle, 2 * math.pi)) < 1e-9:
                return known
        return self.fits.rotation(kind, orientation, angle)

    def _angles(self, orientation: int) -> list[float]:
        """The tidy angles of an orientation; where it has none, those of its ends nearest to one."""
        t = self.fits.arrays.tables
        low, high = (float(a) for a in t.orientation_angles[orientation])
        heading = float(self.shapes.heading[t.orientation_shape[orientation]])
        first = self.datum - heading
        first += QUARTER * math.ceil((low - 1e-9 - first) / QUARTER)
        found = [first + QUARTER * k for k in range(4) if first + QUARTER * k <= high + 1e-9]
        inside = [min(max(angle, low), high) for angle in found]
        return _distinct(inside) or _distinct([low, high])

    # all anew, kinds anew

    def _all_anew(self) -> None:
        pieces = self._all(self.best)
        for sweep in self._sweeps():
            if self._done():
                return
            made = self._laid_anew(self._sequence(pieces), sweep, ())
            if made is not None:
                self._take(self._parted(made, pieces))

    def _kinds_anew(self) -> None:
        """The pieces of a kind that lie at one untidy angle, laid anew among the others."""
        for group in self._groups():
            for sweep in self._sweeps():
                if self._done():
                    return
                pieces = self._all(self.best)
                if not all(any(each is piece for piece in pieces) for each in group):
                    break  # moved with another group
                others = [piece for piece in pieces if not any(piece is each for each in group)]
                made = self._laid_anew([piece.kind for piece in group], sweep, others)
                if made is not None:
                    self._take(self._replaced(group, made))

    def _groups(self) -> list[list[Laid]]:
        pieces = self._all(self.best)
        told = scores(self.shapes, *self._lie(pieces), self.datum, self.problem.gap)
        weight = self.shapes.weight[self._lie(pieces)[0]]
        groups: dict[tuple[int, float], list[Laid]] = {}
        for piece, score, heavy in zip(pieces, told, weight, strict=True):
            if heavy and score < 1 - BETTER:
                groups.setdefault((piece.kind, round(math.degrees(piece.angle) / EVEN)), []).append(piece)
        order = sorted(groups, key=lambda key: (-len(groups[key]), key))
        return [groups[key] for key in order[: max(2, self.ways // 4)]]

    def _laid_anew(self, sequence: Sequence[int], sweep: Sweep, given: Sequence[Laid]) -> list[Laid] | None:
        """Pieces of these kinds at tidy angles, in their order; None where one does not go."""
        if not all(self.tidy.rotations(kind) for kind in set(sequence)):
            return None
        made = bottom_left_fill(self.tidy, sequence, sweep, given, leave=0.0)
        return made if len(made) == len(sequence) else None

    def _sequence(self, pieces: Sequence[Laid]) -> list[int]:
        """The kinds of pieces, the long ones first."""
        lie, _ = self._lie(pieces)
        long = {piece.kind: float(self.shapes.weight[shape]) for piece, shape in zip(pieces, lie, strict=True)}
        kinds = self.problem.kinds
        return sorted((piece.kind for piece in pieces), key=lambda kind: (-long[kind], -kinds[kind].area, kind))

    def _sweeps(self) -> Iterator[Sweep]:
        """From the four sides by turns, first square to the datum line, so that strips come one beside the other."""
        for number in range(min(self.ways, SIDES)):
            turn = self.problem.datum + 90.0 * ((number + 1) % 4)
            yield Sweep(math.radians(turn), 1.0 if number < 4 else -1.0, float(number % 8 < 4))

    def _parted(self, made: Sequence[Laid], like: Sequence[Laid]) -> Finished:
        """Pieces as complete products, those begun and spares: of every kind as many in each as there were."""
        pool: dict[int, list[Laid]] = {}
        for piece in made:
            pool.setdefault(piece.kind, []).append(piece)
        placed_anew = [pool[piece.kind].pop(0) for piece in like]
        return self._cut(placed_anew)

    def _replaced(self, group: Sequence[Laid], made: Sequence[Laid]) -> Finished:
        new = {id(piece): other for piece, other in zip(group, made, strict=True)}
        return self._cut([new.get(id(piece), piece) for piece in self._all(self.best)])

    def _cut(self, pieces: Sequence[Laid]) -> Finished:
        a = len(self.best.laid)
        b = a + len(self.best.begun)
        return Finished(tuple(pieces[:a]), tuple(pieces[a:b]), tuple(pieces[b:]))

    # one by one

    def _one_by_one(self) -> None:
        """Single pieces to tidier places near by, those that lie least tidily for their length first."""
        closed = [shapely.union_all(leftovers(self.problem, self._poses(pick(self.best)))) for pick in (_laid, _kept)]
        tries = self.ways * SINGLES
        for _ in range(ROUNDS):
            moved = False
            for number in self._worst_first():
                if self.stop() or tries <= 0:
                    return
                tries -= 1
                moved |= self._moved(number, closed)
            if not moved:
                return

    def _worst_first(self) -> list[int]:
        pieces = self._all(self.best)
        lie, poses = self._lie(pieces)
        short = self.shapes.weight[lie] * (1 - scores(self.shapes, lie, poses, self.datum, self.problem.gap))
        order = sorted(range(len(pieces)), key=lambda n: (-round(float(short[n]), 6), n))
        return [n for n in order if short[n] > 1e-6]

    def _moved(self, number: int, closed: Sequence[BaseGeometry]) -> bool:
        """Move one piece to the tidiest place near by; whether it went."""
        pieces = self._all(self.best)
        piece = pieces[number]
        places = list(self._places(piece, [p for n, p in enumerate(pieces) if n != number]))
        lie = list(zip(*self._lie(places), strict=True))
        tried: list[tuple[float, float, Laid]] = []
        more_of = gains(self.shapes, *self._lie(pieces), self.datum, self.problem.gap, number, lie)
        for place, (shape, _), more in zip(places, lie, more_of, strict=True):
            if more > BETTER * self.shapes.weight[shape]:
                tried.append((-round(more, 6), round(math.hypot(place.x - piece.x, place.y - piece.y), 6), place))
        for _, _, place in sorted(tried, key=lambda each: each[:2]):
            if self._takes_nothing(piece, place, number, closed):
                pieces[number] = place
                self.best = self._cut(pieces)
                return True
        return False

    def _places(self, piece: Laid, others: Sequence[Laid]) -> Iterator[Laid]:
        """The corners of a piece's free positions near it, at tidy angles."""
        box = (piece.x - NEAR, piece.y - NEAR, piece.x + NEAR, piece.y + NEAR)
        crowd = self.tidy.ready({p.kind for p in (*others, piece)}).crowded(self.tidy, others, {piece.kind}, box)
        for v, rotation in enumerate(crowd.rotations):
            if rotation.kind == piece.kind:
                first, many = int(crowd.ground.rows[v, 2]), int(crowd.ground.size[v, 1])
                for x, y in np.unique(np.round(crowd.ground.points[first : first + many], 9), axis=0):
                    yield Laid(piece.kind, rotation.orientation, float(x), float(y), rotation.angle)

    def _takes_nothing(self, piece: Laid, place: Laid, number: int, closed: Sequence[BaseGeometry]) -> bool:
        """Whether a place takes no leather of the leftovers that there were, and no better leather."""
        laid, begun = len(self.best.laid), len(self.best.begun)
        shut = closed if number < laid else closed[1:] if number >= laid + begun else ()
        old, new = self._poses((piece, place))
        shape = placed(self.problem, new)
        if any(shape.intersection(leftover).area > ENTERS for leftover in shut):
            return False
        return better_leather_used(self.problem, [new]) <= better_leather_used(self.problem, [old]) + ENTERS

    @staticmethod
    def _all(finished: Finished) -> list[Laid]:
        return [*finished.laid, *finished.begun, *finished.spares]


def _laid(finished: Finished) -> tuple[Laid, ...]:
    """The pieces beside which a search measures its leftover."""
    return finished.laid


def _kept(finished: Finished) -> tuple[Laid, ...]:
    """The pieces beside which offcuts are told."""
    return (*finished.laid, *finished.spares)


def _distinct(angles: Sequence[float]) -> list[float]:
    out: list[float] = []
    for angle in angles:
        if all(abs(math.remainder(angle - known, 2 * math.pi)) > 1e-9 for known in out):
            out.append(angle)
    return out
