"""Where an SVG's coordinates lie in millimetres: width, height, viewBox, transforms.

1 in = 96 px = 72 pt = 6 pc (CSS Values and Units).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from hides.errors import InputError
from hides.finding import Finding
from hides.hide import Point
from hides.units import LENGTH_UNITS

CSS = {"": 25.4 / 96, "px": 25.4 / 96, "pt": 25.4 / 72, "pc": 25.4 / 6, "mm": 1.0, "cm": 10.0, "q": 0.25, "in": 25.4}
PIXEL = CSS["px"]
FARTHEST = 1e12
"""No number of a drawing, and none of a map made of its transforms, is larger: sums and squares stay finite."""
_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*([a-zA-Z%]*)\s*")
_TRANSFORM = re.compile(r"\s*,?\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^)]*)\)")


@dataclass(frozen=True)
class Matrix:
    """An affine map: x' = ax + cy + e, y' = bx + dy + f (the order of SVG's `matrix`)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def after(self, inner: Matrix) -> Matrix:
        """The map that does `inner` first, then this one; InputError where it reaches beyond all measure."""
        made = Matrix(
            self.a * inner.a + self.c * inner.b,
            self.b * inner.a + self.d * inner.b,
            self.a * inner.c + self.c * inner.d,
            self.b * inner.c + self.d * inner.d,
            self.a * inner.e + self.c * inner.f + self.e,
            self.b * inner.e + self.d * inner.f + self.f,
        )
        if not all(abs(each) <= FARTHEST for each in (made.a, made.b, made.c, made.d, made.e, made.f)):
            raise InputError("its transforms reach beyond all measure", remedy="draw it anew")
        return made

    def point(self, point: Point) -> Point:
        """The image of a point."""
        x, y = point
        return self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f

    @property
    def stretch(self) -> float:
        """The most by which it lengthens anything."""
        mean = (self.a**2 + self.b**2 + self.c**2 + self.d**2) / 2
        return math.sqrt(mean + math.sqrt(max(mean**2 - (self.a * self.d - self.b * self.c) ** 2, 0)))

    @property
    def is_similar(self) -> bool:
        """Whether circles stay circles."""
        across = math.hypot(self.c, self.d)
        return math.isclose(math.hypot(self.a, self.b), across, rel_tol=1e-6) and math.isclose(
            self.a * self.c + self.b * self.d, 0, abs_tol=1e-6 * across**2
        )


def numbers(text: str) -> list[float]:
    """The numbers in a list such as a viewBox or the points of a polygon; InputError where it holds anything else."""
    if re.sub(_NUMBER, "", text).strip(" ,\t\r\n"):
        raise InputError(f"“{' '.join(text.split())[:40]}” is no list of numbers", remedy="draw it anew")
    return [_bounded(each) for each in re.findall(_NUMBER, text)]


def _bounded(text: str) -> float:
    number = float(text)
    if abs(number) > FARTHEST:
        raise InputError(f"“{text[:40]}” is too large a number", remedy="draw it anew")
    return number


def css_length(text: str | None, default: float = 0.0, percent_of: float | None = None) -> float:
    """A length attribute in user units (px), e.g. "12", "5mm", "50%"."""
    if text is None or text.strip() in ("", "auto"):
        return default
    match = _LENGTH.fullmatch(text)
    unit = match.group(2).lower() if match else None
    if match and unit == "%" and percent_of is not None:
        return _bounded(match.group(1)) / 100 * percent_of
    if not match or unit not in CSS:
        raise InputError(f"“{text[:40]}” is no length of an SVG", remedy="use mm, cm, in, pt or px")
    return _bounded(match.group(1)) * CSS[unit] / PIXEL


def transform(text: str | None) -> Matrix:
    """The map of a `transform` attribute."""
    matrix, place = Matrix(), 0
    text = (text or "").strip()
    while place < len(text):
        match = _TRANSFORM.match(text, place)
        step = match and _step(match.group(1), numbers(match.group(2)))
        if not match or step is None:
            raise InputError(f"transform “{text[:40]}” cannot be read", remedy="draw it anew")
        matrix, place = matrix.after(step), match.end()
    return matrix


def _step(kind: str, values: list[float]) -> Matrix | None:
    match kind, values:
        case "matrix", [a, b, c, d, e, f]:
            return Matrix(a, b, c, d, e, f)
        case "translate", [x, *rest] if len(rest) < 2:
            return Matrix(e=x, f=rest[0] if rest else 0.0)
        case "scale", [x, *rest] if len(rest) < 2:
            return Matrix(a=x, d=rest[0] if rest else x)
        case "rotate", [angle, *about] if len(about) in (0, 2):
            x, y = about or (0.0, 0.0)
            cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
            return Matrix(e=x, f=y).after(Matrix(cos, sin, -sin, cos)).after(Matrix(e=-x, f=-y))
        case "skewX", [angle]:
            return Matrix(c=math.tan(math.radians(angle)))
        case "skewY", [angle]:
            return Matrix(b=math.tan(math.radians(angle)))
    return None


def page(root: Element, units: str | None, fallback: str | None, findings: list[Finding]) -> Matrix:
    """From the root's user units into mm with y upwards, the page's lower left corner at (0, 0)."""
    box = _view_box(root)
    scale_x, scale_y = _scales(root, box, units, fallback, findings)
    x, y, _, height = box or (0.0, 0.0, 0.0, _absolute(root, "height") / scale_y if _has_size(root, "height") else 0.0)
    return Matrix(scale_x, 0.0, 0.0, -scale_y, -x * scale_x, (y + height) * scale_y)


def _view_box(root: Element) -> list[float] | None:
    text = root.get("viewBox")
    if text is None:
        return None
    values = numbers(text)
    if len(values) != 4 or values[2] <= 0 or values[3] <= 0:
        raise InputError(f"viewBox “{text[:40]}” has no size", remedy='write "0 0 width height"')
    return values


def _has_size(root: Element, name: str) -> bool:
    return root.get(name) is not None and not str(root.get(name)).strip().endswith("%")


def _absolute(root: Element, name: str) -> float:
    """The page's width or height in mm."""
    size = css_length(root.get(name)) * PIXEL
    if size <= 0:
        raise InputError(f"its {name} “{root.get(name)}” is no size", remedy="write it with a unit: 420mm")
    return size


def _scales(
    root: Element, box: list[float] | None, units: str | None, fallback: str | None, findings: list[Finding]
) -> tuple[float, float]:
    """Millimetres a user unit, across and up."""
    sized = [name for name in ("width", "height") if _has_size(root, name)]
    if units is None and sized:
        if any(re.search(r"(\d|px)\s*$", str(root.get(name)), re.IGNORECASE) for name in sized):
            findings.append(
                Finding("pixels", "is measured in pixels, taken as 1/96 in; say --units if it was meant otherwise")
            )
        if box is None:
            return PIXEL, PIXEL
        found = [_absolute(root, name) / box[2 if name == "width" else 3] for name in sized]
        if "none" in str(root.get("preserveAspectRatio", "")) and len(found) == 2:
            return found[0], found[1]
        return min(found), min(found)
    unit = units or fallback
    if unit is None:
        raise InputError("does not say its size", remedy="say --units mm, cm or in, or give it a width in mm")
    return LENGTH_UNITS[unit], LENGTH_UNITS[unit]
