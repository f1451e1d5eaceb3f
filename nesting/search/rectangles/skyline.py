"""The kernel that fills a rectangle with rectangles, lowest corner first.

The next rectangle always goes into the lowest, leftmost corner of the skyline (Burke, Kendall, Whitwell 2004,
Operations Research 52). Where nothing may be wasted every filling arises so, and the search is complete; with leather
to spare a valley may also be left as waste. Lesh, Marks, McMahon, Mitzenmacher: Exhaustive approaches to 2D
rectangular perfect packings. Inf. Proc. Letters 90 (2004); gaps that no sum of the remaining sides can fill are cut
off, as there.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from nesting.engine.compiled import allocating, compiled

Ints = NDArray[np.int64]

FOUND, EXHAUSTED, UNDECIDED = 1, 0, -1
WORD = 62
"""Lengths above this are not tested for being a sum of sides."""


@compiled
def _sums(sides: Ints, left: Ints) -> int:
    """Bit k set: k is a sum of sides of the rectangles left, one side each."""
    mask = 1
    limit = (1 << (WORD + 1)) - 1
    for t in range(sides.shape[0]):
        w, h = sides[t, 0], sides[t, 1]
        for _ in range(left[t]):
            more = 0
            if w <= WORD:
                more |= mask << w
            if h != w and h <= WORD:
                more |= mask << h
            mask = (mask | more) & limit
    return mask


@compiled
def _hopeless(xs: Ints, ys: Ints, many: int, wide: int, high: int, mask: int) -> bool:
    """Whether some valley or some column above the skyline can surely not be filled exactly."""
    for k in range(many):
        y = ys[k]
        rest = high - y
        if rest <= WORD and (mask >> rest) & 1 == 0:
            return True
        before = ys[k - 1] if k > 0 else high
        after = ys[k + 1] if k + 1 < many else high
        if y < before and y < after:
            gap = (xs[k + 1] if k + 1 < many else wide) - xs[k]
            if gap <= WORD and (mask >> gap) & 1 == 0:
                return True
    return False


@compiled
def _raise(xs: Ints, ys: Ints, many: int, k: int, x1: int, w: int, top: int, new_xs: Ints, new_ys: Ints) -> int:
    """The skyline with the first w of segment k (which ends at x1) raised to `top`; returns how many segments."""
    n = 0
    for j in range(many + 1):
        pieces = 2 if j == k and xs[k] + w < x1 else 1
        if j == many:
            break
        for part in range(pieces):
            x, y = xs[j], ys[j]
            if j == k and part == 0:
                y = top
            elif j == k:
                x = xs[k] + w
            if n > 0 and new_ys[n - 1] == y:
                continue
            new_xs[n], new_ys[n] = x, y
            n += 1
    return n


@allocating
def fill(
    sides: Ints, turn: Ints, count: Ints, order: Ints, wide: int, high: int, waste: int, nodes: int, out: Ints
) -> tuple[int, int]:
    """Fill wide × high with `count[t]` rectangles of `sides[t]`; at most `nodes` corners are tried.

    `turn[t]`: whether type t may be turned. `order`: candidates 2·type + turned, the first to try first. `out` takes
    rows (type, x, y, turned). Returns FOUND, EXHAUSTED or UNDECIDED and the corners tried. EXHAUSTED is a proof
    only where `waste` is 0.
    """
    total = 0
    for t in range(count.shape[0]):
        total += count[t]
    deepest = 2 * total + 4
    room = total + 3
    xs, ys = np.zeros((deepest + 1, room), dtype=np.int64), np.zeros((deepest + 1, room), dtype=np.int64)
    many = np.zeros(deepest + 1, dtype=np.int64)
    next_try = np.zeros(deepest + 1, dtype=np.int64)
    lost = np.zeros(deepest + 1, dtype=np.int64)
    used = np.full(deepest + 1, -1, dtype=np.int64)
    left = count.copy()
    many[0] = 1
    depth = placed = tried = 0
    fresh = True
    while True:
        k = 0
        for j in range(1, many[depth]):
            if ys[depth, j] < ys[depth, k]:
                k = j
        x, y = xs[depth, k], ys[depth, k]
        x1 = xs[depth, k + 1] if k + 1 < many[depth] else wide
        if fresh:
            tried += 1
            if placed == total:
                return FOUND, tried
            if tried > nodes:
                return UNDECIDED, tried
            next_try[depth] = 0
            if waste == lost[depth] and _hopeless(xs[depth], ys[depth], many[depth], wide, high, _sums(sides, left)):
                next_try[depth] = order.shape[0] + 1
            fresh = False
        moved = False
        while next_try[depth] <= order.shape[0] and depth < deepest:
            c = next_try[depth]
            next_try[depth] += 1
            if c == order.shape[0]:
                before = ys[depth, k - 1] if k > 0 else high
                after = ys[depth, k + 1] if k + 1 < many[depth] else high
                top = min(before, after)
                cost = (x1 - x) * (top - y)
                if top >= high or lost[depth] + cost > waste:
                    continue
                many[depth + 1] = _raise(
                    xs[depth], ys[depth], many[depth], k, x1, x1 - x, top, xs[depth + 1], ys[depth + 1]
                )
                lost[depth + 1] = lost[depth] + cost
                used[depth + 1] = -1
                moved = True
                break
            t, back = order[c] // 2, order[c] % 2
            if left[t] == 0 or (back == 1 and (turn[t] == 0 or sides[t, 0] == sides[t, 1])):
                continue
            w, h = (sides[t, 1], sides[t, 0]) if back == 1 else (sides[t, 0], sides[t, 1])
            if x + w > x1 or y + h > high:
                continue
            many[depth + 1] = _raise(xs[depth], ys[depth], many[depth], k, x1, w, y + h, xs[depth + 1], ys[depth + 1])
            lost[depth + 1] = lost[depth]
            used[depth + 1] = t
            left[t] -= 1
            out[placed, 0], out[placed, 1], out[placed, 2], out[placed, 3] = t, x, y, back
            placed += 1
            moved = True
            break
        if moved:
            depth += 1
            fresh = True
            continue
        if depth == 0:
            return EXHAUSTED, tried
        if used[depth] >= 0:
            left[used[depth]] += 1
            placed -= 1
        depth -= 1
