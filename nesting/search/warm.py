"""`python -m nesting.search.warm`: compile the kernels ahead, so that no answer waits for them."""

from __future__ import annotations

from shapely.geometry import Polygon, box

from nesting.problem import Kind, Problem, Stance, Wanted
from nesting.search.depth_maps import atlas
from nesting.search.lattice_fill import lattice_fill
from nesting.search.orders import reorder
from nesting.search.packing import Item, Room, pack
from nesting.search.search import search
from nesting.search.squeeze import settle_exactly, squeeze
from nesting.search.tables import build
from nesting.search.windows import relay_windows
from nesting.search.yard import Laid, Yard
from nesting.settings import Watch, never


def warm() -> None:
    """Lay a small problem that meets every kernel; the machine code is kept on disk."""
    tee = Polygon([(0, 0), (30, 0), (30, 10), (20, 10), (20, 40), (10, 40), (10, 10), (0, 10)])
    kinds = (
        Kind("tee", 0, tee, (tee,), 1, (Stance(False, -5.0, 5.0, (0,)), Stance(True, 180.0, 180.0, (0,))), spare=True),
        Kind("square", 0, box(0, 0, 25, 25), (box(0, 0, 25, 25),), 1, (Stance(False, 0.0, 0.0, (0,)),)),
    )
    leather = box(0, 0, 100, 90).difference(box(50, 50, 55, 55))
    problem = Problem((leather,), (leather,), kinds, (Wanted("kit", limit=30),))
    search(problem, (), "quick", 1, Watch())
    yard = Yard(build(problem))
    lattice_fill(yard, 0)
    crowded = [Laid(k, int(yard.book.tables.kind_stances[k]), 50.0, 45.0, 0.0) for k in (0, 0, 1)]
    squeeze(yard.book, atlas(yard), crowded, [1], 1, 200)
    settle_exactly(yard.book, crowded, 5.0, 1)
    relay_windows(yard, reorder(yard, (9,), 1, 1, never).pieces, (9,), 1, 1, never)
    pack([Item(2, 1), Item(2, 1)], Room(2, 2))


if __name__ == "__main__":
    print("Compiling the search (half a minute, once) ...")
    warm()
