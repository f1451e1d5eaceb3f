"""Weights on lines: what a piece takes of them, compiled. Lines run along y; see `line_measure` for what it proves."""

from __future__ import annotations

from typing import Any

import numpy as np

from nesting.engine.compiled import compiled


@compiled
def at(sums: Any, line: int, y: float) -> float:
    """The weight of a line from its beginning to y; `sums` by cells, linear between."""
    last = sums.shape[1] - 1
    k = int(y)
    if y <= 0.0 or k >= last:
        return float(sums[line, 0 if y <= 0.0 else last])
    return float(sums[line, k] + (y - k) * (sums[line, k + 1] - sums[line, k]))


@compiled
def least(sums: Any, line: int, low: float, high: float, half: float) -> float:
    """The least weight of a line from low + t to high + t over all t from −half to half.

    It is linear in t but where an end passes from one cell to the next: these t and the two ends are tried.
    """
    found = at(sums, line, high + half) - at(sums, line, low + half)
    if half == 0.0:
        return found
    found = min(found, at(sums, line, high - half) - at(sums, line, low - half))
    for end in (low, high):
        k = np.ceil(end - half)
        while k < end + half:
            t = k - end
            found = min(found, at(sums, line, high + t) - at(sums, line, low + t))
            k += 1.0
    return found


@compiled
def places(stretches: Any, fine: float, asked: Any, chords: Any, step: float, out: Any) -> None:
    """Which boxes of centres no line forbids for one way to lie, `out` (lines, steps): at y = (j + ½) step, so wide.

    All lengths in cells. `asked` are (region, line beside the centre's, chord) rows, `chords` the lower and upper ends.
    `stretches` (region, line, k) says to where leather reaches from y = k · fine on; below that where there is none.
    """
    lines, many = out.shape
    for i in range(lines):
        for j in range(many):
            out[i, j] = lies(stretches, fine, asked, chords, i, (j + 0.5) * step, step / 2)


@compiled
def lies(stretches: Any, fine: float, asked: Any, chords: Any, i: int, y: float, half: float) -> bool:
    """Whether no line forbids a centre at line i and y give or take `half`."""
    lines, points = stretches.shape[1], stretches.shape[2]
    for n in range(asked.shape[0]):
        line = i + asked[n, 1]
        low, high = y + chords[asked[n, 2], 0] + half, y + chords[asked[n, 2], 1] - half
        if high <= low:
            continue
        if line < 0 or line >= lines or low < 0.0:
            return False
        k = int(np.ceil(low / fine))
        if k >= points:
            return False
        if k * fine <= high and stretches[asked[n, 0], line, k] < high:
            return False
    return True


@compiled
def cover(share: Any, first: Any, take: Any, chords: Any, way: Any, line: Any, y: Any, out: Any) -> None:
    """How much of every cell poses cover, each by its share, as sums from the end on: `take_least` turned round."""
    for n in range(len(way)):
        if share[n] > 0.0:
            for m in range(first[way[n]], first[way[n] + 1]):
                there = line[n] + take[m, 0]
                if there >= 0 and there < out.shape[0]:
                    c = take[m, 1]
                    add(out, there, y[n] + chords[c, 1], share[n])
                    add(out, there, y[n] + chords[c, 0], -share[n])


@compiled
def add(out: Any, line: int, y: float, share: float) -> None:
    """What a share of all that lies before y adds to the sums of a line."""
    last = out.shape[1] - 1
    if y <= 0.0:
        out[line, 0] += share
        return
    k = int(y)
    if k >= last:
        out[line, last] += share
        return
    out[line, k] += (1.0 - (y - k)) * share
    out[line, k + 1] += (y - k) * share


@compiled
def may_lie(
    stretches: Any, fine: float, first: Any, asked: Any, chords: Any, way: Any, line: Any, y: Any, half: Any, out: Any
) -> None:
    """Which boxes of centres, each with its way to lie (rows first[way] on of `asked`), no line forbids."""
    for n in range(len(way)):
        rows = asked[first[way[n]] : first[way[n] + 1]]
        out[n] = lies(stretches, fine, rows, chords, line[n], y[n], half[n])


@compiled
def take_least(sums: Any, first: Any, take: Any, chords: Any, way: Any, line: Any, y: Any, half: Any, out: Any) -> None:
    """What boxes of centres take at least, each with its way to lie (rows first[way] to first[way + 1] of `take`)."""
    for n in range(len(way)):
        total = 0.0
        for m in range(first[way[n]], first[way[n] + 1]):
            there = line[n] + take[m, 0]
            if there >= 0 and there < sums.shape[0]:
                c = take[m, 1]
                total += least(sums, there, y[n] + chords[c, 0], y[n] + chords[c, 1], half[n])
        out[n] = total
