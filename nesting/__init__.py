"""The cutting: products, the search for a layout, its bound, its check, its sheets, orders and costs.

The names below are the way in for programs; `hides` has those for leather. Each is loaded when it is first
used, so that `import nesting` costs nothing.

* `Product` and `Piece` are made by hand or read (`read_product`); `Want` says what one is worth and how many at most.
* `best_layout` gives the best layout found for one hide; `faults` checks any; `read_layout`, `write_layout` keep it.
* `case_of` makes a `Case` of the same question: its `at_most` is the proven bound, and `solve` lays it out.
* `write_sheet` draws a layout to cut from (PDF).
* `read_order` and `make_plan` (with `Tools(read_product)`) fill an order from many hides.
* `read_leathers` and `compare_leathers` tell what a product costs in several leathers.

Lengths are mm, angles degrees. What cannot be used raises `hides.InputError`.

>>> from hides import Hide
>>> from nesting import Piece, Product, Settings, Want, best_layout, case_of, faults
>>> board = Hide("board", ((0, 0), (300, 0), (300, 200), (0, 200)))
>>> coaster = Product("coaster", (Piece("round", ((0, 0), (100, 0), (100, 100), (0, 100))),))
>>> layout = best_layout(board, [Want(coaster)], Settings(effort="quick"))
>>> layout.counts[0].complete, case_of(board, [Want(coaster)]).at_most, faults(layout)
(6, (6,), [])
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from nesting.batch.make_plan import Tools, make_plan
    from nesting.batch.order_file import read_order
    from nesting.check import Fault, faults
    from nesting.compare.comparison import compare as compare_leathers
    from nesting.compare.leathers_file import read_leathers
    from nesting.drawing.cut_sheet import write_sheet
    from nesting.laying.case import Case, case_of
    from nesting.laying.lay_out import lay_out as best_layout
    from nesting.laying.lay_out import solve
    from nesting.model.layout import Layout
    from nesting.model.product import Along, Piece, Product
    from nesting.model.settings import Settings, Watch
    from nesting.model.want import Want
    from nesting.project.project_file import read_product
    from nesting.result.layout_file import write_layout
    from nesting.result.layout_reader import read_layout

__all__ = [
    "Along",
    "Case",
    "Fault",
    "Layout",
    "Piece",
    "Product",
    "Settings",
    "Tools",
    "Want",
    "Watch",
    "best_layout",
    "case_of",
    "compare_leathers",
    "faults",
    "make_plan",
    "read_layout",
    "read_leathers",
    "read_order",
    "read_product",
    "solve",
    "write_layout",
    "write_sheet",
]

_HOME = {
    "Along": "nesting.model.product",
    "Case": "nesting.laying.case",
    "Fault": "nesting.check",
    "Layout": "nesting.model.layout",
    "Piece": "nesting.model.product",
    "Product": "nesting.model.product",
    "Settings": "nesting.model.settings",
    "Tools": "nesting.batch.make_plan",
    "Want": "nesting.model.want",
    "Watch": "nesting.model.settings",
    "case_of": "nesting.laying.case",
    "compare_leathers": "nesting.compare.comparison:compare",
    "faults": "nesting.check",
    "best_layout": "nesting.laying.lay_out:lay_out",
    "make_plan": "nesting.batch.make_plan",
    "read_layout": "nesting.result.layout_reader",
    "read_leathers": "nesting.compare.leathers_file",
    "read_order": "nesting.batch.order_file",
    "read_product": "nesting.project.project_file",
    "solve": "nesting.laying.lay_out",
    "write_layout": "nesting.result.layout_file",
    "write_sheet": "nesting.drawing.cut_sheet",
}
"""Where each name lives, and after a colon what it is called there if otherwise."""


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    module, _, inner = _HOME[name].partition(":")
    return getattr(import_module(module), inner or name)
