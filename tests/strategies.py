"""Random leather for hypothesis: rings, flaws, zones, hides; small enough to be quick, odd enough to find things."""

from __future__ import annotations

import math

from hypothesis import strategies as st
from shapely.geometry import Polygon

from hides.hide import CUTS, Flaw, Grade, Hide, Point, Price, Ring, Thickness, Zone

GRADES = st.sampled_from(list(Grade))


def lengths(low: float, high: float) -> st.SearchStrategy[float]:
    """Lengths on a grid of a hundredth of a millimetre, so that failures read well."""
    return st.integers(round(low * 100), round(high * 100)).map(lambda hundredths: hundredths / 100)


@st.composite
def star_rings(
    draw: st.DrawFn,
    centre: Point = (0.0, 0.0),
    radii: tuple[float, float] = (100.0, 400.0),
    corners: tuple[int, int] = (6, 24),
) -> Ring:
    """A simple, counter-clockwise ring that is star-shaped about `centre`; notched, seldom convex."""
    count = draw(st.integers(*corners))
    reach = draw(st.lists(lengths(*radii), min_size=count, max_size=count))
    turns = draw(st.lists(st.floats(0.1, 0.9), min_size=count, max_size=count))
    ring = []
    for i, (r, turn) in enumerate(zip(reach, turns, strict=True)):
        angle = 2 * math.pi * (i + turn) / count
        ring.append((round(centre[0] + r * math.cos(angle), 2), round(centre[1] + r * math.sin(angle), 2)))
    return tuple(ring)


@st.composite
def flaws(draw: st.DrawFn, centre: Point, radii: tuple[float, float] = (2.0, 40.0)) -> Flaw:
    """A flaw about `centre`."""
    return Flaw(
        kind=draw(st.sampled_from(["hole", "scar", "brand", "tick marks"])),
        outline=draw(star_rings(centre, radii, (6, 9))),
        grade=draw(GRADES),
        clearance=draw(st.sampled_from([0.0, 0.0, 3.0, 10.0])),
    )


@st.composite
def zones(draw: st.DrawFn, centre: Point, radii: tuple[float, float] = (60.0, 200.0)) -> Zone:
    """A weaker zone about `centre`; sometimes thinner, sometimes with a direction of its own."""
    return Zone(
        name=draw(st.sampled_from(["belly", "neck", "shank"])),
        outline=draw(star_rings(centre, radii, (6, 12))),
        grade=draw(GRADES),
        thickness=draw(st.none() | st.just(Thickness(2.0, 2.4))),
        backbone=draw(st.none() | st.just(((0.0, 0.0), (100.0, 20.0)))),
    )


@st.composite
def hides(
    draw: st.DrawFn,
    radii: tuple[float, float] = (150.0, 400.0),
    most_flaws: int = 4,
    most_zones: int = 2,
    graded: bool = True,
) -> Hide:
    """A hide with flaws and zones of which each lies at least partly on it. `graded` false: grade A throughout."""
    outline = draw(star_rings((0.0, 0.0), radii))
    spot = st.tuples(st.sampled_from(outline), st.floats(0.0, 0.95)).map(
        lambda chosen: (round(chosen[0][0] * chosen[1], 2), round(chosen[0][1] * chosen[1], 2))
    )
    return Hide(
        name=draw(st.sampled_from(["S-01", "Schulter 2", "offcut 3/4"])),
        outline=outline,
        cut=draw(st.sampled_from(CUTS)),
        backbone=((-radii[1], 0.0), (radii[1], draw(lengths(-40, 40)))),
        grade=draw(st.sampled_from([Grade.A, Grade.A, Grade.B])) if graded else Grade.A,
        thickness=draw(st.none() | st.just(Thickness(3.2, 3.6))),
        edge=draw(st.sampled_from([0.0, 0.0, 5.0, 12.5])),
        area=draw(st.none() | st.just(Polygon(outline).area * 1.02)),
        price=draw(st.none() | st.just(Price(1e-4, "EUR", 100.0, "m2"))),
        flaws=tuple(draw(flaws(draw(spot))) for _ in range(draw(st.integers(0, most_flaws)))),
        zones=tuple(draw(zones(draw(spot))) for _ in range(draw(st.integers(0, most_zones)))),
    )
