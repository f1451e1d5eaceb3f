"""Crafted layouts against the check: right ones must pass, and one with a single thing wrong must be found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from shapely import affinity
from shapely.geometry import Polygon, box

from hides.hide import Flaw, Grade, Hide, Ring
from nesting.check import faults
from nesting.model.layout import Areas, HideLayout, Layout, Placement, ProductCount
from nesting.model.product import Along, Piece, Product

Change = Callable[[np.random.Generator, Layout], tuple[Layout, str]]


def case(seed: int) -> str | None:
    """A right layout, and the same with one thing wrong by more than the tolerance."""
    rng = np.random.default_rng([4, seed])
    right = _right(rng)
    found = faults(right)
    if found:
        return f"a right layout is refused: {found[0]}"
    name = sorted(CHANGES)[int(rng.integers(len(CHANGES)))]
    changed, code = CHANGES[name](rng, right)
    told = {fault.code for fault in faults(changed)}
    return None if code in told else f"{name}: {sorted(told) or 'nothing'} found in place of {code}"


def _right(rng: np.random.Generator) -> Layout:
    """Rectangles in rows, drawn or set off by less than the tolerance, on a turned board with a flaw and an offcut."""
    w, h, turn = float(rng.uniform(20, 90)), float(rng.uniform(20, 140)), float(rng.uniform(-180, 180))
    columns, rows = int(rng.integers(1, 5)), int(rng.integers(1, 4))
    edge, gap = float(rng.choice([0.0, 6.0])), float(rng.choice([0.0, 2.0]))
    off = float(rng.uniform(-0.009, 0.009)) * 0.7
    whole = box(0, 0, columns * (w + gap) + 400, max(rows * (h + gap), 200) + 2 * edge)
    way = np.exp(1j * np.radians(turn))
    flaw = box(columns * (w + gap) + 120, edge + 20, columns * (w + gap) + 150, edge + 40)
    flaws = (Flaw("hole", _ring(flaw, turn), Grade.NONE, 5.0),)
    hide = Hide("h", _ring(whole, turn), edge=edge, flaws=flaws, backbone=((0.0, 0.0), (way.real, way.imag)))
    piece = Piece("p", ((0, 0), (w, 0), (w, h), (0, h)), 1, along=Along.ACROSS, tolerance=1.0)
    placements = []
    for n in range(columns * rows):
        x, y = edge + n % columns * (w + gap) + off * (n % 2), edge + n // columns * (h + gap)
        at = complex(x, y) * way
        lies = _ring(affinity.translate(Polygon(piece.outline), x, y), turn)
        placements.append(Placement("p", "P", n + 1, at.real, at.imag, turn, False, lies))
    start = columns * (w + gap) + 200
    kept = _ring(box(start, edge + 1, start + 150, edge + 150), turn)
    many, area = len(placements), w * h * len(placements)
    useless = (30 + 10) * 20 + 10 * 30 + np.pi * 25.0
    strip = whole.area - (whole.bounds[2] - 2 * edge) * (whole.bounds[3] - 2 * edge)
    rest = whole.area - area - strip - useless - 150 * 149
    areas = Areas(whole.area, whole.area - strip - useless, area, strip, useless, 150 * 149, rest)
    on = HideLayout(hide, tuple(placements), areas, (kept,), (150 * 149.0,))
    return Layout((ProductCount("P", many, many + 1),), (Product("P", (piece,)),), gap, 1, "quick", (on,))


def _ring(shape: Polygon, turn: float) -> Ring:
    turned = affinity.rotate(shape, turn, origin=(0, 0)).exterior
    ring = [(float(x), float(y)) for x, y in turned.coords[:-1]]
    return tuple(ring if turned.is_ccw else ring[::-1])


def _with(layout: Layout, **changes: object) -> Layout:
    return replace(layout, hides=(replace(layout.hides[0], **changes),))  # type: ignore[arg-type]


def _moved(placement: Placement, by: complex) -> Placement:
    ring = tuple((x + by.real, y + by.imag) for x, y in placement.outline)
    return replace(placement, x=placement.x + by.real, y=placement.y + by.imag, outline=ring)


def _outside(rng: np.random.Generator, layout: Layout) -> tuple[Layout, str]:
    """The first piece lies in the corner: moved out of it along the backbone, by a hair or more."""
    first, *others = layout.hides[0].placements
    by = -complex(*layout.hides[0].hide.backbone[1]) * float(rng.choice([0.012, 0.1, 3.0]))  # type: ignore[index]
    return _with(layout, placements=(_moved(first, by), *others)), "outside"


def _doubled(rng: np.random.Generator, layout: Layout) -> tuple[Layout, str]:
    """One piece more, a little beside one that lies there."""
    first = layout.hides[0].placements[0]
    more = replace(_moved(first, complex(*rng.uniform(0.5, 5.0, 2))), number=0)
    return _with(layout, placements=(*layout.hides[0].placements, more)), "overlap"


def _drawn(rng: np.random.Generator, layout: Layout) -> tuple[Layout, str]:
    """Drawn small."""
    first, *others = layout.hides[0].placements
    small = Polygon(first.outline).buffer(-float(rng.choice([0.012, 0.5])), join_style="mitre")
    outline = tuple((float(x), float(y)) for x, y in small.exterior.coords[:-1])
    return _with(layout, placements=(replace(first, outline=outline), *others)), "shape"


def _turned(rng: np.random.Generator, layout: Layout) -> tuple[Layout, str]:
    first, *others = layout.hides[0].placements
    return _with(layout, placements=(replace(first, angle=first.angle + float(rng.uniform(2, 170))), *others)), "angle"


def _over(rng: np.random.Generator, layout: Layout) -> tuple[Layout, str]:
    first, *others = layout.hides[0].placements
    return _with(layout, placements=(replace(first, mirrored=True), *others)), "mirrored"


def _fewer(rng: np.random.Generator, layout: Layout) -> tuple[Layout, str]:
    return _with(layout, placements=layout.hides[0].placements[1:]), "count"


def _beyond(rng: np.random.Generator, layout: Layout) -> tuple[Layout, str]:
    count = layout.counts[0]
    return replace(layout, counts=(replace(count, at_most=count.complete - 1),)), "bound"


def _spot(rng: np.random.Generator, layout: Layout) -> tuple[Layout, str]:
    """A flaw of nearly no size under a piece."""
    middle = Polygon(layout.hides[0].placements[0].outline).centroid
    size = float(rng.uniform(0.1, 2.0))
    ring = tuple(box(middle.x, middle.y, middle.x + size, middle.y + size).exterior.coords[:-1])
    hide = layout.hides[0].hide
    return _with(layout, hide=replace(hide, flaws=(*hide.flaws, Flaw("tick", ring, Grade.D)))), "flaw"


def _areas(rng: np.random.Generator, layout: Layout) -> tuple[Layout, str]:
    """One heading's area told as another's, so that they add up: more of it than pieces may share within tolerance."""
    by = float(rng.uniform(12, 300))
    names = ["pieces", "edge", "flaws", "offcuts", "scrap"]
    one, two = rng.choice(len(names), 2, replace=False)
    areas = layout.hides[0].areas
    moved = {names[one]: getattr(areas, names[one]) + by, names[two]: getattr(areas, names[two]) - by}
    return _with(layout, areas=replace(areas, **moved)), "areas"


def _usable(rng: np.random.Generator, layout: Layout) -> tuple[Layout, str]:
    areas = layout.hides[0].areas
    return _with(layout, areas=replace(areas, usable=areas.usable + float(rng.uniform(3, 9)))), "areas"


def _holed(rng: np.random.Generator, layout: Layout) -> tuple[Layout, str]:
    """A hole in the offcut."""
    at = Polygon(layout.hides[0].offcuts[0]).centroid
    ring = tuple(box(at.x, at.y, at.x + 1, at.y + 1).exterior.coords[:-1])
    return _with(layout, hide=replace(layout.hides[0].hide, holes=(ring,))), "offcut"


def _said(rng: np.random.Generator, layout: Layout) -> tuple[Layout, str]:
    return _with(layout, offcut_areas=(layout.hides[0].offcut_areas[0] + float(rng.uniform(2, 90)),)), "offcut"  # type: ignore[operator]


CHANGES: dict[str, Change] = {
    "outside": _outside, "doubled": _doubled, "drawn small": _drawn, "turned": _turned, "turned over": _over,
    "a piece fewer": _fewer, "beyond the bound": _beyond, "a flaw under it": _spot, "areas made up": _areas,
    "usable made up": _usable, "an offcut with a hole": _holed, "an offcut's area": _said,
}  # fmt: skip
