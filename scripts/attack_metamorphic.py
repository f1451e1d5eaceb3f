"""Variants of a random case whose answer follows from the first one's.

Moved or turned on the floor it gives the same; with one flaw more, or with less of the leather, no bound is higher; in
another order of the pieces the bound is the same, and of every other case the layout to the last digit, stopped where
the first one was; and what was laid is never beyond the bound of more leather.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from hides.hide import Flaw, Grade, Hide, Ring
from nesting.batch.searching import Here
from nesting.laying.case import case_of
from nesting.laying.lay_out import lay_out
from nesting.model.layout import Layout
from nesting.model.product import Product
from nesting.model.settings import Settings, Watch
from nesting.model.want import Want
from scripts.attack_layouts import Asked, random_hide, random_product, stop_of


def case(seed: int) -> str | None:
    """One case and its variants; the first that does not follow."""
    rng = np.random.default_rng([5, seed])
    hide = random_hide(rng)
    product = random_product(rng, hide)
    most = _most(hide, product)
    order = tuple(product.pieces[int(k)] for k in rng.permutation(len(product.pieces)))
    if (other := _most(hide, replace(product, pieces=order))) != most:
        return f"in another order of pieces the bound is {other}, not {most}"
    moved = _moved(hide, complex(*rng.uniform(-500, 500, 2)), float(rng.uniform(0, 2 * np.pi)))
    if abs(_most(moved, product) - most) > 0 and most < 500:
        return f"turned on the floor the bound is {_most(moved, product)}, not {most}"
    x, y = (float(v) for v in rng.uniform(-100, 100, 2))
    spot = Flaw("more", ((x, y), (x + 40, y), (x + 40, y + 40), (x, y + 40)), Grade.NONE, 2.0)
    flawed = replace(hide, flaws=(*hide.flaws, spot))
    if _most(flawed, product) > most:
        return f"with a flaw more the bound is {_most(flawed, product)}, not {most}"
    settings, stop = Settings(effort="quick", tidily=rng.random() < 0.25), stop_of(rng)
    layout = _laid(flawed, product, settings, replace(stop))
    if seed % 2 and _where(_laid(flawed, replace(product, pieces=order), settings, stop)) != _where(layout):
        return "in another order of pieces they lie elsewhere"
    laid = layout.counts[0].complete
    return f"{laid} are laid on flawed leather, and the bound without the flaw is {most}" if laid > most else None


def _most(hide: Hide, product: Product) -> int:
    return case_of(hide, [Want(product)]).at_most[0]


def _laid(hide: Hide, product: Product, settings: Settings, stop: Asked) -> Layout:
    return lay_out(hide, [Want(product)], settings, Watch(stop=stop, executor=Here(), stop_there=stop))


def _where(layout: Layout) -> list[str]:
    return sorted(repr(placement) for placement in layout.hides[0].placements)


def _moved(hide: Hide, by: complex, turn: float) -> Hide:
    def ring(points: Ring) -> Ring:
        turned = [complex(*p) * np.exp(1j * turn) + by for p in points]
        return tuple((float(z.real), float(z.imag)) for z in turned)

    start, end = ring(hide.backbone or ())
    return replace(
        hide,
        outline=ring(hide.outline),
        backbone=(start, end),
        flaws=tuple(replace(flaw, outline=ring(flaw.outline)) for flaw in hide.flaws),
        zones=tuple(replace(zone, outline=ring(zone.outline)) for zone in hide.zones),
    )
