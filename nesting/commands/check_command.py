"""`hideplan check LAYOUT.json`: verifies a layout without trusting whoever made it."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

from hides.errors import InputError
from hides.units import thickness
from hides.whole_file import write_whole
from nesting.check import Fault, faults, unchecked
from nesting.commands.solving import add_choose_argument, chosen_from
from nesting.commands.swapped import refuse_swapped
from nesting.model.layout import Layout
from nesting.model.product import Product
from nesting.project.choices import Chosen
from nesting.project.project_file import leather_names, read_product
from nesting.result.claims import right_layout
from nesting.result.layout_file import read_layout


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The words this command takes."""
    parser.add_argument("layout", metavar="LAYOUT.json", help="the layout to verify")
    parser.add_argument(
        "--project",
        metavar="FILE",
        action="append",
        default=[],
        help="a project file to verify against, in place of the pieces the layout describes; may be given again",
    )
    add_choose_argument(parser)
    parser.add_argument("--thickness", metavar="T", help="the leather's thickness for lengths with t [the hides']")
    parser.add_argument("--json", action="store_true", help="print the result as JSON")
    parser.add_argument("--out", metavar="FILE", help="write the result to a file as JSON")


def run(options: argparse.Namespace) -> int:
    """Check the layout; 0 where it is right, 1 where it is not."""
    for project in options.project:
        refuse_swapped("check {0} --project {1}", options.layout, ["layout"], project, ["project"])
    layout = read_layout(options.layout)
    layout = _described(layout, options.project, options.thickness, chosen_from(options))
    found, open_questions = faults(layout), unchecked(layout)
    result = json.dumps(_data(layout, found, open_questions), ensure_ascii=False, indent=1) + "\n"
    if options.out:
        write_whole(options.out, result)
    if options.json:
        sys.stdout.write(result)
    else:
        _tell(options.layout, layout, found, open_questions)
    return 1 if found else 0


def _described(layout: Layout, projects: list[str], stated: str | None, chosen: Chosen) -> Layout:
    """The layout with its products as the project files describe them."""
    read = [_laid(path, _thickness(layout, stated), chosen, layout) for path in projects]
    counted = {count.name for count in layout.counts}
    for product in read:
        if product.name not in counted:
            names = ", ".join(f"“{name}”" for name in sorted(counted))
            raise InputError(
                f"the layout has no product “{product.name}”", where=product.source, remedy=f"it has {names}"
            )
    own = {product.name: product for product in (*layout.products, *read)}
    return replace(layout, products=tuple(own.values()))


def _laid(path: str, t: float | None, chosen: Chosen, layout: Layout) -> Product:
    """The product of a project; of several leathers the part that the layout counts."""
    counted = {count.name for count in layout.counts}
    names = [leather.name for leather in leather_names(path)]
    for name in names:
        part = read_product(path, t, chosen=chosen, leather=name).of([name])
        if part.name in counted:
            return part
    return read_product(path, t, chosen=chosen)


def _thickness(layout: Layout, stated: str | None) -> float | None:
    if stated is not None:
        try:
            return thickness(stated).middle
        except InputError as error:
            raise error.within("check", "--thickness") from error
    found = {hide.hide.thickness for hide in layout.hides}
    only = found.pop() if len(found) == 1 else None
    return None if only is None else only.middle


def _data(layout: Layout, found: list[Fault], open_questions: list[str]) -> dict[str, Any]:
    return {
        "format": "hideplan-check-1",
        "right": not found,
        "hides": len(layout.hides),
        "pieces": _placed(layout),
        "faults": [fault.to_data() for fault in found],
        "unchecked": open_questions,
    }


def _tell(path: str, layout: Layout, found: list[Fault], open_questions: list[str]) -> None:
    name, pieces = Path(path).name, _placed(layout)
    for fault in found:
        print(fault)
    for question in open_questions:
        print(f"not checked: {question}")
    where = layout.hides[0].hide.name if len(layout.hides) == 1 else f"{len(layout.hides)} hides"
    if found:
        print(f"{name}: {len(found)} {'fault' if len(found) == 1 else 'faults'} in {pieces} pieces on {where}")
    else:
        what, exact = right_layout(len(open_questions))
        counts = ", ".join(f"{count.complete} {count.name}" for count in layout.counts)
        print(f"{name}: {what}: {pieces} pieces on {where}, {counts} complete; {exact}")


def _placed(layout: Layout) -> int:
    return sum(len(hide.placements) for hide in layout.hides)
