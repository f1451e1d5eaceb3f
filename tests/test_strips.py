"""What a strip can give and which strips follow one another: the kernels against shapely and against trying all."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from itertools import product as every

import numpy as np
import pytest
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.search.straight.beam import beam
from nesting.search.straight.choose import choose
from nesting.search.straight.forms import Box, Form
from nesting.search.straight.ground import Ground
from nesting.search.straight.lattice_kernel import StripGraph

WIDTHS = (20.0, 31.0)
LENGTHS = ((60.0, 110.0), (45.0,))
MOST = (4, 3, 5)


def leather(rng: np.random.Generator) -> Polygon:
    """A ragged piece of leather about 400 x 160 with a few holes."""
    turns = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    ring = [(200 * np.cos(t) * rng.uniform(0.8, 1), 80 * np.sin(t) * rng.uniform(0.8, 1)) for t in turns]
    shape: BaseGeometry = Polygon(ring)
    for _ in range(3):
        x, y = rng.uniform(-120, 120), rng.uniform(-50, 50)
        shape = shape.difference(box(x, y, x + 15, y + 6))
    return max(getattr(shape, "geoms", [shape]), key=lambda part: part.area)


def ground(shape: Polygon, kerf: float = 0.0) -> Ground:
    """Rectangles of two widths and three lengths on some leather, the line along +x."""
    forms = []
    for width, lengths in zip(WIDTHS, LENGTHS, strict=True):
        for length in lengths:
            boxes = (Box(0, 0.0, 0.0, length, width),)
            forms.append(Form(len(forms), width, length, boxes, 0, 0.0, False, (0.0, 0.0)))
    kinds = tuple(
        Kind(str(n), 0, (b := box(0, 0, f.length, f.width)), (b,), 1, (Orientation(False, 0.0, 0.0, (0,)),))
        for n, f in enumerate(forms)
    )
    return Ground(Problem((shape,), (shape,), kinds, (Wanted("kit"),), 0.0), 0.0, tuple(forms), MOST, kerf)


def stretches(shape: Polygon, low: float, high: float) -> list[tuple[float, float]]:
    """Where the whole band lies on the leather: its parts that nothing of the band's other leather lacks."""
    west, _, east, _ = shape.bounds
    lacking = box(west - 1, low, east + 1, high).difference(shape)
    gone = sorted((p.bounds[0], p.bounds[2]) for p in getattr(lacking, "geoms", [lacking]) if p.area > 1e-9)
    out, reach = [], gone[0][1]
    for left, right in gone[1:]:
        if left > reach + 1e-4:
            out.append((reach, left))
        reach = max(reach, right)
    return out


def fits(spans: Sequence[tuple[float, float]], lengths: Sequence[float], kerf: float) -> bool:
    """Whether pieces go into stretches: by trying every stretch for every piece, no order matters within one."""
    for places in every(range(len(spans)), repeat=len(lengths)):
        taken = [0.0] * len(spans)
        for place, length in zip(places, lengths, strict=True):
            taken[place] += length + (kerf if taken[place] else 0.0)
        if all(t <= b - a + 1e-6 for t, (a, b) in zip(taken, spans, strict=True)):
            return True
    return False


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("kerf", [0.0, 1.5])
def test_a_strip_gives_just_the_mixes_that_go(seed: int, kerf: float) -> None:
    """Every mix against trying every stretch for every piece; those told are the greatest of them."""
    rng = np.random.default_rng(seed)
    made = ground(leather(rng), kerf)
    offsets = rng.uniform(-70, 50, 12)
    widths = rng.integers(0, 2, 12)
    given = made.strips(widths, offsets)
    for n, (offset, width) in enumerate(zip(offsets, widths, strict=True)):
        spans = stretches(made.problem.regions[0], offset, offset + WIDTHS[width])
        kinds = [k for k, form in enumerate(made.forms) if form.width == WIDTHS[width]]
        going = set()
        for counts in every(*(range(MOST[k] + 1) if k in kinds else (0,) for k in range(3))):
            lengths = [made.forms[k].length for k in kinds for _ in range(counts[k])]
            if sum(lengths) <= sum(b - a for a, b in spans) + 1e-6 and fits(spans, lengths, kerf):
                going.add(counts)
        greatest = {
            c for c in going if not any(d != c and all(x <= y for x, y in zip(c, d, strict=True)) for d in going)
        }
        rows = [tuple(int(x) for x in row) for row in given.mixes[given.first[n] : given.first[n + 1]]]
        assert rows[-1] == (0, 0, 0)
        assert set(rows[:-1]) == greatest - {(0, 0, 0)}
        for row in rows[:-1]:
            laid = made.sequence(float(offset), int(width), np.array(row))
            assert [sum(form.kind == k for form, _ in laid) for k in range(3)] == list(row)
            ends = [(at, at + form.length) for form, at in laid]
            assert all(b[0] >= a[1] + kerf - 1e-6 for a, b in pairwise(ends))
            assert all(any(a - 0.02 <= x and y <= b + 0.02 for a, b in spans) for x, y in ends)


def test_a_strip_with_slack_gives_what_every_strip_within_it_gives() -> None:
    rng = np.random.default_rng(7)
    made = ground(leather(rng))
    for offset in rng.uniform(-70, 50, 20):
        for width in (0, 1):
            lifts = np.array([0.0, 0.7, 1.4, 2.0])
            exact = made.strips(np.full(4, width), offset + lifts)
            slack = made.strips(np.array([width]), np.array([offset]), 2.0)
            assert all((slack.mixes >= row).all(axis=1).any() for row in exact.mixes)


def graph(rng: np.random.Generator) -> StripGraph:
    """Strips of two widths between nodes; each can give a few mixes of three kinds."""
    edges = [(i, w, i + w + 1) for i in range(7) for w in (0, 1)]
    mixes, first = [], [0]
    for _ in edges:
        mixes += [*rng.integers(0, 3, (int(rng.integers(0, 4)), 3)), np.zeros(3, int)]
        first.append(len(mixes))
    return StripGraph(np.array(edges), np.array(mixes, np.int64), np.array(first))


@pytest.mark.parametrize("seed", range(6))
def test_a_wide_beam_finds_what_cp_sat_proves(seed: int) -> None:
    """Kept whole, the beam misses nothing; and the strips that both name give what they say, one after another."""
    made = graph(np.random.default_rng(seed))
    need = (1, 2, 1)
    chosen = choose(made, (1.0, 2.0), need, 0, 9, 2.0)
    assert chosen.settled
    found = beam(made, need, 9, np.array([0.3, 0.2, 0.3]), 20_000)
    narrow = beam(made, need, 9, np.array([0.3, 0.2, 0.3]), 3)
    assert found.products == chosen.products
    assert narrow.products <= found.products
    for each in (chosen, found, narrow):
        node, got = 0, np.zeros(3, int)
        for edge, mix in each.strips:
            assert made.edges[edge, 0] == node
            assert made.first[edge] + mix < made.first[edge + 1]
            node = int(made.edges[edge, 2])
            got += made.mixes[made.first[edge] + mix]
        assert (got // np.array(need)).min() >= each.products
