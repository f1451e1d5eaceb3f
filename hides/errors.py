"""What hideplan raises when a person's input cannot be used.

HideplanError
├── InputError      a file, field or argument that cannot be used (exit status 2)
│   └── NeedsThickness      a length uses the leather's thickness `t`, and none was given
└── LayoutFault     a layout that fails its own check (exit status 1; nothing is written)
"""

from __future__ import annotations


class HideplanError(Exception):
    """Base of every error a person can do something about.

    >>> issubclass(InputError, HideplanError)
    True
    """


class InputError(HideplanError):
    """Input that cannot be used.

    `where` names the file (and line or element where that helps), `field` the field or points,
    `problem` what is wrong, `remedy` what would be right. `str()` of it is one line.

    >>> print(InputError("no number", where="side.json", field="edge", remedy="write a length"))
    side.json: edge: no number; write a length
    """

    def __init__(self, problem: str, *, where: str = "", field: str = "", remedy: str = "") -> None:
        self.problem, self.where, self.field, self.remedy = problem, where, field, remedy
        super().__init__(problem)

    def __str__(self) -> str:
        head = ": ".join(part for part in (self.where, self.field) if part)
        line = f"{head}: {self.problem}" if head else self.problem
        if self.remedy:
            line = f"{line}; {self.remedy}"
        return " ".join(line.split())

    def within(self, where: str = "", field: str = "") -> InputError:
        """The same error told from further out: the file it was met in, the field that holds it."""
        inner = self.field
        joined = f"{field}{inner}" if inner.startswith("[") else ".".join(f for f in (field, inner) if f)
        return type(self)(self.problem, where=self.where or where, field=joined, remedy=self.remedy)


class NeedsThickness(InputError):
    """A length of a project uses the leather's thickness `t`, and it was read without one."""


class LayoutFault(HideplanError):
    """A layout broke one of the rules it must keep."""
