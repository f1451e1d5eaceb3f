"""Which size of a fastener suits a stack of leather.

The rules, each of them common practice among makers and stated again wherever an answer is shown:

- *post*: one that grips the stack: as its maker states it (`grip`), else a stack about 1 to 4 mm above its length
  (`GRIP`), for leather gives when the screw is drawn tight, and the screw's reach into the post does not grow with the
  stack (from memory). Of several the one whose length is nearest to `BEST` of the stack. Two layers of 10-11 oz take
  a 1/4 in post, three 3/8 in (common practice). A list that states a `share` keeps the rule it was written for: the
  longest post whose length is that share of the stack.
- *rivet*: the shortest that reaches through the stack and stands proud of it by no more than 3 mm (`proud`).
- *snap*: the one whose grip holds the stack; of several, the one whose grip is narrowest.
- *thread*: there is nothing to pick; see `thread_length`.

No rule says anything about load.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.model.making import Fastener, Size

REACH = 1e-6
GRIP = (0.9, 4.2)
"""How much thicker than its length a stack may be that a post serves, mm; sizes 1/8 in apart leave no stack out."""
BEST = 0.75
"""A post's length over its stack, of several that serve."""


def pick(fastener: Fastener, stack: float) -> Size | None:
    """The size for a stack of so many mm, or None where the list holds none that suits.

    >>> post = Fastener("post", "post", (Size("1/4 in", 6.35), Size("3/8 in", 9.525)))
    >>> pick(post, 2 * 10.5 * 25.4 / 64).name, pick(post, 3 * 10.5 * 25.4 / 64).name, pick(post, 3.0)
    ('1/4 in', '3/8 in', None)
    """
    if fastener.kind == "thread":
        return fastener.sizes[0]
    fitting = [size for size in fastener.sizes if _suits(fastener, size, stack)]
    if not fitting:
        return None
    if fastener.kind == "post" and fastener.share:
        return max(fitting, key=_length)
    if fastener.kind == "post":
        return min(fitting, key=lambda size: (abs(_length(size) - BEST * stack), -_length(size)))
    if fastener.kind == "rivet":
        return min(fitting, key=_length)
    return min(fitting, key=_grip_width)


def rule_text(fastener: Fastener) -> str:
    """The rule by which its size was picked, as a clause."""
    return {
        "post": _post_rule(fastener),
        "rivet": f"the shortest rivet that stands proud of the stack by no more than {fastener.proud:g} mm",
        "snap": "the snap whose grip holds the stack most closely",
        "thread": "two threads through every hole, twice the pitch and the stack a stitch",
    }[fastener.kind]


def _post_rule(fastener: Fastener) -> str:
    if fastener.share:
        low, high = fastener.share
        return f"the longest post of {low:.0%} to {high:.0%} of the stack"
    stated = "as its grip is stated, else " if any(size.grip for size in fastener.sizes) else ""
    return f"a post serves stacks {stated}about {GRIP[0]:.0f} to {GRIP[1]:.0f} mm thicker than it is long"


def wanted_text(fastener: Fastener, stack: float) -> str:
    """What the list would have to hold for a stack, as a clause."""
    low, high = _span(fastener, stack)
    if fastener.kind == "snap":
        return f"a snap that grips {stack:.1f} mm"
    return f"a {fastener.kind} {low:.1f} to {high:.1f} mm long"


def thread_length(pitches: Sequence[float], stack: float, tail: float) -> float:
    """Thread of one saddle-stitched seam, mm: both needles go through every hole and along every pitch, and leave a
    tail each (derived).

    >>> thread_length([4.0] * 25, 5.0, 0.0)   # 100 mm at 4 mm in a stack of 5 mm: 26 holes
    460.0
    """
    return 2 * (sum(pitches) + (len(pitches) + 1) * stack + tail)


def _span(fastener: Fastener, stack: float) -> tuple[float, float]:
    if fastener.kind == "post" and fastener.share:
        return fastener.share[0] * stack, fastener.share[1] * stack
    if fastener.kind == "post":
        return max(stack - GRIP[1], 0.0), max(stack - GRIP[0], 0.0)
    return stack, stack + fastener.proud


def _suits(fastener: Fastener, size: Size, stack: float) -> bool:
    if size.grip is not None:
        return size.grip[0] - REACH <= stack <= size.grip[1] + REACH
    low, high = _span(fastener, stack)
    return low - REACH <= _length(size) <= high + REACH


def _length(size: Size) -> float:
    return size.length or 0.0


def _grip_width(size: Size) -> float:
    return size.grip[1] - size.grip[0] if size.grip else 0.0
