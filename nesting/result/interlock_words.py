"""How pieces interlock, in plain words, as a small table, and as data."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import Any

from nesting.lattice.interlock import Interlock, Pairing
from nesting.result.wording import length_text

TERMS = (
    "Each piece is laid out with itself without end, by the parallelogram method: head to tail where the piece may "
    "turn, never turned over. Told is the share of that leather which becomes pieces, and the rest, which stays "
    "between the pieces. What is lost at the edge, to flaws and grades comes on top."
)


def interlock_text(name: str, found: Sequence[Interlock], pairs: Sequence[Pairing], gap: float) -> str:
    """The answer of `hideplan interlock`, ending in a newline."""
    head = f"{name}: how well each piece nests with itself" + (f", {length_text(gap)} mm apart." if gap else ".")
    headings = ("piece", "area", "takes", "becomes pieces", "between the pieces", "lies")
    rows = [headings, *(_row(each) for each in found)]
    blocks = [[head], _table(rows), [_whole(found)], [_pair_line(pair) for pair in pairs], wrap(TERMS, 78)]
    return "\n\n".join("\n".join(line for line in block) for block in blocks if block) + "\n"


def interlock_data(name: str, found: Sequence[Interlock], pairs: Sequence[Pairing], gap: float) -> dict[str, Any]:
    """The same as plain data: mm and mm², shares as fractions."""
    return {
        "format": "hideplan-interlock-1",
        "product": name,
        "gap": gap,
        "yield": together(found),
        "pieces": [_piece_data(each) for each in found],
        "pairs": [
            {
                "first": pair.first.name,
                "second": pair.second.name,
                "head_to_tail": pair.reversed,
                "yield": pair.density,
                "saved": pair.saved,
            }
            for pair in pairs
        ],
    }


def together(found: Sequence[Interlock]) -> float:
    """The yield of whole products, every kind in rows by itself."""
    pieces = sum(each.piece.area * each.piece.count for each in found)
    return pieces / sum(each.each * each.piece.count for each in found)


def _row(each: Interlock) -> tuple[str, ...]:
    area, takes = (f"{mm2 / 100:.1f} cm²" for mm2 in (each.piece.area, each.each))
    lies = "head to tail" if each.lattice.partner is not None else "one way"
    lies += "" if each.turn else " (may not turn)"
    return each.piece.name, area, takes, f"{100 * each.density:.1f} %", f"{100 * each.waste:.1f} %", lies


def _whole(found: Sequence[Interlock]) -> str:
    share = together(found)
    return (
        f"One product, each kind in rows by itself: {100 * share:.1f} % becomes pieces, {100 * (1 - share):.1f} % "
        "stays between the pieces."
    )


def _pair_line(pair: Pairing) -> str:
    way = "head to tail" if pair.reversed else "facing one way"
    names = f"{pair.first.name} beside {pair.second.name}, {way}"
    return f"Rows of {names}: {100 * pair.density:.1f} % together, {100 * pair.saved:.1f} % less leather than apart."


def _piece_data(each: Interlock) -> dict[str, Any]:
    return {
        "piece": each.piece.name,
        "area": each.piece.area,
        "takes": each.each,
        "yield": each.density,
        "first_waste": each.waste,
        "head_to_tail": each.lattice.partner is not None,
        "u": list(each.lattice.u),
        "v": list(each.lattice.v),
        "partner": None if each.lattice.partner is None else list(each.lattice.partner),
    }


def _table(rows: Sequence[Sequence[str]]) -> list[str]:
    """Columns as wide as their widest word; the first and the last stand left, figures right."""
    wide = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    last = len(wide) - 1
    lines = []
    for row in rows:
        cells = [w.ljust(n) if k in (0, last) else w.rjust(n) for k, (w, n) in enumerate(zip(row, wide, strict=True))]
        lines.append("  ".join(cells).rstrip())
    return lines
