"""Which shape of a drawing is the hide's outline, which are flaws, zones, holes and the backbone.

What is not said is taken by name (a layer or id called outline, flaws, zones, holes or backbone, a grade behind it as
in “flaws C”), and the outline, failing that, is the one closed shape there is or the one that holds all others.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from shapely.geometry import Polygon

from hides.drawing.drawing import Drawing, DrawnShape
from hides.errors import InputError
from hides.finding import Finding
from hides.hide import Grade, Hide
from hides.hide_file import FORMAT, hide_from_data

LABELS = tuple(grade.label for grade in Grade)
ROLES = {"outline": "outline", "flaw": "flaws", "hole": "holes", "zone": "zones", "backbone": "backbone"}
_ROLE = re.compile(rf"(outline|flaws?|holes?|zones?|backbone)(?:[ =:_-]+({'|'.join(LABELS)}))?", re.IGNORECASE)
_AUTOMATIC = re.compile(r"[a-zA-Z]+[-_]?\d[\d-]*")
"""An id that a drawing program made up, such as path1234."""


@dataclass(frozen=True)
class LayerChoice:
    """What the maker said of the drawing's layers and ids; flaws and zones as NAME or NAME=GRADE."""

    outline: str | None = None
    flaws: tuple[str, ...] = ()
    zones: tuple[str, ...] = ()
    backbone: str | None = None
    holes: tuple[str, ...] = ()


def hide_in_drawing(
    drawing: Drawing, choice: LayerChoice, about: dict[str, Any], findings: list[Finding] | None = None
) -> Hide:
    """The hide that is drawn. `about` holds further fields of a hide file (name, cut, thickness, ...).

    `findings` gets what was taken for what, and why. Raises InputError where that is not clear, or a shape is no
    proper ring; it names the shape.
    """
    findings = [] if findings is None else findings
    try:
        data = _Sorting(drawing, choice, findings).data()
    except InputError as error:
        raise error.within(drawing.where) from error
    return hide_from_data({"format": FORMAT, **data, **about}, drawing.where, findings)


class _Sorting:
    def __init__(self, drawing: Drawing, choice: LayerChoice, findings: list[Finding]) -> None:
        self.drawing = drawing
        self.choice = choice
        self.findings = findings
        self.used: set[int] = set()
        self.by_name: dict[str, list[str]] = {role: [] for role in ROLES.values()}
        for name in drawing.names:
            match = _ROLE.fullmatch(name)
            if match:
                self.by_name[ROLES[match.group(1).lower().rstrip("s")]].append(name)

    def data(self) -> dict[str, Any]:
        """The rings by their roles, as a hide file has them."""
        backbone = self._backbone()
        flaws = [self._flaw(shape, name, grade) for shape, name, grade in self._graded("flaws", self.choice.flaws)]
        zones = [self._zone(shape, name, grade) for shape, name, grade in self._graded("zones", self.choice.zones)]
        holes = [self._ring(shape) for shape, _, _ in self._graded("holes", self.choice.holes)]
        outline, inner = self._outline()
        self._tell_unused()
        data: dict[str, Any] = {"outline": outline, "flaws": flaws, "zones": zones, "holes": [*holes, *inner]}
        return data | ({"backbone": backbone} if backbone else {})

    def _graded(self, role: str, said: Sequence[str]) -> list[tuple[DrawnShape, str, str]]:
        """The shapes of a role, each with the name it goes by and its grade ("" where none is given)."""
        found: list[tuple[DrawnShape, str, str]] = []
        for word in said or self.by_name[role]:
            name, grade = self._name_and_grade(word)
            shapes = [shape for shape in self.drawing.named(name) if id(shape) not in self.used]
            self._use(shapes)
            found += [(shape, name, grade) for shape in shapes]
            how = "" if said else f" (by the name “{name}”)"
            if shapes:
                count = len(shapes)
                self.findings.append(Finding(role, f"{count} {role if count > 1 else role.rstrip('s')}{how}", name))
        return found

    def _name_and_grade(self, word: str) -> tuple[str, str]:
        name, mark, grade = word.rpartition("=")
        if mark and word not in self.drawing.names:
            if grade not in LABELS:
                raise InputError(f"“{grade}” is no grade", field=word, remedy=f"use {', '.join(LABELS)}")
            return name, grade
        match = _ROLE.fullmatch(word)
        known = {label.lower(): label for label in LABELS}
        return word, known[match.group(2).lower()] if match and match.group(2) else ""

    def _flaw(self, shape: DrawnShape, name: str, grade: str) -> dict[str, Any]:
        kind = _own_name(shape) or ("flaw" if _ROLE.fullmatch(name) else name)
        return {"kind": kind, "outline": self._ring(shape), "grade": grade or "none"}

    def _zone(self, shape: DrawnShape, name: str, grade: str) -> dict[str, Any]:
        if not grade:
            raise InputError("a zone does not say its grade", field=f"“{name}”", remedy=f'say it: --zones "{name}=C"')
        return {"name": _own_name(shape) or name, "outline": self._ring(shape), "grade": grade}

    def _backbone(self) -> list[list[float]] | None:
        names = [self.choice.backbone] if self.choice.backbone else self.by_name["backbone"]
        shapes = [shape for name in names for shape in self.drawing.named(name)]
        shapes = list({id(shape): shape for shape in shapes}.values())
        if not shapes:
            return None
        if len(shapes) > 1 or shapes[0].closed:
            problem = f"is {len(shapes)} lines" if len(shapes) > 1 else "is a ring"
            raise InputError(f"the backbone {problem}", field=f"“{names[0]}”", remedy="draw it as one line")
        self._use(shapes)
        self.findings.append(Finding("backbone", "the backbone", shapes[0].names.told))
        return [list(shapes[0].points[0]), list(shapes[0].points[-1])]

    def _outline(self) -> tuple[list[list[float]], list[list[list[float]]]]:
        """The outline, and rings of the same name inside it."""
        said = self.choice.outline or next(iter(self.by_name["outline"]), None)
        shapes = self.drawing.named(said) if said else self.drawing.shapes
        free = [shape for shape in shapes if id(shape) not in self.used]
        closed = [shape for shape in free if shape.closed]
        if not closed:
            if free:
                free[0].ring()
            raise InputError("holds no closed shape for the outline", remedy="say which with --outline LAYER or ID")
        outer = _outer(closed)
        if outer is None:
            told = ", ".join(dict.fromkeys(shape.names.told for shape in closed[:6]))
            raise InputError(
                f"has {len(closed)} closed shapes of which none holds all others ({told})",
                remedy="say which with --outline LAYER or ID",
            )
        self._use([outer])
        self.findings.append(Finding("outline", f"the outline ({_reason(said, len(closed))})", outer.names.told))
        inner = [shape for shape in closed if shape is not outer] if said else []
        self._use(inner)
        if inner:
            self.findings.append(Finding("holes", f"{len(inner)} rings inside the outline, taken as holes", str(said)))
        return self._ring(outer), [self._ring(shape) for shape in inner]

    def _tell_unused(self) -> None:
        unused = [shape for shape in self.drawing.shapes if id(shape) not in self.used]
        if unused:
            told = ", ".join(list(dict.fromkeys(shape.names.told for shape in unused))[:6])
            what = f"{len(unused)} shapes are not used" if len(unused) > 1 else "one shape is not used"
            self.findings.append(
                Finding("unused", f"{what}: {told}; say what they are with --flaws, --zones or --holes")
            )

    def _ring(self, shape: DrawnShape) -> list[list[float]]:
        return [[x, y] for x, y in shape.ring(self.findings, least_area=1e-4)]

    def _use(self, shapes: Iterable[DrawnShape]) -> None:
        self.used.update(id(shape) for shape in shapes)


def _outer(shapes: Sequence[DrawnShape]) -> DrawnShape | None:
    """The shape that holds all others, or the only one."""
    if len(shapes) == 1:
        return shapes[0]
    boxes = [Polygon(shape.points).buffer(0) if len(shape.points) > 2 else Polygon() for shape in shapes]
    largest = max(range(len(shapes)), key=lambda i: boxes[i].area)
    whole = boxes[largest].buffer(0.01)
    return shapes[largest] if all(whole.covers(each) for each in boxes) else None


def _reason(said: str | None, count: int) -> str:
    if said:
        return f"by the name “{said}”"
    return "the only closed shape" if count == 1 else "the shape that holds all others"


def _own_name(shape: DrawnShape) -> str:
    """A shape's own label or id, unless a program made it up."""
    own = shape.names.id
    return "" if not own or _AUTOMATIC.fullmatch(own) else own
