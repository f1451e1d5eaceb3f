"""What the ways of tracing share: what is said of the hide on the command line, and how the result is told."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from typing import Any

from hides import units
from hides.errors import InputError
from hides.finding import Finding
from hides.hide import CUTS, Hide
from hides.hide_file import hide_from_data, hide_to_data, write_hide

GRADES = ("A", "B", "C", "D", "none")


def add_hide_arguments(parser: argparse.ArgumentParser, *, cut: bool = True, area: bool = True) -> None:
    """The options that say something of the hide, and where the result goes."""
    about = parser.add_argument_group("the hide")
    about.add_argument("--name", metavar="TEXT", help="its name [the file's]")
    if cut:
        about.add_argument("--cut", metavar="CUT", choices=CUTS, help=", ".join(CUTS))
    about.add_argument("--grade", choices=GRADES, metavar="GRADE", help="its grade where nothing else holds [A]")
    about.add_argument("--thickness", metavar="RANGE", help="“10-11 oz” or “4.0-4.4 mm”")
    about.add_argument("--edge", metavar="LENGTH", help="strip kept clear along the edge: “8 mm” [0]")
    if area:
        about.add_argument("--area", metavar="AREA", help="what the supplier marked: “22 3/4 sq ft”")
    about.add_argument("--price", metavar="PRICE", help="“9.50 USD per sq ft”")
    about.add_argument("--leather", metavar="TEXT", help="what leather it is")
    about.add_argument("--lot", metavar="TEXT", help="the tannery's or your own lot")
    result = parser.add_argument_group("the result")
    result.add_argument("--out", metavar="FILE", help="the hide file to write")
    result.add_argument("--json", action="store_true", help="print the result as JSON")


def said_of_hide(options: argparse.Namespace) -> dict[str, Any]:
    """The fields of a hide file that were given as options."""
    said: dict[str, Any] = {}
    for name in ("name", "cut", "grade", "leather", "lot"):
        if getattr(options, name, None) is not None:
            said[name] = getattr(options, name)
    readers = {"thickness": _thickness, "edge": _edge, "area": _area, "price": _price}
    for name, read in readers.items():
        text = getattr(options, name, None)
        if text is not None:
            try:
                said[name] = read(text)
            except InputError as error:
                raise error.within(field=f"--{name}") from error
    return said


def renamed(hide: Hide, options: argparse.Namespace, where: str) -> Hide:
    """The hide with what was said of it on the command line."""
    said = said_of_hide(options)
    return hide_from_data({**hide_to_data(hide), **said}, where) if said else hide


def tell(hide: Hide, findings: Sequence[Finding], options: argparse.Namespace) -> int:
    """Write the hide file, say what came of it, and print it as JSON if that was asked for."""
    if options.out:
        write_hide(options.out, hide)
    print("\n".join(_words(hide, findings, options.out)), file=sys.stderr if options.json else sys.stdout)
    if options.json:
        result = {
            "hide": hide_to_data(hide),
            "area": hide.measured_area,
            "findings": [{"code": each.code, "field": each.field, "message": each.message} for each in findings],
        }
        print(json.dumps(result, ensure_ascii=False, indent=1))
    return 0


def _words(hide: Hide, findings: Sequence[Finding], out: str | None) -> list[str]:
    parts = [f"{len(hide.outline)} points", _count(len(hide.flaws), "flaw"), _count(len(hide.zones), "weaker zone")]
    lines = [f"{hide.name}: {hide.cut}, {area_words(hide.measured_area)}, {', '.join(parts)}"]
    if hide.area is not None and not hide.estimate:
        lines.append(f"marked {area_words(hide.area)}: the outline has {hide.measured_area / hide.area - 1:+.1%}")
    if hide.estimate:
        lines.append("An estimate: a typical outline, not this hide's own. Trace the hide before you cut it.")
    if hide.backbone is None:
        lines.append("No backbone: pieces that run along it cannot be laid on this hide.")
    lines += [f"{each.field}: {each.message}" if each.field else each.message for each in findings]
    lines.append(f"hide file: {out}" if out else "nothing kept: give --out FILE to write the hide file")
    return lines


def area_words(mm2: float) -> str:
    """An area in both systems."""
    return f"{mm2 / 1e6:.3f} m² ({mm2 / units.AREA_UNITS['sq ft']:.2f} sq ft)"


def _count(count: int, what: str) -> str:
    return f"{count or 'no'} {what}{'' if count == 1 else 's'}"


def _thickness(text: str) -> list[float]:
    thickness = units.thickness(text)
    return [thickness.low, thickness.high]


def _edge(text: str) -> str:
    mm = units.length(_bare(text))
    if mm < 0:
        raise InputError(f"is “{text.strip()}”", remedy="give 0 or more")
    return f"{mm!r} mm"


def _area(text: str) -> str:
    return f"{units.area(text)!r} mm2"


def _bare(text: str) -> object:
    """A bare number is millimetres."""
    try:
        return float(text)
    except ValueError:
        return text


def _price(text: str) -> dict[str, Any]:
    """“9.50 USD per sq ft” as the hide file's table."""
    try:
        number, rest = units.read_number(text)
        currency, unit = rest.replace("/", " per ").split(" per ", 1)
        units.area_unit(unit)
    except (InputError, ValueError) as error:
        raise InputError(f"“{text}” is no price of leather", remedy="write “9.50 USD per sq ft”") from error
    if number < 0 or not currency.strip():
        raise InputError(f"“{text}” is no price of leather", remedy="write “9.50 USD per sq ft”")
    return {"per_area": number, "unit": unit.strip(), "currency": currency.strip()}
