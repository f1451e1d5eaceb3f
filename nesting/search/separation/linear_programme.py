"""The last hair: small overlaps taken out of a whole layout at once, by a linear programme.

Every pair of parts that lie near one another is kept apart along its present separating way; pieces shift and turn
a little so that the sum of what still overlaps is least. Li, Milenkovic 1995 (compaction and separation).
"""

from __future__ import annotations

import numpy as np

from nesting.search.arrays.arrays import Arrays
from nesting.search.arrays.overlap_kernel import NOUGHT, State, put
from nesting.search.separation.contacts import contacts

MOST_CONTACTS = 20_000
CLEAR = NOUGHT / 2
"""What the programme keeps clear beyond touching, so that its rounding does no harm."""

ROUNDS = 12
"""Programmes solved at most."""


def settle(arrays: Arrays, state: State, step: float) -> None:
    """Move the state's pieces by at most `step` mm a round until nothing overlaps or little is gained.

    Turning pieces is not linear: a round after which more overlaps than before is taken back, and the next ones are
    kept closer.
    """
    rows = np.zeros((MOST_CONTACTS, 7))
    reach = step
    deepest, sum_before = _overlaps(arrays, state, step, rows)
    for _ in range(ROUNDS):
        many = contacts(arrays.tables, state, arrays.problem.gap, 2.0 * reach, rows)
        if deepest <= NOUGHT or many in (0, MOST_CONTACTS) or reach < NOUGHT:
            break  # no contact: corners that face one another are nearer along an edge's normal than they truly are
        moves = _programme(arrays, state, rows[:many], reach)
        if moves is None:
            break
        before = state.pose.copy()
        _move(arrays, state, moves)
        deepest_now, total = _overlaps(arrays, state, step, rows)
        if total >= sum_before:
            state.pose[:] = before
            arrays.relay(state)
            reach /= 4
            continue
        if total > 0.9 * sum_before and reach == step:
            break
        deepest, sum_before = deepest_now, total


def _overlaps(arrays: Arrays, state: State, step: float, rows: np.ndarray) -> tuple[float, float]:
    """Deepest overlap among the contacts, and the sum of all."""
    many = contacts(arrays.tables, state, arrays.problem.gap, 2.0 * step, rows)
    depths: np.ndarray = np.maximum(-rows[:many, 4], 0.0)
    return (float(depths.max()), float(depths.sum())) if many else (0.0, 0.0)


def _programme(arrays: Arrays, state: State, rows: np.ndarray, step: float) -> np.ndarray | None:
    """Shifts and turns (n, 3) of least remaining overlap; turns are in units of 1 / radius."""
    from scipy.optimize import linprog  # heavy: only where it is needed
    from scipy.sparse import coo_matrix

    count, many = len(state.kind), len(rows)
    i, j = rows[:, 0].astype(int), rows[:, 1].astype(int)
    normal, room, point = rows[:, 2:4], rows[:, 4], rows[:, 5:7]
    radius = arrays.tables.radius[arrays.tables.orientation_shape[state.orientation]]
    pair = np.where(j >= 0, np.minimum(i, j) * (count + 1) + np.maximum(i, j) + 1, i * (count + 1))
    _, owner = np.unique(pair, return_inverse=True)
    groups = int(owner.max()) + 1

    def arm(piece: np.ndarray) -> np.ndarray:
        lever = point - state.pose[piece, :2]
        moment: np.ndarray = normal[:, 1] * lever[:, 0] - normal[:, 0] * lever[:, 1]
        return np.asarray(moment / radius[piece])

    line = np.arange(many)
    both = j >= 0
    # room + n·(move_j − move_i) + excess ≥ clear, as  n·move_i − n·move_j − excess ≤ room − clear
    blocks = [
        (line, 3 * i, normal[:, 0]), (line, 3 * i + 1, normal[:, 1]), (line, 3 * i + 2, arm(i)),
        (line[both], 3 * j[both], -normal[both, 0]), (line[both], 3 * j[both] + 1, -normal[both, 1]),
        (line[both], 3 * j[both] + 2, -arm(np.maximum(j, 0))[both]),
        (line, 3 * count + owner, -np.ones(many)),
    ]  # fmt: skip
    at, column, value = (np.concatenate([block[k] for block in blocks]) for k in range(3))
    matrix = coo_matrix((value, (at, column)), shape=(many, 3 * count + groups)).tocsr()
    cost = np.concatenate([np.zeros(3 * count), np.ones(groups)])
    bounds = [*_reach(arrays, state, radius, step), *[(0.0, None)] * groups]
    done = linprog(cost, A_ub=matrix, b_ub=room - CLEAR, bounds=bounds, method="highs")
    return np.array(done.x[: 3 * count], dtype=np.float64).reshape(count, 3) if done.status == 0 else None


def _reach(arrays: Arrays, state: State, radius: np.ndarray, step: float) -> list[tuple[float, float]]:
    """How far each piece may shift and turn."""
    out: list[tuple[float, float]] = []
    for k in range(len(state.kind)):
        low, high = arrays.tables.orientation_angles[state.orientation[k]]
        down = max(-0.5 * step, (low - state.pose[k, 2]) * radius[k])
        up = min(0.5 * step, (high - state.pose[k, 2]) * radius[k])
        out += [(-step, step), (-step, step), (min(down, 0.0), max(up, 0.0))]
    return out


def _move(arrays: Arrays, state: State, moves: np.ndarray) -> None:
    radius = arrays.tables.radius[arrays.tables.orientation_shape[state.orientation]]
    for k, (dx, dy, turn) in enumerate(moves):
        low, high = arrays.tables.orientation_angles[state.orientation[k]]
        angle = min(max(state.pose[k, 2] + turn / radius[k], low), high)
        put(arrays.tables, state, k, state.orientation[k], state.pose[k, 0] + dx, state.pose[k, 1] + dy, angle)
