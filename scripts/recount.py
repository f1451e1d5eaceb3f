"""Every figure of a plan and of a register's books, worked out once more from layouts and prices alone.

It knows the two formats as they are described (nesting/FORMATS.md, hides/FORMATS.md) and shares no code with hideplan:
only shapely and the standard library. `python scripts/recount.py PLAN.json|hides.stock ...` names what it finds
otherwise; the exit code is 1 then. An order file is held against the plans named after it. By which table a cut was
parted stands in the note of its change, where it was not the usual one.
"""

from __future__ import annotations

import json
import math
import re
import sqlite3
import sys
import tomllib
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

from shapely import union_all
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

Data = dict[str, Any]

SQUARES = {
    "mm2": 1.0,
    "cm2": 100.0,
    "dm2": 10_000.0,
    "m2": 1e6,
    "sq in": 645.16,
    "sq ft": 92_903.04,
    "sq yd": 836_127.36,
}
LENGTHS = {"mm": 1.0, "cm": 10.0, "in": 25.4}
LETTERS = "ABCD"
USUAL = {"A": 1.0, "B": 0.8, "C": 0.5, "D": 0.25, "scrap": 0.0}
CENT = 0.0051
"""Money that is told to the cent may be off by half of one."""
MM2 = 1.0


class Leather:
    """A hide as a hide file or a layout file tells it, in mm."""

    def __init__(self, data: Data) -> None:
        self.data = data
        self.scale = LENGTHS[data.get("units", "mm")]
        self.shape = Polygon(self.ring(data["outline"]), [self.ring(each) for each in data.get("holes", [])])

    def ring(self, points: Sequence[Sequence[float]]) -> list[tuple[float, float]]:
        return [(x * self.scale, y * self.scale) for x, y in points]

    @property
    def paid_area(self) -> float:
        told = self.data.get("area")
        if told is None:
            return float(self.shape.area)
        if isinstance(told, (int, float)):
            return told * self.scale**2
        number, unit = re.fullmatch(r"([\d./ ]+?) *([a-z][a-z0-9 ]*)", told).groups()  # type: ignore[union-attr]
        return float(sum(Fraction(part) for part in number.split())) * SQUARES[unit]

    @property
    def cost(self) -> float | None:
        price = self.data.get("price")
        return price and price["per_area"] * self.paid_area / SQUARES[price["unit"]]

    def worth(self, shape: BaseGeometry, values: Mapping[str, float]) -> float:
        """Area times value, where over one another the worst grade of flaws, zones and hide holds."""
        return sum(values.get(grade, 0.0) * shape.intersection(part).area for grade, part in self._grades.items())

    @property
    def _grades(self) -> dict[str, BaseGeometry]:
        order = [*LETTERS, "none"]
        own = order.index(self.data.get("grade", "A"))
        marks = [(mark.get("grade", "none"), mark) for mark in self.data.get("flaws", [])]
        marks += [(mark.get("grade", order[own]), mark) for mark in self.data.get("zones", [])]
        found: dict[str, BaseGeometry] = {}
        free: BaseGeometry = self.shape
        for place in range(len(order) - 1, own, -1):
            lie = [Polygon(self.ring(mark["outline"])) for grade, mark in marks if grade == order[place]]
            if lie:
                found[order[place]] = free.intersection(union_all(lie))
                free = free.difference(union_all(lie))
        return {**found, order[own]: free}


def parted(cents: int, weights: Sequence[float]) -> list[int]:
    """Whole cents by weight that add up to the amount: each a floor, and one more for the largest remainders."""
    whole = sum(map(Fraction, weights))
    exact = [cents * Fraction(each) / whole for each in weights]
    parts = [math.floor(each) for each in exact]
    for _ in range(cents - sum(parts)):
        parts[max(range(len(parts)), key=lambda k: (exact[k] - parts[k], -k))] += 1
    return parts


class Cut:
    """One hide of a layout file, cut as it says."""

    def __init__(self, hide: Data) -> None:
        self.leather = Leather(hide)
        self.lie: dict[str, list[Polygon]] = defaultdict(list)
        for each in hide.get("placements", []):
            self.lie[each["product"]].append(Polygon(each["outline"]))
        self.kept = [Polygon(each["outline"]) for each in hide.get("offcuts", [])]
        self.hide = hide

    def split(self, cents: int, parting: Mapping[str, Any]) -> tuple[dict[str, int], list[int]]:
        """What each product bears of so many cents, and what each offcut keeps."""
        names = sorted(self.lie)
        if "per_area" in parting:
            flat = [100 * parting["per_area"] / SQUARES[parting["unit"]] * ring.area for ring in self.kept]
            kept = parted(min(cents, round(sum(flat))), flat) if sum(flat) else [0] * len(flat)
            return {}, kept
        weights = [sum(self.leather.worth(piece, parting) for piece in self.lie[name]) for name in names]
        weights += [self.leather.worth(ring, parting) for ring in self.kept]
        areas = [*(sum(piece.area for piece in self.lie[name]) for name in names), *(ring.area for ring in self.kept)]
        waste = parting.get("scrap", 0.0) * max(0.0, self.leather.shape.area - sum(areas))
        parts = parted(cents, [*weights, waste] if sum(weights) + waste else [*areas, 0.0])
        return dict(zip(names, parts, strict=False)), parts[len(names) : -1]

    def complete(self, product: str, pieces: Sequence[Data]) -> int:
        """Whole products of a name: of each number so many of every piece as it takes."""
        own = [each for each in self.hide["placements"] if each["product"] == product and each["number"] > 0]
        numbers = {each["number"] for each in own}
        needs = {piece["name"]: piece["count"] for piece in pieces if piece["product"] == product}
        return sum(
            all(sum(p["piece"] == name for p in own if p["number"] == number) >= n for name, n in needs.items())
            for number in numbers
        )


def plan_differences(plan: Data, order: Data | None = None) -> list[str]:
    """What a plan file says otherwise than its layouts, prices and (where it is given) the order file make it."""
    return list(_plan(plan, order))


def _plan(plan: Data, order: Data | None) -> Iterator[str]:
    cuts = [Cut(layout["hides"][0]) for layout in plan["layouts"]]
    parting, priced = plan["parting"], bool(plan["currency"])
    if len(cuts) != len(plan["hides"]):
        yield f"{len(plan['hides'])} hides are listed and {len(cuts)} laid out"
    charged_all, cost_all, bear = 0.0, 0.0, defaultdict[str, float](float)
    for row, cut, layout in zip(plan["hides"], cuts, plan["layouts"], strict=False):
        cost = (cut.leather.cost or 0.0) if priced else 0.0
        whole = round(cost * 100)
        products, kept = cut.split(whole, parting)
        charged = cost - sum(kept) / 100
        credit = _flat(parting) * cut.hide["areas"]["offcuts"] if cut.leather.cost else 0.0
        products = products or {n: round(sum(p.area for p in lie)) for n, lie in cut.lie.items()}
        for name, part in products.items():
            bear[name] += charged * part / (sum(products.values()) or 1)
        charged_all, cost_all = charged_all + charged, cost_all + cost - credit
        counts = {name: cut.complete(name, layout["pieces"]) for name in row["products"]}
        area = sum(piece.area for lie in cut.lie.values() for piece in lie)
        told = (
            ("cost", cost, 1e-5), ("charged", charged, CENT), ("credit", credit, 1e-5),
            ("pieces", sum(map(len, cut.lie.values())), 0), ("offcuts", len(cut.kept), 0),
            ("offcut_area", sum(ring.area for ring in cut.kept), MM2), ("yield", area / cut.leather.shape.area, 1e-5),
            ("products", counts, 0),
        )  # fmt: skip
        yield from _each(f"hide {row['name']}", row, told)
        yield from _areas(cut)
    yield from _each("the plan", plan, (("cost", cost_all, 1e-4), ("charged", charged_all, CENT)))
    yield from _products(plan, cuts, bear, order)
    if plan["at_least"]["cost"] > cost_all + 1e-4 or plan["at_least"]["hides"] > len(cuts):
        yield f"at_least is {plan['at_least']}, and the plan is {cost_all:.2f} from {len(cuts)} hides"


def _flat(parting: Mapping[str, Any]) -> float:
    return float(parting["per_area"] / SQUARES[parting["unit"]]) if "per_area" in parting else 0.0


def _areas(cut: Cut) -> Iterator[str]:
    """What lies on the leather, and that the areas make the whole hide."""
    told = cut.hide["areas"]
    lie = [piece for each in cut.lie.values() for piece in each]
    parts = ("pieces", "edge", "flaws", "offcuts", "scrap")
    found = (
        ("hide", cut.leather.shape.area, MM2), ("offcuts", sum(ring.area for ring in cut.kept), MM2),
        ("pieces", sum(piece.area for piece in lie), MM2), ("hide", sum(told[name] for name in parts), MM2),
    )  # fmt: skip
    inner = Polygon(cut.leather.shape.exterior).buffer(-cut.leather.data.get("edge", 0.0), quad_segs=64)
    marks = [*cut.leather.data.get("flaws", []), *cut.leather.data.get("zones", [])]
    bad = union_all(
        [
            Polygon(mark["outline"]).buffer(mark.get("clearance", 0.0), quad_segs=64)
            for mark in marks
            if mark.get("grade", "none" if "kind" in mark else "") == "none"
        ]
    )
    left = cut.leather.shape.difference(union_all([*lie, *cut.kept]))
    drawn = 1e-3 * cut.leather.shape.area  # round corners may be drawn as chords
    found = (
        *found, ("usable", inner.difference(bad).intersection(cut.leather.shape).area, drawn),
        ("edge", left.difference(inner).area, drawn), ("flaws", left.intersection(inner).intersection(bad).area, drawn),
    )  # fmt: skip
    yield from _each(f"areas of {cut.hide['name']}", told, found)
    doubled = sum(shape.area for shape in [*lie, *cut.kept]) - union_all([*lie, *cut.kept]).area
    if doubled > MM2:
        yield f"{cut.hide['name']}: pieces and offcuts lie {doubled:.1f} mm² over one another"


def _products(plan: Data, cuts: Sequence[Cut], bear: Mapping[str, float], order: Data | None) -> Iterator[str]:
    needs: dict[str, dict[str, int]] = defaultdict(dict)
    for layout in plan["layouts"]:
        for piece in layout["pieces"]:
            needs[piece["product"]][piece["name"]] = piece["count"]
    for row in plan["products"]:
        name, wanted = row["name"], row["ordered"] + row["spares"]
        lain: dict[str, int] = defaultdict(int)
        for cut in cuts:
            for each in cut.hide["placements"]:
                lain[each["piece"]] += each["product"] == name
        made = min((lain[piece] // n for piece, n in needs[name].items()), default=0)
        whole = sum(cut.complete(name, layout["pieces"]) for cut, layout in zip(cuts, plan["layouts"], strict=True))
        told = [("planned", made, 0), ("over_several_hides", made - whole, 0)]
        yield from _each(name, row, told)
        each = bear[name] / made if made and plan["currency"] else 0.0
        if abs((row["cost_each"] or 0.0) - each) > 0.011:
            yield f"{name}: cost_each is {row['cost_each']}, worked out {each:.6f}"
        if plan["short"][name] != wanted - made:
            yield f"{name}: short is {plan['short'][name]}, worked out {wanted - made}"
        if any(n * made != lain[piece] for piece, n in needs[name].items()):
            yield f"{name}: not as many pieces are cut as {made} products take"
    if plan["filled"] != all(not lack for lack in plan["short"].values()):
        yield "filled does not agree with short"
    if order is not None:
        ordered = sum(line["quantity"] for line in order["line"])
        spare = sum(math.ceil(line["quantity"] * line.get("spares", 0) / 100 - 1e-9) for line in order["line"])
        given = sum(row["ordered"] for row in plan["products"]), sum(row["spares"] for row in plan["products"])
        if given != (ordered, spare):
            yield f"{given} are ordered and spare, the order file has {(ordered, spare)}"


def _each(what: str, told: Data, found: Sequence[tuple[str, Any, float]]) -> Iterator[str]:
    for name, value, off in found:
        same = told[name] == value if isinstance(value, dict) else abs(told[name] - value) <= off
        if not same:
            yield f"{what}: {name} is {told[name]}, worked out {value}"


def book_differences(path: Path | str) -> list[str]:
    """What a register's books say otherwise than its hides, layouts and history make it."""
    database = sqlite3.connect(f"{Path(path).absolute().as_uri()}?mode=ro", uri=True)
    try:
        return list(_books(database))
    finally:
        database.close()


def _books(database: sqlite3.Connection) -> Iterator[str]:
    hides = {
        id: (Leather(json.loads(content)), parent)
        for id, content, parent in database.execute("SELECT id, content, coalesce(parent, 0) FROM hide")
    }
    posted: dict[int, dict[tuple[int, str, str], int]] = defaultdict(lambda: defaultdict(int))
    for change, hide, account, currency, cents in database.execute(
        "SELECT change, hide, account, currency, cents FROM entry"
    ):
        posted[change][hide, account, currency] += cents
    worth: dict[tuple[int, str], int] = defaultdict(int)
    status: dict[int, str] = defaultdict(lambda: "gone")
    past = database.execute("SELECT id, kind, note, coalesce(reverses, 0) FROM change ORDER BY id").fetchall()
    for change, kind, note, reverses in past:
        steps = database.execute("SELECT hide, was, became FROM step WHERE change = ?", (change,)).fetchall()
        layouts = dict(database.execute("SELECT hide, content FROM layout WHERE change = ?", (change,)).fetchall())
        lines = {key: cents for key, cents in posted[change].items() if cents}
        if reverses:
            due = {key: -cents for key, cents in posted[reverses].items() if cents}
        elif kind == "add":
            due = _bought(lines, [hide for hide, _, _ in steps], hides)
        elif kind == "cut":
            due = _cut(steps, layouts, hides, worth, _parting(note), lines)
        else:
            due = _moved(kind, steps, worth)
        for key in sorted(set(due) | set(lines)):
            if due.get(key, 0) != lines.get(key, 0):
                hide, account, currency = key
                yield (
                    f"change {change} ({kind}), hide {hide}: {account} is {lines.get(key, 0) / 100:.2f} {currency}, "
                    f"worked out {due.get(key, 0) / 100:.2f}"
                )
        for (hide, account, currency), cents in lines.items():
            worth[hide, currency] += cents if account == "shelf" else 0
        for hide, was, became in steps:
            if status[hide] != was:
                yield f"change {change}: hide {hide} was {was}, by the history {status[hide]}"
            status[hide] = became
    for (hide, currency), cents in worth.items():
        if cents < 0 or (cents and status[hide] not in ("in", "out")):
            yield f"hide {hide} is {status[hide]} and worth {cents / 100:.2f} {currency}"


Due = dict[tuple[int, str, str], int]


def _bought(lines: Mapping[tuple[int, str, str], int], new: Sequence[int], hides: Mapping[int, Any]) -> Due:
    """Hides come in at their price; what was paid beyond all prices is freight, shared out by the area paid for."""
    own = {hide: round((hides[hide][0].cost or 0.0) * 100) for hide in new}
    freight = -sum(cents for (_, account, _), cents in lines.items() if account == "paid") - sum(own.values())
    currency = next((money for _, _, money in lines), "")
    parts = parted(freight, [hides[hide][0].paid_area for hide in new]) if freight > 0 else [0] * len(new)
    due: Due = {}
    for hide, part in zip(new, parts, strict=True):
        money = (hides[hide][0].data.get("price") or {"currency": currency})["currency"]
        if own[hide] + part:
            due[hide, "paid", money] = -(own[hide] + part)
            due[hide, "shelf", money] = own[hide] + part
    return due


def _cut(
    steps: Sequence[tuple[int, str, str]],
    layouts: Mapping[int, str],
    hides: Mapping[int, tuple[Leather, int]],
    worth: Mapping[tuple[int, str], int],
    parting: Mapping[str, Any],
    lines: Mapping[tuple[int, str, str], int],
) -> Due:
    """A cut hide's worth, splitting and all, goes to its offcuts by the table, the rest is charged."""
    due: Due = defaultdict(int)
    for cut in [hide for hide, _, became in steps if became == "cut"]:
        layout = json.loads(layouts[cut])
        name = hides[cut][0].data["name"]
        laid = next(each for each in layout["hides"] if each["name"] == name)
        came = [hide for hide, _, became in steps if became == "in" and hides[hide][1] == cut]
        own = Cut({**laid, "offcuts": [ring for ring in laid["offcuts"] if _among(ring, came, hides)]})
        of_rings = [next(h for h in came if _same(hides[h][0].shape, ring)) for ring in own.kept]
        for (hide, currency), cents in list(worth.items()):
            if hide != cut or not cents:
                continue
            split = round((Leather(laid).cost or 0.0) * 100) - cents if lines.get((cut, "paid", currency)) else 0
            if split:
                due[cut, "paid", currency] -= split
            _, kept = own.split(cents + split, parting)
            for offcut, part in zip(of_rings, kept, strict=True):
                due[offcut, "shelf", currency] += part
            due[cut, "shelf", currency] -= cents
            due[cut, "charged", currency] += cents + split - sum(kept)
    return {key: cents for key, cents in due.items() if cents}


def _parting(note: str) -> Mapping[str, Any]:
    """The table, or the flat price of offcuts, that the note of a cut names."""
    if flat := re.search(r"parted at (\S+) \S+ a (.+) of offcut$", note):
        return {"per_area": float(flat[1]), "unit": flat[2]}
    if table := re.search(r"parted by area and grade \((.+)\); waste (.+)$", note):
        grades = {each.split()[0]: float(each.split()[1]) for each in table[1].split(", ")}
        return {**grades, "scrap": 0.0 if table[2] == "bears nothing" else float(table[2])}
    return USUAL


def _among(ring: Data, came: Sequence[int], hides: Mapping[int, tuple[Leather, int]]) -> bool:
    return any(_same(hides[hide][0].shape, Polygon(ring["outline"])) for hide in came)


def _same(a: Polygon, b: Polygon) -> bool:
    return bool(a.symmetric_difference(b).area <= MM2)


def _moved(kind: str, steps: Sequence[tuple[int, str, str]], worth: Mapping[tuple[int, str], int]) -> Due:
    """Sold, written off, or described anew: what a hide is worth goes with it."""
    due: Due = {}
    if kind in ("sell", "lose"):
        for hide, _, _ in steps:
            for (own, currency), cents in worth.items():
                if own == hide and cents:
                    due[hide, "shelf", currency] = -cents
                    due[hide, "sold" if kind == "sell" else "written off", currency] = cents
    if kind == "correct":
        old = next(hide for hide, _, became in steps if became == "gone")
        new = next(hide for hide, _, became in steps if became != "gone")
        for (own, currency), cents in worth.items():
            if own == old and cents:
                due[old, "shelf", currency], due[new, "shelf", currency] = -cents, cents
    return due


def main(paths: Sequence[str]) -> int:
    """Recount the files named, in their order; 1 where something differs."""
    order: Data | None = None
    found = 0
    for path in map(Path, paths):
        if path.suffix == ".toml":
            order = tomllib.loads(path.read_text())
            continue
        if path.read_bytes()[:6] == b"SQLite":
            told = book_differences(path)
        else:
            told = plan_differences(json.loads(path.read_text()), order)
        found += len(told)
        print("\n".join(f"{path}: {each}" for each in told) or f"{path}: every figure agrees")
    return bool(found)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
