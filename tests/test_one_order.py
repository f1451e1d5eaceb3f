"""An answer does not depend on the order in which a file names its pieces, nor a caller his products."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from problems import plain_hide, rectangle

from hides.hide import Grade, Hide
from nesting.batch.limits import limits_of
from nesting.laying.case import case_of
from nesting.laying.lay_out import lay_out, solve
from nesting.laying.shortage import shortages
from nesting.model.layout import Layout, Placement
from nesting.model.product import Piece, Product
from nesting.model.settings import Settings
from nesting.model.straight import StraightRules
from nesting.model.want import Want
from scripts.attack_layouts import random_hide, random_product

QUICK = Settings(effort="quick")


def lain(layout: Layout) -> list[Placement]:
    return sorted(layout.hides[0].placements, key=repr)


def mixed(seed: int) -> tuple[Hide, Product, Product]:
    """A random hide, a product of several pieces, and the same with its pieces in another order."""
    rng = np.random.default_rng([13, seed])
    hide = random_hide(rng)
    product, more = random_product(rng, hide), random_product(rng, hide).pieces
    pieces = (*product.pieces, *(replace(piece, name=f"{piece.name} too") for piece in more))
    order = [int(k) for k in rng.permutation(len(pieces))]
    return hide, replace(product, pieces=pieces), replace(product, pieces=tuple(pieces[k] for k in order[::-1]))


@pytest.mark.parametrize("seed", [0, 2, 4])
def test_pieces_in_another_order_lie_where_they_lay(seed: int) -> None:
    hide, one, other = mixed(seed)
    first, second = (lay_out(hide, [Want(product)], QUICK) for product in (one, other))
    assert lain(second) == lain(first)
    assert second.counts[0].complete == first.counts[0].complete
    assert second.counts[0].at_most == first.counts[0].at_most
    assert second.hides[0].areas == first.hides[0].areas
    assert second.hides[0].offcuts == first.hides[0].offcuts


def test_products_in_another_order_lie_where_they_lay() -> None:
    hide = plain_hide(400, 300)
    wants = [
        Want(Product("mat", (rectangle("mat", 110, 130),)), 1.0, 2),
        Want(Product("tag", (rectangle("tag", 35, 60), rectangle("loop", 20, 30))), 0.25),
        Want(Product("disc", (rectangle("a", 60, 60),)), 0.4, 3),
    ]
    first = lay_out(hide, wants, QUICK)
    second = lay_out(hide, [wants[2], wants[0], wants[1]], QUICK)
    assert lain(second) == lain(first)
    assert {count.name: count for count in second.counts} == {count.name: count for count in first.counts}
    assert [count.name for count in second.counts] == [product.name for product in second.products]
    assert [product.name for product in second.products] == ["disc", "mat", "tag"]


def test_a_layout_tells_pieces_in_the_order_of_their_file() -> None:
    small, large = rectangle("small", 20, 30), rectangle("large", 90, 120)
    layout = lay_out(plain_hide(300, 250), [Want(Product("kit", (small, large)))], QUICK)
    told = [p.piece for p in layout.hides[0].placements if 0 < p.number <= layout.counts[0].complete]
    assert told
    assert told == ["small", "large"] * (len(told) // 2)
    begun = layout.counts[0].next
    assert begun is None or [name for name, _ in begun.missing] in (["small", "large"], ["small"], ["large"])


def test_what_is_short_is_told_in_the_order_of_the_file() -> None:
    strap, panel = rectangle("strap", 10, 900), rectangle("panel", 400, 500, grade=Grade.A)
    product = Product("kit", (strap, panel))
    case = case_of(plain_hide(300, 250), [Want(product)], QUICK)
    assert [each.piece for each in shortages(case, solve(case))] == ["strap", "panel"]


def test_strips_and_kept_pieces_do_not_depend_on_the_order_either() -> None:
    hide, pieces = plain_hide(240, 130), (rectangle("short", 40, 50), rectangle("long", 40, 110))
    one, other = Product("kit", pieces), Product("kit", pieces[::-1])
    cut = replace(QUICK, straight=StraightRules())
    assert lain(lay_out(hide, [Want(one)], cut)) == lain(lay_out(hide, [Want(other)], cut))
    whole = lay_out(hide, [Want(one)], QUICK).hides[0].placements
    kept = [replace(each, keep=True) for each in whole[:3]]
    found = [solve(case_of(hide, [Want(p)], QUICK, k)) for p, k in ((one, kept), (other, kept[::-1]))]
    assert lain(found[0]) == lain(found[1])


def test_limits_of_a_batch_do_not_depend_on_the_order_of_pieces() -> None:
    hide, one, other = mixed(3)
    assert limits_of(hide, [one], QUICK) == limits_of(hide, [other], QUICK)


def test_what_a_piece_is_called_decides_only_between_pieces_that_are_alike() -> None:
    hide, one, _ = mixed(2)
    renamed = replace(one, pieces=tuple(replace(p, name=f"{9 - n} {p.name}") for n, p in enumerate(one.pieces)))
    first, second = (lay_out(hide, [Want(product)], QUICK) for product in (one, renamed))
    where = [sorted((p.x, p.y, p.angle) for p in layout.hides[0].placements) for layout in (first, second)]
    assert where[0] == where[1]


def test_a_piece_alone_is_its_own_order() -> None:
    assert case_of(plain_hide(9, 9), [Want(Product("p", (Piece("q", ((0, 0), (1, 0), (0, 1))),)))]).places == (0,)
