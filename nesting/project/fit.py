"""How long a loop, a strap or a lace must be for what it holds: closed forms on the middle line of the leather.

Leather that is bent keeps its length on its middle line: its outer face stretches, its inner face is pressed together
(derived; a loop of leather 3 mm thick about 25 mm is 78.54 mm long inside, 87.96 mm on the middle line and 97.39 mm
outside). Every function takes and gives millimetres; `t` is the thickness of the leather that is bent. Overlaps,
allowances and the play that the maker wants are added in the sum.
"""

from __future__ import annotations

import math
from collections.abc import Callable


def around(d: float, t: float) -> float:
    """Once round something round, `d` thick: π(d + t).

    >>> round(around(25, 3), 2)
    87.96
    """
    if d <= 0:
        raise ValueError("what it goes round has a thickness")
    return math.pi * (d + t)


def around_box(w: float, h: float, t: float) -> float:
    """Once round something of `w` by `h` with four sharp edges: 2(w + h) + πt; the middle line goes round each edge
    in a quarter of a circle with the radius t/2.

    >>> round(around_box(40, 10, 2), 3)
    106.283
    """
    if w < 0 or h < 0:
        raise ValueError("what it goes round has a width and a height")
    return 2 * (w + h) + math.pi * t


def arch(w: float, h: float, t: float) -> float:
    """Over an arch that is a part of a circle, `w` wide at its foot and `h` high: (R + t/2)·θ with the arch's radius
    R = (w²/4 + h²) / 2h and its angle θ = 4·atan(2h / w).

    >>> round(arch(100, 50, 0), 4) == round(50 * math.pi, 4)   # half a circle
    True
    """
    if w <= 0 or h <= 0:
        raise ValueError("an arch has a width and a height")
    return ((w * w / 4 + h * h) / (2 * h) + t / 2) * 4 * math.atan2(2 * h, w)


def over(d: float, s: float, t: float) -> float:
    """From one hole to another, `s` apart on a flat back, over something round that lies on the back between them.

    The strap lies on the back at both holes, rises in a straight line that touches the round thing, and goes over it.
    On its middle line the round thing is a circle with the radius R = (d + t)/2 about a centre k = (d − t)/2 above the
    line of the flat parts. From a hole at a = s/2 the straight part is T = √(a² + k² − R²) long and rises at the angle
    α = atan2(k, a) + atan2(R, T), so that the arc turns by 2α: 2T + 2αR. With s = d + t the straight parts stand
    upright, and it is a gate: (d − t) + π(d + t)/2.

    >>> round(over(30, 33, 3), 3) == round(27 + math.pi * 33 / 2, 3)
    True
    """
    a, k, r = s / 2, (d - t) / 2, (d + t) / 2
    square = a * a + k * k - r * r
    if d <= 0 or square < 0:
        raise ValueError("the holes lie under the round thing")
    straight = math.sqrt(square)
    slope = math.atan2(k, a) + math.atan2(r, straight)
    return 2 * straight + 2 * slope * r


def lace(n: float, p: float, stack: float, t: float) -> float:
    """In and out through `n` holes with the pitch `p` in leather that is `stack` thick: (n − 1)·p + n·(stack + t).

    The middle line of a lace `t` thick runs t/2 off either face from hole to hole, and through every hole from face
    to face. The lace is taken to turn at right angles; rounded turns make it a little shorter, never longer.

    >>> lace(5, 10, 4, 1)
    65
    """
    if n < 1 or n != round(n):
        raise ValueError("a lace goes through whole holes")
    return (n - 1) * p + n * (stack + t)


FITS: dict[str, tuple[Callable[..., float], int]] = {
    "around": (around, 2),
    "around_box": (around_box, 3),
    "arch": (arch, 3),
    "over": (over, 3),
    "lace": (lace, 4),
}
"""What may stand in a sum, with how many numbers it takes."""
