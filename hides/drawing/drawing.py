"""What a drawing holds once it has been read: values only."""

from __future__ import annotations

from dataclasses import dataclass, field

from hides.errors import InputError
from hides.fields import unknown
from hides.finding import Finding
from hides.hide import Point, Ring
from hides.rings import mend_ring


@dataclass(frozen=True)
class DrawnCircle:
    """A true circle, as drill holes are drawn; mm."""

    centre: Point
    diameter: float


@dataclass(frozen=True)
class Names:
    """What a thing in a drawing can be called by. `layer` and `id` may be empty; `groups` are those it stands in."""

    layer: str = ""
    id: str = ""
    block: str = ""
    groups: tuple[str, ...] = ()

    @property
    def all(self) -> tuple[str, ...]:
        """Every name, the nearest first, none twice."""
        return tuple(dict.fromkeys(name for name in (self.id, self.layer, self.block, *self.groups) if name))

    @property
    def told(self) -> str:
        """The thing as a message calls it."""
        parts = [f"“{self.id}”" if self.id else "", f"on layer “{self.layer}”" if self.layer else ""]
        return " ".join(part for part in parts if part) or "a shape"


@dataclass(frozen=True)
class DrawnShape:
    """A ring (`closed`; the first point is not repeated) or an open line; mm, y upwards, curves flattened.

    `circle` is given where it was drawn as one.
    """

    points: tuple[Point, ...]
    closed: bool
    names: Names = field(default_factory=Names)
    circle: DrawnCircle | None = None

    def ring(self, findings: list[Finding] | None = None, least_area: float = 0.01) -> Ring:
        """The shape as a proper counter-clockwise ring; InputError, with its name, where it is none."""
        if not self.closed:
            first, last = (f"[{x:.6g}, {y:.6g}]" for x, y in (self.points[0], self.points[-1]))
            raise InputError(f"is open, from {first} to {last}", field=self.names.told, remedy="close it, on one layer")
        try:
            mended = mend_ring(self.points, least_area=least_area)
        except InputError as error:
            raise error.within(field=self.names.told) from error
        if findings is not None:
            findings.extend(finding.within(self.names.told) for finding in mended.findings)
        return mended.ring


@dataclass(frozen=True)
class Mark:
    """A single point; mm."""

    at: Point
    names: Names = field(default_factory=Names)


@dataclass(frozen=True)
class Drawing:
    """The shapes and marks of a drawing, in the order of the file. `where` is the file, for messages."""

    shapes: tuple[DrawnShape, ...]
    marks: tuple[Mark, ...] = ()
    findings: tuple[Finding, ...] = ()
    where: str = ""

    @property
    def rings(self) -> tuple[DrawnShape, ...]:
        """The closed shapes."""
        return tuple(shape for shape in self.shapes if shape.closed)

    @property
    def names(self) -> tuple[str, ...]:
        """Every name by which something in the drawing can be called."""
        things = [shape.names.all for shape in self.shapes] + [mark.names.all for mark in self.marks]
        return tuple(dict.fromkeys(name for names in things for name in names))

    def named(self, name: str) -> tuple[DrawnShape, ...]:
        """The shapes whose layer, id, block or group is `name`; InputError, with the nearest, where there is none.

        Capitals count only where the drawing has two names that differ in nothing else.
        """
        for same in (name, *(each for each in self.names if each.lower() == name.lower())):
            found = tuple(shape for shape in self.shapes if same in shape.names.all)
            if found:
                return found
        raise unknown(f"layer or id “{name}”", name, self.names or ("nothing in it has a name",)).within(self.where)
