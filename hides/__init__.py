"""The leather: units, the hide as a value, and every way in which a hide becomes one.

The names below are the way in for programs: a hide is read from a file or data (`read_hide`, `hide_from_data`), made by
hand (`Hide`) or taken for a typical one (`typical_hide`), and written (`write_hide`). Lengths are mm, areas mm². What
cannot be used raises `InputError`, which names file, field and remedy. Each name is loaded when it is first used.

>>> from hides import Grade, Hide
>>> hide = Hide("board", ((0, 0), (300, 0), (300, 200), (0, 200)), grade=Grade.B)
>>> hide.measured_area
60000.0
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from hides.errors import HideplanError, InputError
    from hides.finding import Finding
    from hides.hide import Flaw, Grade, Hide, Price, Thickness, Zone
    from hides.hide_file import hide_from_data, read_hide, write_hide
    from hides.typical import typical_hide

__all__ = [
    "Finding",
    "Flaw",
    "Grade",
    "Hide",
    "HideplanError",
    "InputError",
    "Price",
    "Thickness",
    "Zone",
    "hide_from_data",
    "read_hide",
    "typical_hide",
    "write_hide",
]

_HOME = {
    "Finding": "hides.finding",
    "Flaw": "hides.hide",
    "Grade": "hides.hide",
    "Hide": "hides.hide",
    "HideplanError": "hides.errors",
    "InputError": "hides.errors",
    "Price": "hides.hide",
    "Thickness": "hides.hide",
    "Zone": "hides.hide",
    "hide_from_data": "hides.hide_file",
    "read_hide": "hides.hide_file",
    "typical_hide": "hides.typical",
    "write_hide": "hides.hide_file",
}
"""Where each name lives."""


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_HOME[name]), name)
