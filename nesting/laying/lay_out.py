"""One hide, some products: the best checked layout. Everything is wired here."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from hides.errors import LayoutFault
from hides.hide import Hide, Ring
from nesting.bound.exclusion import EXCLUSIONS
from nesting.bound.limits import Bound, limits
from nesting.bound.line_measure import MEASURES
from nesting.bound.remaining import BoundBesideGiven
from nesting.check import faults
from nesting.laying.case import Case, case_of
from nesting.laying.cross_cuts import with_strips
from nesting.laying.former import fuller, numbered, still_right, whole_products
from nesting.model.layout import Growing, HideLayout, Layout, Placement, ProductCount
from nesting.model.problem import Problem
from nesting.model.settings import Progress, Settings, Watch
from nesting.model.straight import StraightRules
from nesting.model.want import Want
from nesting.posing.folded_leather import folded_leather
from nesting.posing.near_backbone import mirrored_places, near_backbone
from nesting.posing.nearness import nearness
from nesting.result.areas import account
from nesting.result.matched import has_wishes, matched
from nesting.result.numbered import Numbers, begun_product, kept_numbers
from nesting.search.arrays.arrays import Pose
from nesting.search.groundwork import Groundwork
from nesting.search.paired import paired_search
from nesting.search.search import Found, search
from nesting.search.straight.forms import straight_kinds
from nesting.search.straight.plan import plan_straight
from nesting.search.together import search_together

__all__ = ["Want", "lay_out", "solve"]


def lay_out(hide: Hide, wants: Sequence[Want], settings: Settings | None = None, watch: Watch | None = None) -> Layout:
    """The best layout found for the wanted products on one hide, checked.

    It seeks the greatest total worth of complete products within their limits, then the greatest area of pieces
    marked `spare`, then lesser leather used before better, then leftover in few large pieces. Before spares come the
    pieces of one more product of each kind, as many as go, where `settings.begin` asks for them. `counts` has one
    entry a want with a proven `at_most` (for that product alone). With `settings.straight` straight pieces come off
    strips along a struck line. Raises InputError where product and hide do not go together (an `along` without a
    backbone, no line that suits all straight pieces) and LayoutFault should the result fail its check.

    >>> from nesting import Piece, Product
    >>> board = Hide("board", ((0, 0), (300, 0), (300, 200), (0, 200)))
    >>> coaster = Product("coaster", (Piece("square", ((0, 0), (100, 0), (100, 100), (0, 100))),))
    >>> layout = lay_out(board, [Want(coaster)], Settings(effort="quick"))
    >>> layout.counts[0].complete, layout.counts[0].at_most
    (6, 6)
    """
    return solve(case_of(hide, wants, settings), watch)


def solve(case: Case, watch: Watch | None = None, improved: Callable[[Growing], None] | None = None) -> Layout:
    """The best layout found for a case, as `lay_out` says; the case can be asked for more afterwards.

    `improved` hears of every layout that is the best so far, while the search goes on. Beside pieces that stay, and
    wherever the case tells what lay there before, no fewer products come back than what may still lie of that makes.

    >>> from nesting import Piece, Product
    >>> board = Hide("board", ((0, 0), (300, 0), (300, 200), (0, 200)))
    >>> coaster = Product("coaster", (Piece("square", ((0, 0), (100, 0), (100, 100), (0, 100))),))
    >>> solve(case_of(board, [Want(coaster)], Settings(effort="quick"))).counts[0].complete
    6
    """
    settings, watch = case.settings, watch or Watch()

    def grown(found: Found) -> None:
        if improved:
            improved(Growing(_counts(case, found), _as_asked(case, _Naming(case, found).placements())))

    rules, products = _straight(case)
    if rules is None:
        found = _searched(case, watch, grown if improved else None)
        layout = _the_fuller(_with_wishes(_layout(case, found), case, found, watch), case)
    else:
        natural = None if case.hide.backbone is None else 0.0
        most = [case.bound.at_most(p, watch.stop) for p in range(len(case.posed))]
        asked = [n if want.limit is None else min(n, want.limit) for n, want in zip(most, case.posed, strict=True)]
        planned = plan_straight(case.problem, asked, rules, natural, settings.effort, settings.seed, watch, products)
        if asked != most:  # what was not asked for was not looked for, and nothing is proven of it
            planned = replace(planned, at_most=None)
        layout = with_strips(_layout(case, planned.found), planned, case.frame, rules.kerf)
    wrong = faults(layout)
    if wrong:
        raise LayoutFault(f"the layout failed its own check, so it is not given: {wrong[0]}")
    return layout


def _searched(case: Case, watch: Watch, improved: Callable[[Found], None] | None) -> Found:
    settings, bound = case.settings, case.bound
    known = bound.sharpen(watch.stop) if bound.light else bound.areas
    begin = _begins(case)
    measures = MEASURES.get(settings.effort) if settings.begin else None  # orders ask for bounds of many hides
    how = settings.effort, settings.seed, watch, partial(bound.measure, measures)
    found = search(case.ground, known, *how, begin=begin, tidily=_tidily(case), improved=improved)
    if settings.begin and settings.effort in EXCLUSIONS:
        watch.report(Progress("seeking a proof", 1.0))
        bound.exclude(found.goal, EXCLUSIONS[settings.effort], watch.stop)
    return found


def _the_fuller(found: Layout, case: Case) -> Layout:
    """What was found, or what may still lie of the former layout, where that is right and holds more."""
    if all(each.keep for each in case.former):
        return found
    lain = still_right(case)
    counts = tuple(
        replace(count, complete=whole_products(lain, want), next=None)
        for want, count in zip(case.wants, found.counts, strict=True)
    )
    placements: list[Placement] = []
    for want, count in zip(case.wants, counts, strict=True):
        begun = _begins(case) and not want.is_met(count.complete)
        placements += numbered(lain, want.product, count.complete, begun)
    made = _laid_out(case, placements, counts, found.stopped)
    return made if fuller(made, found, case.wants) and not faults(made) else found


def _with_wishes(layout: Layout, case: Case, found: Found, watch: Watch) -> Layout:
    """The layout, or one laid so that pieces have what they wish of each other, where it is right and holds more."""
    if not _has_wishes(case):
        return layout
    limit = case.wants[0].limit
    most = layout.counts[0].at_most if limit is None else min(layout.counts[0].at_most, limit)
    for way in _ways(case, most):
        complete = layout.counts[0].complete
        if complete >= most or watch.stop():
            return layout
        other = way(case, watch)
        if other is None or other.goal[0] <= complete:
            continue
        made = _layout(case, replace(other, impossible=found.impossible))
        if made.counts[0].complete > complete and not faults(made):
            layout = made
    return layout


def _ways(case: Case, most: int) -> list[Callable[[Case, Watch], Found | None]]:
    """How products are laid by what their pieces wish; beside pieces that stay, near the backbone only."""
    beside = [partial(_beside_backbone, alike=alike) for alike in (True, False)]
    if case.kept:
        return [*beside]
    pairs = [partial(_in_pairs, alike=alike) for alike in (True, False)]
    together = [partial(_together, most=most), partial(_pairs_together, most=most)]
    return [pairs[0], beside[0], pairs[1], beside[1], *together]


def _in_pairs(case: Case, watch: Watch, alike: bool) -> Found | None:
    """Pairs mirrored about the backbone by construction, on the leather folded there; by choice where it is alike."""
    folded = folded_leather(case.problem, case.pieces, case.frame.hide(case.hide), alike)
    if folded is None:
        return None
    return paired_search(case.problem, folded, limits, case.settings.effort, case.settings.seed, watch)


def _beside_backbone(case: Case, watch: Watch, alike: bool) -> Found | None:
    """Pairs so near the backbone that partners are found among them; it is then seen who goes with whom."""
    problem = near_backbone(case.problem, case.pieces, case.frame.hide(case.hide), alike)
    if problem is None:
        return None
    bound = BoundBesideGiven(problem) if problem.fixed else Bound(problem)
    known = bound.sharpen(watch.stop)
    return search(Groundwork(problem), known, case.settings.effort, case.settings.seed, watch)


def _together(case: Case, watch: Watch, most: int) -> Found | None:
    """Products laid one after another, each together, where pieces are to lie near others."""
    wishes = nearness(case.problem, case.pieces, case.frame.hide(case.hide))
    if not wishes or _paired(case):
        return None
    return search_together(case.ground, wishes, most, case.settings.effort, case.settings.seed, watch)


def _pairs_together(case: Case, watch: Watch, most: int) -> Found | None:
    """The same with mirrored pairs: where both sides of the backbone are alike, or near it; the better of the two."""
    hide = case.frame.hide(case.hide)
    wishes = nearness(case.problem, case.pieces, hide)
    if not wishes or not _paired(case):
        return None
    best: Found | None = None
    for problem in (mirrored_places(case.problem, case.pieces, hide), _of_one_grade(case, hide)):
        if problem is None or (best is not None and best.goal[0] >= most):
            continue
        ground = Groundwork(problem)
        found = search_together(ground, wishes, most, case.settings.effort, case.settings.seed, watch)
        if found is not None and (best is None or found.goal[0] > best.goal[0]):
            best = found
    return best


def _of_one_grade(case: Case, hide: Hide) -> Problem | None:
    """Paired pieces near the backbone, on leather of one grade where the hide has several."""
    pieces = case.pieces
    return near_backbone(case.problem, pieces, hide, alike=True) or near_backbone(case.problem, pieces, hide)


def _paired(case: Case) -> bool:
    return any(piece.pair_within is not None for piece in case.pieces)


def _straight(case: Case) -> tuple[StraightRules | None, tuple[int, ...]]:
    """How straight cuts are asked for, if they are, and of which posed products: of all, or of an order's."""
    everything = tuple(range(len(case.posed)))
    if case.settings.straight is not None:
        return case.settings.straight, everything
    asked = tuple(p for p in everything if case.posed[p].product.straight)
    kinds = [straight.kind for straight in straight_kinds(case.problem)] if asked else []
    there = any(case.problem.kinds[k].product in asked for k in kinds)
    return (case.settings.cuts if there else None), asked


def _layout(case: Case, found: Found) -> Layout:
    return _laid_out(case, _Naming(case, found).placements(), _counts(case, found), found.stopped)


def _laid_out(case: Case, placements: Sequence[Placement], counts: tuple[ProductCount, ...], stopped: bool) -> Layout:
    """The layout of numbered pieces, its areas and what is begun; `counts` as far as they are complete."""
    settings = case.settings
    if _begins(case):
        counts = tuple(_with_next(case, count, p, placements) for p, count in enumerate(counts))
    complete = {count.name: count.complete for count in counts}
    lain = [p.outline for p in placements if p.number <= complete[p.product]]
    areas, offcuts = account(case.hide, lain, settings.gap)
    one = HideLayout(case.hide, tuple(placements), areas, offcuts)
    for place, want in enumerate(case.wants):
        if has_wishes(want.product):
            laid, count = matched(one, case.posed[case.places[place]].product, counts[place])
            one, counts = replace(one, placements=laid), (*counts[:place], count, *counts[place + 1 :])
    one = replace(one, placements=_as_asked(case, one.placements))
    products = tuple(want.product for want in case.wants)
    return Layout(counts, products, settings.gap, settings.seed, settings.effort, (one,), stopped)


def _begins(case: Case) -> bool:
    """Whether one more product may be begun: not in strips, nor where pieces of one are to lie near each other."""
    if _straight(case)[0] is not None:
        return False
    return case.settings.begin and not _has_wishes(case)


def _tidily(case: Case) -> bool:
    """Whether pieces may move once more: not where they lie near others by a wish, which a move may break."""
    return case.settings.tidily and not _has_wishes(case)


def _has_wishes(case: Case) -> bool:
    return any(has_wishes(want.product) for want in case.wants)


def _counts(case: Case, found: Found) -> tuple[ProductCount, ...]:
    """What is laid of every want, in the order they were asked in."""
    told = [_bound(case, found, p) for p in case.places]
    return tuple(
        ProductCount(want.product.name, found.goal[p], most, told_by=why)
        for p, want, (most, why) in zip(case.places, case.wants, told, strict=True)
    )


def _as_asked(case: Case, placements: Sequence[Placement]) -> tuple[Placement, ...]:
    """The placements product by product, the pieces of each in its file's order; spares last."""
    pieces = [(want.product.name, piece.name) for want in case.wants for piece in want.product.pieces]
    rank = {name: place for place, name in enumerate(pieces)}
    return tuple(sorted(placements, key=lambda p: (p.number == 0, p.product, p.number, rank[p.product, p.piece])))


def _with_next(case: Case, count: ProductCount, place: int, placements: Sequence[Placement]) -> ProductCount:
    want = case.wants[place]
    if want.is_met(count.complete):
        return count
    return replace(count, next=begun_product(want.product, placements, count.complete + 1))


def _bound(case: Case, found: Found, product: int) -> tuple[int, str]:
    """The most products of a kind that any layout can hold, and of what it follows.

    By `bound`, and by what the search proved impossible.
    """
    alone = [goal[product] - 1 for goal in found.impossible if sum(goal) == goal[product]]
    told = case.bound.told(product, lambda: found.stopped)
    return (min(alone), "all ways to lay its rectangles") if min(alone, default=told[0]) < told[0] else told


@dataclass
class _Naming:
    """Gives every piece its product's number: neighbours along the backbone go together."""

    case: Case
    found: Found

    def __post_init__(self) -> None:
        self.problem, self.frame = self.case.problem, self.case.frame
        self.pieces = self.case.pieces

    def placements(self) -> tuple[Placement, ...]:
        kept = self._kept()
        numbers = {
            want.product.name: Numbers(
                want.product, [(k.piece, k.number) for k in kept if k.product == want.product.name]
            )
            for want in self.case.posed
        }
        out = list(kept)
        for pose in [*sorted(self.found.pieces, key=self._order), *sorted(self.found.begun, key=self._order)]:
            of = numbers[self.problem.wanted[self.problem.kinds[pose.kind].product].name]
            out.append(self._placement(pose, of.next(self.problem.kinds[pose.kind].name)))
        out += [self._placement(pose, 0) for pose in sorted(self.found.spares, key=self._order)]
        return tuple(out)

    def _kept(self) -> list[Placement]:
        """Pieces that stay, with the numbers they have in this layout."""
        out = []
        for p, want in enumerate(self.case.posed):
            own = [each for each in self.case.kept if each.product == want.product.name]
            complete = self.found.goal[p]
            begun = _begins(self.case) and not want.is_met(complete)
            numbers = kept_numbers(own, want.product, complete, begun)
            out += [replace(each, number=number) for each, number in zip(own, numbers, strict=True)]
        return out

    def _order(self, pose: Pose) -> tuple[int, float, float]:
        x, y = np.mean(carried(self._outline(pose), pose), axis=0)
        return pose.kind, round(float(x), 3), round(float(y), 3)

    def _outline(self, pose: Pose) -> Ring:
        return tuple(self.problem.kinds[pose.kind].outline.exterior.coords[:-1])

    def _placement(self, pose: Pose, number: int) -> Placement:
        piece = self.pieces[pose.kind]
        name = self.problem.wanted[self.problem.kinds[pose.kind].product].name
        x, y = (round(value, 6) for value in self.frame.outward((pose.x, pose.y)))
        angle = round(pose.angle + self.frame.bearing, 9)
        at = Pose(pose.kind, pose.orientation, x, y, angle, pose.mirrored)
        return Placement(piece.name, name, number, x, y, angle, pose.mirrored, carried(piece.outline, at))


def carried(outline: Ring, pose: Pose) -> Ring:
    """A piece's outline as it lies: mirrored, then turned, then shifted; counter-clockwise."""
    points = np.array(outline)
    if pose.mirrored:
        points = points[::-1] * (-1, 1)
    angle = np.radians(pose.angle)
    c, s = np.cos(angle), np.sin(angle)
    laid = points @ np.array([[c, s], [-s, c]]) + (pose.x, pose.y)
    return tuple((round(float(x), 6), round(float(y), 6)) for x, y in laid)
