"""`python -m nesting.search.warm`: compile the kernels ahead, so that no answer waits for them."""

from __future__ import annotations

from dataclasses import replace

from shapely.geometry import Polygon, box

from nesting.bound.limits import Bound
from nesting.bound.line_measure import MEASURES
from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.model.settings import Watch, never
from nesting.model.straight import StraightRules
from nesting.search.arrays.arrays import build
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.choosing.large_neighbourhood import search_neighbourhoods
from nesting.search.filling.lattice_fill import lattice_fill
from nesting.search.filling.sequence_search import search_sequences
from nesting.search.groundwork import Groundwork
from nesting.search.rectangles.packing import PackedItem, Room, pack
from nesting.search.search import search
from nesting.search.separation.depth_maps import atlas
from nesting.search.separation.guided_local_search import pull_apart, settle_exactly
from nesting.search.straight.plan import plan_straight


def warm() -> None:
    """Lay a small problem that meets every kernel; the machine code is kept on disk."""
    tee = Polygon([(0, 0), (30, 0), (30, 10), (20, 10), (20, 40), (10, 40), (10, 10), (0, 10)])
    kinds = (
        Kind(
            "tee",
            0,
            tee,
            (tee,),
            1,
            (Orientation(False, -5.0, 5.0, (0,)), Orientation(True, 180.0, 180.0, (0,))),
            spare=True,
        ),
        Kind("square", 0, box(0, 0, 25, 25), (box(0, 0, 25, 25),), 1, (Orientation(False, 0.0, 0.0, (0,)),)),
    )
    leather = box(0, 0, 100, 90).difference(box(50, 50, 55, 55))
    problem = Problem((leather,), (leather,), kinds, (Wanted("kit", limit=30),))
    search(Groundwork(problem), (), "quick", 1, Watch())
    fits = InnerFits(build(problem))
    lattice_fill(fits, 0)
    crowded = [Laid(k, int(fits.arrays.tables.kind_orientations[k]), 50.0, 45.0, 0.0) for k in (0, 0, 1)]
    pull_apart(fits.arrays, atlas(fits), crowded, [1], 1, 200)
    settle_exactly(fits.arrays, crowded, 5.0, 1)
    search_neighbourhoods(fits, search_sequences(fits, (9,), 1, 1, never).pieces, (9,), 1, 1, never)
    strap = replace(kinds[1], name="strap", outline=box(0, 0, 60, 10), parts=(box(0, 0, 60, 10),))
    straight = replace(problem, kinds=(kinds[1], strap))
    plan_straight(straight, (30,), StraightRules(), 0.0, "quick", 1, Watch())
    turns = replace(kinds[1], orientations=(Orientation(False, -5.0, 5.0, (0,)),))
    Bound(replace(problem, kinds=(turns,))).measure(MEASURES["normal"])
    pack([PackedItem(2, 1), PackedItem(2, 1)], Room(2, 2))


if __name__ == "__main__":
    print("Compiling the search (half a minute, once) ...")
    warm()
