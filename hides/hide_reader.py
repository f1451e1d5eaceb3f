"""A hide file's content, field by field, into a Hide; with everything that had to be mended on the way."""

from __future__ import annotations

import math
from pathlib import PurePath

import shapely
from shapely.geometry import Polygon

from hides.errors import InputError
from hides.fields import Fields, told
from hides.finding import Finding
from hides.hide import CUTS, Flaw, Grade, Hide, HidePhoto, Point, Price, Ring, Segment, Thickness, Zone
from hides.hide_writer import FORMAT
from hides.holes import settle_holes
from hides.rings import MOST_POINTS, SAME, mend_ring
from hides.units import FILE_UNITS, LARGEST, LENGTH_UNITS, area, area_unit, finite, length, thickness

HIDE = (
    "format", "name", "units", "cut", "outline", "holes", "backbone", "grade", "thickness", "edge", "area", "price",
    "flaws", "zones", "estimate", "leather", "colour", "lot", "parent", "photo",
)  # fmt: skip
FLAW = ("kind", "outline", "grade", "clearance")
ZONE = ("name", "outline", "grade", "thickness", "backbone")
PRICE = ("per_area", "unit", "currency")
PHOTO = ("file", "box")
PICTURES = (".jpg", ".jpeg", ".png")
LABELS = tuple(grade.label for grade in Grade)
LEAST_HIDE = 100.0
"""A hide below a square centimetre is a slip of units."""
MOST_ITEMS = 2000
DIGITS = 6


class HideReader:
    """Reads one hide; `findings` says what was mended."""

    def __init__(self, where: str = "") -> None:
        self.where = where
        self.units = "mm"
        self.findings: list[Finding] = []

    def hide(self, data: object) -> Hide:
        """The hide; InputError where the content is none."""
        fields = Fields.of_format(data, FORMAT, HIDE, self.where, f'a hide file says "{FORMAT}"')
        self.units = fields.choice("units", FILE_UNITS, "mm")
        outline = self._ring(fields, "outline", LEAST_HIDE)
        whole = Polygon(outline)
        shapely.prepare(whole)
        holes, cut_off = settle_holes(whole, self._holes(fields, whole), self.findings)
        hide = Hide(
            name=fields.text("name", PurePath(self.where).stem or "hide"),
            outline=outline,
            cut=fields.choice("cut", CUTS, "hide"),
            holes=holes,
            backbone=self._backbone(fields),
            grade=self._grade(fields, Grade.A),
            thickness=self._thickness(fields),
            edge=self._length(fields, "edge"),
            area=self._area(fields),
            price=_price(fields),
            flaws=(*self._flaws(fields, whole), *(Flaw("hole", ring) for ring in cut_off)),
            zones=self._zones(fields, whole),
            estimate=fields.flag("estimate", False),
            leather=_line(fields, "leather"),
            colour=_line(fields, "colour"),
            lot=_line(fields, "lot"),
            parent=_line(fields, "parent"),
            photo=self._photo(fields),
            units=self.units,
        )
        self._compare_areas(hide)
        return hide

    def _flaws(self, fields: Fields, whole: Polygon) -> tuple[Flaw, ...]:
        found = []
        for index, data in enumerate(_few(fields, "flaws")):
            table = Fields.of(data, FLAW, self.where, f"flaws[{index}]")
            found.append(
                Flaw(
                    kind=table.text("kind", "flaw"),
                    outline=self._part(table, whole),
                    grade=self._grade(table, Grade.NONE),
                    clearance=self._length(table, "clearance"),
                )
            )
        return tuple(found)

    def _zones(self, fields: Fields, whole: Polygon) -> tuple[Zone, ...]:
        found = []
        for index, data in enumerate(_few(fields, "zones")):
            table = Fields.of(data, ZONE, self.where, f"zones[{index}]")
            found.append(
                Zone(
                    name=table.text("name", "zone"),
                    outline=self._part(table, whole),
                    grade=self._grade(table, Grade.A),
                    thickness=self._thickness(table),
                    backbone=self._backbone(table),
                )
            )
        return tuple(found)

    def _holes(self, fields: Fields, whole: Polygon) -> list[Ring]:
        tables = [{f"holes[{i}]": ring} for i, ring in enumerate(_few(fields, "holes"))]
        return [self._part(Fields(table, self.where), whole, *table) for table in tables]

    def _part(self, table: Fields, whole: Polygon, name: str = "outline") -> Ring:
        """A ring of which at least some lies on the hide."""
        ring = self._ring(table, name)
        if not whole.intersects(Polygon(ring)):
            x, y = ring[0]
            at = f"[{x / self._unit:.6g}, {y / self._unit:.6g}]"
            raise table.wrong(name, f"lies wholly outside the hide (a corner is {at})", "look at its points and units")
        return ring

    def _ring(self, table: Fields, name: str, least_area: float = 1e-4) -> Ring:
        with table.reading(name) as value:
            mended = mend_ring(self._points(value), least_area=least_area, unit=self._unit)
        path = f"{table.path}.{name}" if table.path else name
        self.findings.extend(finding.within(path) for finding in mended.findings)
        return mended.ring

    def _points(self, value: object) -> list[Point]:
        if not isinstance(value, (list, tuple)):
            raise InputError(f"is {told(value)}, not a list of points", remedy="write [[x, y], [x, y], ...]")
        if len(value) > MOST_POINTS:
            raise InputError(f"has {len(value)} points", remedy=f"at most {MOST_POINTS} make sense; simplify it")
        return [self._point(each, number) for number, each in enumerate(value, 1)]

    def _point(self, value: object, number: int) -> Point:
        if not isinstance(value, (list, tuple)) or len(value) != 2:
            raise InputError(f"point {number} is {told(value)}", remedy="write each point as [x, y]")
        try:
            x, y = (round(finite(each) * self._unit, DIGITS) + 0.0 for each in value)
        except InputError as error:
            raise InputError(f"point {number} {told(value)}: {error.problem}", remedy="give two numbers") from error
        if max(abs(x), abs(y)) > LARGEST:
            raise InputError(
                f"point {number} {told(value)} is more than a kilometre away", remedy="look at the file's units"
            )
        return x, y

    def _backbone(self, table: Fields) -> Segment | None:
        if not table.has("backbone"):
            return None
        with table.reading("backbone") as value:
            points = self._points(value)
            if len(points) != 2 or math.dist(*points) < SAME:
                raise InputError("is no direction", remedy="give two different points: [[0, 0], [100, 0]]")
        return points[0], points[1]

    def _grade(self, table: Fields, default: Grade) -> Grade:
        return Grade(LABELS.index(table.choice("grade", LABELS, default.label)))

    def _thickness(self, table: Fields) -> Thickness | None:
        if not table.has("thickness"):
            return None
        with table.reading("thickness") as value:
            return thickness(value)

    def _length(self, table: Fields, name: str) -> float:
        """A length not below nought; 0 where it is not given."""
        if not table.has(name):
            return 0.0
        with table.reading(name) as value:
            mm = round(length(value, self.units), DIGITS) + 0.0
            if mm < 0:
                raise InputError(f"is {told(value)}", remedy="give 0 or more")
        return mm

    def _area(self, fields: Fields) -> float | None:
        if not fields.has("area"):
            return None
        with fields.reading("area") as value:
            return area(value, self.units)

    def _photo(self, fields: Fields) -> HidePhoto | None:
        if not fields.has("photo"):
            return None
        table = Fields.of(fields.data["photo"], PHOTO, self.where, "photo")
        name = table.text("file")
        if PurePath(name).name != name or "\\" in name or name.startswith(".") or not name.lower().endswith(PICTURES):
            raise table.wrong("file", f"is {told(name)}", "name a JPEG or PNG beside the hide file, without a folder")
        with table.reading("box") as value:
            corners = self._points([value[:2], value[2:]] if isinstance(value, list) and len(value) == 4 else value)
            if len(corners) != 2 or not all(low < high for low, high in zip(*corners, strict=True)):
                raise InputError(f"is {told(value)}", remedy="give [left, low, right, high] of what the picture shows")
        return HidePhoto(name, (*corners[0], *corners[1]))

    def _compare_areas(self, hide: Hide) -> None:
        if hide.area and not 0.8 <= hide.measured_area / hide.area <= 1.25:
            told_areas = f"{hide.measured_area / 1e6:.3f} m² is drawn, {hide.area / 1e6:.3f} m² is marked"
            self.findings.append(Finding("area-differs", f"{told_areas}; look at the units", "area"))

    @property
    def _unit(self) -> float:
        return LENGTH_UNITS[self.units]


def _few(fields: Fields, name: str) -> list[object]:
    items = list(fields.items(name, ()))
    if len(items) > MOST_ITEMS:
        raise fields.wrong(name, f"lists {len(items)}", f"at most {MOST_ITEMS} make sense")
    return items


def _line(fields: Fields, name: str) -> str:
    """An optional text that may also be given empty."""
    return "" if fields.data.get(name) == "" else fields.text(name, "")


def _price(fields: Fields) -> Price | None:
    if not fields.has("price"):
        return None
    table = Fields.of(fields.data["price"], PRICE, fields.where, "price")
    per_area = table.number("per_area", low=0, high=1e9)
    unit = table.text("unit")
    with table.reading("unit"):
        per_mm2 = per_area / area_unit(unit)
    return Price(per_mm2, table.text("currency"), per_area, unit)
