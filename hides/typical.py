"""A typical outline of each cut, scaled to the area on an invoice: for when nothing else is known yet.

All cuts come from one drawing of half a hide, our own, laid with the backbone along +x, the butt at x = 0 and the neck
at the far end. It is parted as the trade parts a hide: the butt from the shoulder across, the belly off lengthwise.
The lines lie so that bend, shoulder, and belly with head take 43, 32 and 25 % (common practice, one diagram of many);
on a hide of 45 sq ft the butt is then about 1400 × 1400 mm, as another source of common practice has it. ISO 2418:2023
says that the sizes of these segments cannot be uniquely defined; every hide made here is marked as an estimate.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon, box

from hides import units
from hides.errors import InputError
from hides.fields import unknown
from hides.hide import Grade, Hide, Point, Ring, Segment, Zone
from hides.rings import mend_ring

# fmt: off
HALF: tuple[Point, ...] = (
    (0, 0), (2300, 0), (2330, 60), (2342, 150), (2325, 250), (2280, 325), (2200, 362), (2110, 392), (2020, 440),
    (1940, 510), (1885, 590), (1862, 670), (1850, 760), (1832, 850), (1800, 920), (1750, 955), (1700, 940),
    (1668, 890), (1648, 830), (1615, 790), (1560, 785), (1470, 805), (1360, 832), (1230, 852), (1090, 858),
    (950, 848), (820, 822), (720, 800), (650, 812), (595, 860), (550, 935), (510, 1020), (465, 1100), (405, 1150),
    (340, 1158), (285, 1120), (250, 1050), (232, 960), (215, 860), (185, 750), (140, 620), (92, 480), (52, 340),
    (22, 210), (4, 100),
)
# fmt: on
ACROSS = 1269.0
"""Where butt and shoulder part, mm from the tail."""
ALONG = 627.0
"""Where the belly is taken off, mm from the backbone."""
FAR = 5000.0


@dataclass(frozen=True)
class Region:
    """A weaker part of every hide: its part of the half drawing, and what it is fit for."""

    name: str
    half: Polygon
    grade: Grade
    backbone: Segment | None = None


REGIONS = (
    Region("belly", box(0, ALONG, FAR, FAR), Grade.C, ((500.0, 760.0), (1700.0, 730.0))),
    Region("neck", box(1990, 0, FAR, FAR), Grade.B),
    Region("hind shank", box(0, 880, 700, FAR), Grade.D, ((380.0, 900.0), (360.0, 1150.0))),
    Region("fore shank", box(1600, 800, 2000, FAR), Grade.D, ((1750.0, 800.0), (1760.0, 950.0))),
)


def typical_hide(cut: str, area: float | str, name: str = "") -> Hide:
    """The typical outline of `cut`, scaled to `area` (mm², or a text such as "22 3/4 sq ft"), marked as an estimate.

    With the zones that are usually weaker and the backbone. Raises InputError for a cut without a typical outline.

    >>> hide = typical_hide("side", "22 3/4 sq ft")
    >>> hide.estimate, round(hide.measured_area / 1e6, 3), [zone.name for zone in hide.zones][:2]
    (True, 2.114, ['belly', 'neck'])
    """
    if cut not in _CUTS:
        raise unknown(f"cut “{cut}” of a typical hide", cut, tuple(_CUTS))
    wanted = units.area(area) if isinstance(area, str) else area
    if not wanted > 0:
        raise InputError(f"{area!r} is no area of leather", remedy='give a size above nought: "22 3/4 sq ft"')
    outline = _CUTS[cut](Polygon(HALF))
    zones = [
        Zone(region.name, ring, region.grade, backbone=_mirrored_backbone(region, flipped))
        for region in REGIONS
        for flipped in (False, True)
        for ring in _parts(region.half, outline, flipped)
    ]
    hide = Hide(name or f"typical {cut}", _ring(outline), cut, backbone=_backbone(outline), zones=tuple(zones))
    return _placed(hide, (wanted / outline.area) ** 0.5, wanted)


def _whole(half: Polygon) -> Polygon:
    joined = half.union(_mirrored(half))
    return joined if isinstance(joined, Polygon) else max(joined.geoms, key=lambda part: part.area)


def _mirrored(shape: Polygon) -> Polygon:
    return affinity.scale(shape, 1, -1, origin=(0, 0))


def _clipped(half: Polygon, x0: float, y0: float, x1: float, y1: float) -> Polygon:
    part = half.intersection(box(x0, y0, x1, y1))
    return part if isinstance(part, Polygon) else max(part.geoms, key=lambda each: each.area)


_CUTS: dict[str, Callable[[Polygon], Polygon]] = {
    "hide": _whole,
    "side": lambda half: half,
    "back": lambda half: _clipped(half, -FAR, -FAR, FAR, ALONG),
    "butt": lambda half: _whole(_clipped(half, -FAR, -FAR, ACROSS, ALONG)),
    "bend": lambda half: _clipped(half, -FAR, -FAR, ACROSS, ALONG),
    "double shoulder": lambda half: _whole(_clipped(half, ACROSS, -FAR, FAR, ALONG)),
    "shoulder": lambda half: _clipped(half, ACROSS, -FAR, FAR, ALONG),
    "belly": lambda half: _clipped(half, -FAR, ALONG, FAR, FAR),
}


def _parts(region: Polygon, outline: Polygon, flipped: bool) -> list[Ring]:
    """What of a region lies on the cut; on the far side of the backbone when `flipped`."""
    met = (_mirrored(region) if flipped else region).intersection(outline)
    parts = met.geoms if isinstance(met, MultiPolygon) else [met]
    return [_ring(part) for part in parts if isinstance(part, Polygon) and part.area > 2000]


def _mirrored_backbone(region: Region, flipped: bool) -> Segment | None:
    if region.backbone is None or not flipped:
        return region.backbone
    (x0, y0), (x1, y1) = region.backbone
    return (x0, -y0), (x1, -y1)


def _backbone(outline: Polygon) -> Segment:
    x0, y0, x1, _ = outline.bounds
    y = max(y0, 0.0)
    return (x0, y), (x1, y)


def _ring(shape: Polygon) -> Ring:
    return mend_ring(list(shape.exterior.coords)).ring


def _placed(hide: Hide, scale: float, area: float) -> Hide:
    """The hide scaled, with its lower left corner in the origin, and marked as an estimate."""
    left, low, _, _ = Polygon(hide.outline).bounds

    def at(point: Point) -> Point:
        return round((point[0] - left) * scale, 3) + 0.0, round((point[1] - low) * scale, 3) + 0.0

    def ring(points: Ring) -> Ring:
        return tuple(at(point) for point in points)

    def segment(ends: Segment | None) -> Segment | None:
        return None if ends is None else (at(ends[0]), at(ends[1]))

    zones = tuple(Zone(z.name, ring(z.outline), z.grade, backbone=segment(z.backbone)) for z in hide.zones)
    return Hide(
        hide.name, ring(hide.outline), hide.cut, backbone=segment(hide.backbone), area=area, zones=zones, estimate=True
    )
