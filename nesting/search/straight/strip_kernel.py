"""Compiled kernels for strips: what of a band is clear, where pieces may begin on it, and what mixes of them it holds.

Terms. *Mix*: how many pieces of each kind come off a strip. *Start*: where along a strip a piece's left side may lie.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from nesting.engine.compiled import allocating, compiled

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

TOUCH = 1e-4
"""What lies deeper in a band than this (mm) is in its way; what a file's rounding leaves is not."""
EVEN = 1e-4
NEAR = 1e-6
MOST_MIXES = 60_000
"""A strip with more mixes of pieces than this is not looked at whole."""


class Slack(NamedTuple):
    """What is given away so that one strip stands for all near it: it may lie up to `lift` mm higher, and be turned
    by so little that its rectangles hold ones that are `turn` mm lower and `short` mm shorter at every side."""

    lift: float = 0.0
    turn: float = 0.0
    short: float = 0.0


EXACT = Slack()


class Leather(NamedTuple):
    """The edges of all regions, holes included: `edges` (E, 4) as x0, y0, x1, y1 with y0 ≤ y1, those of region r from
    `first[r]` to `first[r + 1]`, from left to right. Everything lies from `left` to `right`."""

    edges: Floats
    first: Ints
    left: float
    right: float


class Ways(NamedTuple):
    """Forms in order of their widths, those of width w from `of_width[w]` to `of_width[w + 1]`.

    Of a form its kind, its length, and its boxes from `first[f]` to `first[f + 1]`; of a box its region and, in
    `boxes` (B, 4), left, low, right, high. Of each kind no more than `most` are wanted.
    """

    of_width: Ints
    kind: Ints
    length: Floats
    first: Ints
    region: Ints
    boxes: Floats
    most: Ints
    kerf: float


class Starts(NamedTuple):
    """The kinds that go on a strip, their lengths, and where each may begin: kind n at the stretches
    `spans[first[n]:first[n + 1]]`, each from x to x, ascending."""

    kinds: Ints
    lengths: Floats
    first: Ints
    spans: Floats


class Yields(NamedTuple):
    """What strips can give: `mixes` (M, kinds), those of strip n from `first[n]` to `first[n + 1]`, none within another
    and the empty one last. `whole` is False where a strip had too many to look at all."""

    mixes: Ints
    first: Ints
    whole: bool


class Room(NamedTuple):
    """Room to work in for one strip after another; of region r, `band[r]` is that whose clear stretches are the first
    `many[r]` of `clear[r]`."""

    hits: Floats
    crossings: Floats
    band: Floats
    clear: Floats
    many: Ints


@allocating
def room_for(leather: Leather) -> Room:
    """Room for strips of some leather."""
    regions, rows = leather.first.shape[0] - 1, leather.edges.shape[0] + 1
    band, many = np.full((regions, 2), np.nan), np.zeros(regions, np.int64)
    return Room(np.empty((rows, 2)), np.empty(rows), band, np.empty((regions, rows, 2)), many)


@compiled
def clear(leather: Leather, region: int, low: float, high: float, room: Room) -> int:
    """The stretches of x over which the whole band low ≤ y ≤ high lies inside a region, into `room`; how many.

    Where the boundary crosses the band nothing is clear; between such places the middle of the band tells inside from
    outside.
    """
    if room.band[region, 0] == low and room.band[region, 1] == high:
        return room.many[region]
    room.band[region, 0], room.band[region, 1] = low, high
    middle = 0.5 * (low + high)
    bottom, top = min(low + TOUCH, middle), max(high - TOUCH, middle)
    count, crossed = 0, 0
    for e in range(leather.first[region], leather.first[region + 1]):
        y0, y1 = leather.edges[e, 1], leather.edges[e, 3]
        if y1 < bottom or y0 > top:
            continue
        x0, x1 = leather.edges[e, 0], leather.edges[e, 2]
        if (y0 <= middle) != (y1 <= middle):
            room.crossings[crossed] = x0 + (x1 - x0) * (middle - y0) / (y1 - y0)
            crossed += 1
        xa, xb = x0, x1
        if y1 > y0:
            if y0 < bottom:
                xa = x0 + (x1 - x0) * (bottom - y0) / (y1 - y0)
            if y1 > top:
                xb = x0 + (x1 - x0) * (top - y0) / (y1 - y0)
        _insert(room.hits, count, min(xa, xb), max(xa, xb))
        count += 1
    room.many[region] = _between(room.hits, count, room.crossings, crossed, room.clear[region])
    return room.many[region]


@compiled
def _insert(hits: Floats, count: int, left: float, right: float) -> None:
    """A hit among those before it, in the order of their left ends."""
    place = count
    while place and hits[place - 1, 0] > left:
        hits[place, 0], hits[place, 1] = hits[place - 1, 0], hits[place - 1, 1]
        place -= 1
    hits[place, 0], hits[place, 1] = left, right


@compiled
def _between(hits: Floats, count: int, crossings: Floats, crossed: int, out: Floats) -> int:
    """The stretches between hits that lie inside, into `out`; how many."""
    found = 0
    reach = hits[0, 1]
    for place in range(1, count):
        left, right = hits[place, 0], hits[place, 1]
        if left > reach + TOUCH:
            inside = False
            at = 0.5 * (reach + left)
            for c in range(crossed):
                if crossings[c] < at:
                    inside = not inside
            if inside:
                out[found, 0], out[found, 1] = reach, left
                found += 1
        reach = max(reach, right)
    return found


@allocating
def _box_starts(leather: Leather, ways: Ways, box: int, offset: float, slack: Slack, room: Room) -> Floats:
    """Where along a strip a form may begin by one of its boxes."""
    left, right = ways.boxes[box, 0] + slack.short, ways.boxes[box, 2] - slack.short
    low, high = offset + ways.boxes[box, 1] + slack.turn + slack.lift, offset + ways.boxes[box, 3] - slack.turn
    if high - low < EVEN or right - left < EVEN:  # the slack leaves nothing of it: it may lie anywhere
        given = 1 if slack.lift > 0 or slack.turn > 0 or slack.short > 0 else 0
        anywhere = np.empty((given, 2))
        anywhere[:, 0], anywhere[:, 1] = leather.left - ways.boxes[box, 2], leather.right - ways.boxes[box, 0]
        return anywhere
    region = ways.region[box]
    many = clear(leather, region, low, high, room)
    out = np.empty((many, 2))
    found = 0
    for n in range(many):
        a, b = room.clear[region, n, 0] - left, room.clear[region, n, 1] - right
        if b >= a - EVEN:
            out[found, 0], out[found, 1] = a, max(a, b)
            found += 1
    return out[:found]


@allocating
def _common(first: Floats, second: Floats) -> Floats:
    """What lies in both of two lists of stretches."""
    out = np.empty((first.shape[0] * second.shape[0], 2))
    found = 0
    for n in range(first.shape[0]):
        for m in range(second.shape[0]):
            a, b = max(first[n, 0], second[m, 0]), min(first[n, 1], second[m, 1])
            if a <= b + EVEN:
                out[found, 0], out[found, 1] = a, max(a, b)
                found += 1
    return out[:found]


@allocating
def _joined(first: Floats, second: Floats) -> Floats:
    """The stretches of two lists, in order, those that meet as one."""
    both = np.concatenate((first, second))
    out = np.empty_like(both)
    found = 0
    for n in np.argsort(both[:, 0], kind="mergesort"):
        if found and both[n, 0] <= out[found - 1, 1]:
            out[found - 1, 1] = max(out[found - 1, 1], both[n, 1])
        else:
            out[found] = both[n]
            found += 1
    return out[:found]


@allocating
def form_starts(leather: Leather, ways: Ways, form: int, offset: float, slack: Slack, room: Room) -> Floats:
    """The stretches, shape (n, 2), in which the left side of a form may lie on a strip at an offset."""
    spans = _box_starts(leather, ways, ways.first[form], offset, slack, room)
    for box in range(ways.first[form] + 1, ways.first[form + 1]):
        if spans.shape[0]:
            spans = _common(spans, _box_starts(leather, ways, box, offset, slack, room))
    return spans


@allocating
def strip_starts(leather: Leather, ways: Ways, width: int, offset: float, slack: Slack, room: Room) -> Starts:
    """What goes on a strip of the width of that index at an offset, and where."""
    kinds = ways.most.shape[0]
    found = np.empty(kinds, np.int64)
    lengths, first = np.empty(kinds), np.zeros(kinds + 1, np.int64)
    spans = np.empty((0, 2))
    many = 0
    for kind in range(kinds):
        mine = np.empty((0, 2))
        length = np.inf
        for form in range(ways.of_width[width], ways.of_width[width + 1]):
            if ways.kind[form] == kind and ways.most[kind]:
                more = form_starts(leather, ways, form, offset, slack, room)
                if more.shape[0]:
                    mine = _joined(mine, more)
                    length = min(length, ways.length[form])
        if mine.shape[0]:
            found[many], lengths[many] = kind, length
            spans = np.concatenate((spans, mine))
            many += 1
            first[many] = spans.shape[0]
    return Starts(found[:many], lengths[:many], first[: many + 1], spans)


@compiled
def earliest(starts: Starts, kind: int, at: float) -> float:
    """Where the kind of that index among those of a strip may begin first from `at` on; inf: nowhere."""
    for s in range(starts.first[kind], starts.first[kind + 1]):
        if starts.spans[s, 1] >= at - NEAR:
            return max(starts.spans[s, 0], at)
    return np.inf


@allocating
def reached(starts: Starts, most: Ints, kerf: float) -> Floats:
    """The least end of a strip that holds each mix of pieces: dynamic programming over the mixes.

    A mix is its place in the array: counts with the last kind running fastest, each up to `most`. inf: the mix does
    not go. Laying the last piece as early as can be is never worse, so the least end of a mix is the least over its
    last kind.
    """
    kinds = most.shape[0]
    step = steps(most)
    ends = np.full(step[0] * (most[0] + 1), np.inf)
    ends[0] = -np.inf
    counts = np.zeros(kinds, np.int64)
    for mix in range(1, ends.shape[0]):
        _count_on(counts, most)
        for j in range(kinds):
            if counts[j] and ends[mix - step[j]] < np.inf:
                begin = earliest(starts, j, ends[mix - step[j]] + kerf)
                ends[mix] = min(ends[mix], begin + starts.lengths[j])
    return ends


@allocating
def steps(most: Ints) -> Ints:
    """How far one piece more of each kind is in an array of mixes."""
    step = np.ones(most.shape[0], np.int64)
    for j in range(most.shape[0] - 2, -1, -1):
        step[j] = step[j + 1] * (most[j + 1] + 1)
    return step


@compiled
def _count_on(counts: Ints, most: Ints) -> None:
    """The next mix."""
    j = counts.shape[0] - 1
    while counts[j] == most[j]:
        counts[j] = 0
        j -= 1
    counts[j] += 1


@allocating
def _most(starts: Starts, ways: Ways) -> tuple[Ints, bool]:
    """As many of each kind as its stretches hold at most; fewer, and not the whole, where that is too much."""
    kinds = starts.kinds.shape[0]
    most = np.zeros(kinds, np.int64)
    for n in range(kinds):
        for s in range(starts.first[n], starts.first[n + 1]):
            long = starts.spans[s, 1] - starts.spans[s, 0]
            most[n] += int(long / (starts.lengths[n] + ways.kerf) + 1 + NEAR)
        most[n] = min(most[n], ways.most[starts.kinds[n]])
    whole = True
    while _count(most) > MOST_MIXES:
        whole = False
        most[np.argmax(most)] //= 2
    return most, whole


@compiled
def _count(most: Ints) -> float:
    """How many mixes there are of so many pieces at most."""
    many = 1.0
    for m in most:
        many *= m + 1
    return many


@allocating
def strip_yields(leather: Leather, ways: Ways, widths: Ints, offsets: Floats, slack: Slack) -> Yields:
    """What strips of widths of those indexes can give at their offsets: the mixes to which no piece can be added."""
    room = room_for(leather)
    first = np.zeros(offsets.shape[0] + 1, np.int64)
    mixes = np.zeros((2 * offsets.shape[0] + 1, ways.most.shape[0]), np.int64)
    many = 0
    all_whole = True
    for strip in range(offsets.shape[0]):
        starts = strip_starts(leather, ways, widths[strip], offsets[strip], slack, room)
        if starts.kinds.shape[0]:
            most, whole = _most(starts, ways)
            all_whole = all_whole and whole
            ends, step = reached(starts, most, ways.kerf), steps(most)
            counts = np.zeros(most.shape[0], np.int64)
            for mix in range(1, ends.shape[0]):
                _count_on(counts, most)
                if ends[mix] < np.inf and not _grows(ends, mix, counts, most, step):
                    mixes = _with_room(mixes, many + 1)
                    for j in range(most.shape[0]):
                        mixes[many, starts.kinds[j]] = counts[j]
                    many += 1
        mixes = _with_room(mixes, many + 1)
        many += 1
        first[strip + 1] = many
    return Yields(mixes[:many], first, all_whole)


@compiled
def _grows(ends: Floats, mix: int, counts: Ints, most: Ints, step: Ints) -> bool:
    """Whether a mix goes with one piece more."""
    grows = False
    for j in range(most.shape[0]):
        grows = grows or (counts[j] < most[j] and ends[mix + step[j]] < np.inf)
    return grows


@allocating
def _with_room(mixes: Ints, rows: int) -> Ints:
    """The array, twice as long where it has not so many rows; what is new is nought."""
    if rows <= mixes.shape[0]:
        return mixes
    grown = np.zeros((2 * mixes.shape[0] + 1, mixes.shape[1]), np.int64)
    grown[: mixes.shape[0]] = mixes
    return grown
