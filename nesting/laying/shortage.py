"""Which pieces keep a product from being made once more, and why."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from shapely import affinity
from shapely.geometry.base import BaseGeometry

from hides.hide import Grade, Hide
from nesting.geometry.convex import polygons
from nesting.laying.case import Case
from nesting.model.layout import Layout, Placement
from nesting.model.problem import Problem
from nesting.model.product import Piece, Product
from nesting.model.want import Want
from nesting.posing.pose_problem import pose_problem
from nesting.posing.usable import LeatherDemand, usable
from nesting.result.answer import Shortage
from nesting.result.claims import has_no_leather, no_leather, too_large, too_narrow
from nesting.result.wording import length_text
from nesting.search.arrays.arrays import Pose, build
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.effort import BUDGETS
from nesting.search.filling.bottom_left_fill import Sweep, bottom_left_fill

ANGLES = 4


def shortages(case: Case, layout: Layout, units: str = "mm") -> list[Shortage]:
    """The pieces of which a one-hide layout of a case cannot hold enough for one more product.

    Those that fit nowhere on the empty hide, with the reason; where all fit, those that find no room beside the
    pieces laid; where all find some, those that are to lie near others and were not found such a place. Nothing for a
    product that is cut as often as is asked, or as it is proven to go, once at least.
    """
    told = _Told(case, layout, units)
    found: list[Shortage] = []
    for place, count in enumerate(layout.counts):
        if not 0 < count.at_most == count.complete and not case.wants[place].is_met(count.complete):
            found += (() if case.kept else told.impossible(place)) or told.crowded_out(place) or told.apart(place)
    return found


class _Told:
    """What is short in one layout."""

    def __init__(self, case: Case, layout: Layout, units: str) -> None:
        self.layout, self.units, self.on = layout, units, layout.hides[0]
        self.frame, self.problem = case.frame, case.problem
        self.case, self.pieces = case, case.pieces
        self.fits = case.ground.inner_fits(BUDGETS[case.settings.effort].rotations)

    def _kinds(self, place: int) -> list[int]:
        """The problem's kinds of the want at a place, in its file's order."""
        product = self.case.wants[place].product
        ranks = [piece.name for piece in product.pieces]
        return sorted(self.problem.kinds_of(self.case.places[place]), key=lambda k: ranks.index(self.pieces[k].name))

    def impossible(self, place: int) -> list[Shortage]:
        """The pieces that fit nowhere on the empty hide."""
        lost = [k for k in self._kinds(place) if not self._fits(k)]
        return [self._told(k, why_not(self.on.hide, self.pieces[k], self.units)) for k in lost]

    def _fits(self, kind: int) -> bool:
        return any(v.empty.size[1] > 0 for v in self.fits.rotations(kind))

    def crowded_out(self, place: int) -> list[Shortage]:
        """The pieces of one more product that find no room beside those that lie there."""
        given = [self._laid(p) for p in self.on.placements if p.number and not p.keep]
        short, begun = [], self.layout.counts[place].next
        for k in self._kinds(place):
            many = dict(begun.missing).get(self.pieces[k].name, 0) if begun else self.problem.kinds[k].count
            laid = len(bottom_left_fill(self.fits, [k] * many, Sweep(0.0), given))
            if laid < many:
                grade = self.pieces[k].grade.label
                short.append(
                    self._told(k, f"room was found for {laid or 'none'} of {many} more on grade {grade} or better")
                )
        return short

    def apart(self, place: int) -> list[Shortage]:
        """The pieces of one more product that were found no place near, or mirrored to, the others of it."""
        return [self._told(k, why) for k in self._kinds(place) for why in self._wishes(self.pieces[k])]

    def _wishes(self, piece: Piece) -> list[str]:
        near = [
            f"no place was found for one more within {length_text(each.within, self.units)} {self.units} of its "
            f"“{each.piece}”"
            for each in piece.near
        ]
        if piece.hand != "left" or piece.pair_within is None:
            return near
        within = f"{length_text(piece.pair_within, self.units)} {self.units}"
        pair = f"no two places were found for one more pair, mirrored about the backbone to {within}, on like leather"
        return [*near, pair]

    def _laid(self, placement: Placement) -> Laid:
        named = [(self.problem.wanted[kind.product].name, kind.name) for kind in self.problem.kinds]
        k = named.index((placement.product, placement.piece))
        orientations = enumerate(self.problem.kinds[k].orientations)
        local = next(i for i, orientation in orientations if orientation.mirrored == placement.mirrored)
        x, y = self.frame.inward((placement.x, placement.y))
        pose = Pose(k, local, x, y, placement.angle - self.frame.bearing, placement.mirrored)
        return Laid(k, *self.fits.arrays.kernel_pose(pose))

    def _told(self, kind: int, why: str) -> Shortage:
        return Shortage(self.problem.wanted[self.problem.kinds[kind].product].name, self.pieces[kind].name, why)


def why_not(hide: Hide, piece: Piece, units: str) -> str:
    """Why a piece fits nowhere on a hide: no leather as it asks for, its size, or leather too narrow.

    Of each the first demand that alone keeps it off, else all of them together.
    """
    if piece.thickness is not None and hide.thickness is None and not any(z.thickness for z in hide.zones):
        return "it asks for a thickness, and the hide file states none"
    demands = [(f"leather {words}", _alone(hide, alone)) for words, alone in _demands(piece, units)]
    for leather, problem in demands:
        if has_no_leather(problem, 0):
            return no_leather(leather)
    size = _size(piece, units)
    anywhere = _alone(hide, _asking(piece))
    if not _could_lie(anywhere):
        return too_large(anywhere, 0, size) + _long_way(hide, piece, units)
    leather, problem = next((each for each in demands if not _could_lie(each[1])), demands[-1])
    return too_narrow(problem, 0, leather, size)


def _demands(piece: Piece, units: str) -> list[tuple[str, Piece]]:
    """Each thing that a piece asks of leather, in words, and the piece that asks for nothing else; last all of them."""
    told = [
        (f"of grade {piece.grade.label} or better", _asking(piece, grade=piece.grade, covered=piece.covered)),
    ]
    if piece.thickness is not None:
        told.append(("of its thickness", _asking(piece, thickness=piece.thickness)))
    if piece.off_backbone:
        off = f"{length_text(piece.off_backbone, units)} {units} off the backbone"
        told.append((off, _asking(piece, off_backbone=piece.off_backbone)))
    if piece.regions:
        told.append((f"in {' or '.join(f'“{name}”' for name in piece.regions)}", _asking(piece, regions=piece.regions)))
    return [*told, (", ".join(words for words, _ in told), piece)]


def _asking(piece: Piece, **demand: Any) -> Piece:
    """A piece of the same shape and ways to lie that asks of its leather nothing but this."""
    nothing = {"grade": Grade.D, "covered": (), "thickness": None, "off_backbone": 0.0, "regions": ()}
    return replace(piece, **{**nothing, **demand})


def _size(piece: Piece, units: str) -> str:
    x0, y0, x1, y1 = piece.polygon.bounds
    return f"{length_text(x1 - x0, units)} × {length_text(y1 - y0, units)} {units}"


def _alone(hide: Hide, piece: Piece) -> Problem:
    """The problem of laying one piece on the empty hide."""
    return pose_problem(hide, [Want(Product("", (piece,)))], 0.0)


def _could_lie(problem: Problem) -> bool:
    return bool(InnerFits(build(problem), ANGLES).rotations(0))


def _long_way(hide: Hide, piece: Piece, units: str) -> str:
    """The longest usable run along the backbone, where the piece is longer than that."""
    region = usable(hide, LeatherDemand(Grade.D))
    longest = _extent(region, hide.direction or 0.0)
    _, y0, _, y1 = piece.polygon.bounds
    if y1 - y0 <= longest:
        return ""
    return f": the usable part is {length_text(longest, units)} {units} along the backbone"


def _extent(region: BaseGeometry, bearing: float) -> float:
    turned = affinity.rotate(region, -bearing, origin=(0, 0))
    return max((p.bounds[2] - p.bounds[0] for p in polygons(turned)), default=0.0)
