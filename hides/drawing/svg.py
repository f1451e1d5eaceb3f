"""SVG drawings: paths, rectangles, circles, ellipses, polygons, polylines and lines, in groups, symbols and uses.

A shape goes by its id, its label, and the ids and labels of all groups it stands in; the nearest group that is marked
as a layer (else the nearest group with a name) is its layer.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from xml.etree.ElementTree import Element

from hides.drawing.drawing import Drawing, DrawnCircle, DrawnShape, Names
from hides.drawing.svg_frame import FARTHEST, Matrix, css_length, numbers, page, transform
from hides.drawing.svg_path import Line, ellipse_points, path_lines, rounded_box
from hides.drawing.svg_style import StyleSheet
from hides.drawing.xml_tree import parse_xml
from hides.errors import InputError
from hides.fields import unknown
from hides.finding import Finding
from hides.hide import Point

SVG = "{http://www.w3.org/2000/svg}"
INKSCAPE = "{http://www.inkscape.org/namespaces/inkscape}"
XLINK = "{http://www.w3.org/1999/xlink}"
SHAPES = ("path", "rect", "circle", "ellipse", "polygon", "polyline", "line")
GROUPS = ("g", "a", "switch")
UNDRAWN = ("defs", "symbol", "clipPath", "mask", "marker", "pattern", "metadata", "style", "title", "desc", "script")
DEEPEST_USE = 8
MOST_SHAPES = 50_000


def read_svg(content: bytes, units: str | None, fallback: str | None, block: str | None, tolerance: float) -> Drawing:
    """The drawing in an SVG file; the arguments are those of `read_drawing`. Loose ends are not joined yet."""
    root = parse_xml(content)
    if _tag(root) != "svg":
        raise InputError(f"is no SVG drawing (its root is <{_tag(root)[:40]}>)", remedy="export it anew as SVG")
    findings: list[Finding] = []
    frame = page(root, units, fallback, findings)
    reader = _SvgReader(root, tolerance)
    start = _Place(frame, Names(block=block or ""))
    for element in root if block is None else [_element(root, block)]:
        reader.read(element, start)
    findings.extend(reader.passed_over())
    if reader.styles.unread:
        told = "a style sheet may hide something by rules that are not followed; what they hide is read all the same"
        findings.append(Finding("style-sheet", f"{told}: save it as plain SVG if too much is read"))
    return Drawing(tuple(reader.shapes), (), tuple(findings))


def svg_parts(content: bytes) -> list[str]:
    """The named groups and elements right in an SVG file (of one group, those right in it), by name."""
    inside = [each for each in parse_xml(content) if _tag(each) in (*SHAPES, *GROUPS, "use")]
    while len(inside) == 1 and _tag(inside[0]) in GROUPS:
        inside = list(inside[0])
    return [labels[0] for each in inside if (labels := _labels(each))]


@dataclass(frozen=True)
class _Place:
    """Where an element stands: its map into mm, the names it inherits, how many uses deep."""

    matrix: Matrix
    names: Names
    depth: int = 0
    in_layer: bool = False


def _element(root: Element, name: str) -> Element:
    named = [(each, element) for element in root.iter() for each in _labels(element)]
    for each, element in named:
        if each == name:
            return element
    raise unknown(f"id “{name}”", name, [each for each, _ in named] or ["nothing in it has an id"])


def _tag(element: Element) -> str:
    return element.tag.removeprefix(SVG)


def _labels(element: Element) -> tuple[str, ...]:
    """The names of one element: its label first, as people see it, then its id."""
    found = (element.get(f"{INKSCAPE}label"), element.get("id"))
    return tuple(dict.fromkeys(" ".join(name.split()) for name in found if name and name.strip()))


class _SvgReader:
    """Collects the shapes of elements, placed in mm."""

    def __init__(self, root: Element, tolerance: float) -> None:
        self.by_id = {element.get("id"): element for element in root.iter() if element.get("id")}
        self.styles = StyleSheet(root.iter(f"{SVG}style"))
        self.tolerance = tolerance
        self.shapes: list[DrawnShape] = []
        self.skipped: Counter[str] = Counter()

    def read(self, element: Element, place: _Place) -> None:
        """Take one element and all it holds."""
        tag = _tag(element)
        if self.styles.hides(element):
            self.skipped[f"<{tag}> that is not displayed"] += 1
        elif tag in SHAPES:
            self._shape(element, tag, replace(place, matrix=place.matrix.after(transform(element.get("transform")))))
        elif tag in GROUPS or tag in ("svg", "symbol"):
            inner = _inside(element, place)
            for child in element:
                self.read(child, inner)
        elif tag == "use":
            self._use(element, place)
        elif tag not in UNDRAWN and not tag.startswith("{"):
            self.skipped[f"<{tag[:20]}>"] += 1

    def passed_over(self) -> list[Finding]:
        """A finding for each kind of element that is no shape."""
        return [Finding("passed-over", f"{count} × {kind} passed over") for kind, count in sorted(self.skipped.items())]

    def _use(self, element: Element, place: _Place) -> None:
        target = self.by_id.get((element.get("href") or element.get(f"{XLINK}href") or "").removeprefix("#"))
        if target is None or place.depth >= DEEPEST_USE:
            raise InputError(
                "a <use> shows nothing that is in the file, or itself", field=_told(element), remedy="unlink the clone"
            )
        shift = Matrix(e=css_length(element.get("x")), f=css_length(element.get("y")))
        inner = _inside(element, place)
        block = (_labels(target) or ("",))[0]
        names = replace(inner.names, block=block)
        self.read(target, _Place(inner.matrix.after(shift), names, place.depth + 1, inner.in_layer))

    def _shape(self, element: Element, tag: str, place: _Place) -> None:
        labels = _labels(element)
        names = replace(place.names, id=labels[0] if labels else "", groups=(*labels[1:], *place.names.groups))
        tolerance = self.tolerance / max(place.matrix.stretch, 1e-9)
        try:
            lines = list(_lines(element, tag, tolerance))
        except InputError as error:
            raise error.within(field=names.told) from error
        for points, closed in lines:
            placed = tuple(_rounded(place.matrix.point(point)) for point in points)
            self.shapes.append(DrawnShape(placed, closed, names, _circle(element, tag, place.matrix)))
        if len(self.shapes) > MOST_SHAPES:
            raise InputError(f"draws more than {MOST_SHAPES} shapes", remedy="leave out what is no shape of leather")


def _told(element: Element) -> str:
    return f"“{(_labels(element) or ('without id',))[0]}”"


def _inside(element: Element, place: _Place) -> _Place:
    """The place of what stands inside a group, a nested svg or a use."""
    matrix = place.matrix.after(transform(element.get("transform")))
    if _tag(element) in ("svg", "symbol"):
        matrix = matrix.after(_viewport(element))
    labels = _labels(element)
    is_layer = element.get(f"{INKSCAPE}groupmode") == "layer"
    layer = labels[0] if labels and (is_layer or not place.in_layer) else place.names.layer
    names = replace(place.names, layer=layer, groups=(*labels, *place.names.groups))
    return _Place(matrix, names, place.depth, place.in_layer or is_layer)


def _viewport(element: Element) -> Matrix:
    """The map of a nested svg's (or a symbol's) own viewBox."""
    shift = Matrix(e=css_length(element.get("x")), f=css_length(element.get("y")))
    box = numbers(element.get("viewBox", ""))
    if len(box) != 4 or element.get("width") is None or element.get("height") is None or not (box[2] and box[3]):
        return shift
    scale = min(
        css_length(element.get("width"), 0, box[2]) / box[2], css_length(element.get("height"), 0, box[3]) / box[3]
    )
    return shift.after(Matrix(a=scale, d=scale)).after(Matrix(e=-box[0], f=-box[1]))


def _lines(element: Element, tag: str, tolerance: float) -> Iterator[Line]:
    """The lines of a basic shape in its own coordinates; nothing for one without size, as the standard has it."""

    def size(*names: str) -> list[float]:
        return [css_length(element.get(name)) for name in names]

    if tag == "path":
        yield from path_lines(element.get("d", ""), tolerance)
    elif tag == "line":
        x1, y1, x2, y2 = size("x1", "y1", "x2", "y2")
        yield [(x1, y1), (x2, y2)], False
    elif tag in ("polygon", "polyline"):
        flat = numbers(element.get("points", ""))
        if len(flat) % 2:
            raise InputError("its points are not pairs", remedy="draw it anew")
        points: list[Point] = list(zip(flat[::2], flat[1::2], strict=True))
        if len(points) > 1:
            yield points, tag == "polygon"
    elif tag == "rect":
        x, y, w, h = size("x", "y", "width", "height")
        if w > 0 and h > 0:
            yield rounded_box(x, y, w, h, *_corner(element), tolerance), True
    else:
        cx, cy, r = size("cx", "cy", "r")
        rx, ry = (r, r) if tag == "circle" else size("rx", "ry")
        if rx > 0 and ry > 0:
            yield ellipse_points((cx, cy), rx, ry, tolerance), True


def _corner(element: Element) -> tuple[float, float]:
    """The radii of a rectangle's corners; one that is not given is as the other."""
    rx, ry = element.get("rx"), element.get("ry")
    return css_length(rx if rx is not None else ry), css_length(ry if ry is not None else rx)


def _circle(element: Element, tag: str, matrix: Matrix) -> DrawnCircle | None:
    if tag != "circle" or not matrix.is_similar:
        return None
    centre = (css_length(element.get("cx")), css_length(element.get("cy")))
    return DrawnCircle(_rounded(matrix.point(centre)), round(2 * css_length(element.get("r")) * matrix.stretch, 6))


def _rounded(point: Point) -> Point:
    if not all(abs(each) <= FARTHEST for each in point):
        raise InputError("a shape reaches beyond all measure, or is not finite", remedy="draw it anew")
    return round(point[0], 6) + 0.0, round(point[1], 6) + 0.0
