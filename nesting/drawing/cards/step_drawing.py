"""A joint cut through: its layers as bars from the front to the back, grain sides thick, and what goes through them."""

from __future__ import annotations

from nesting.drawing.cards.card import CardStep
from nesting.drawing.lettering import shortened
from nesting.drawing.scene import Area, Item, Line, Text
from nesting.model.making import Layer

BAR = 3.0
LONG, FREE = 26.0, 34.0
"""Height of a layer, length of one that ends there and of one that hangs free, mm."""
NAMES = 37.0
ROOM = 36.0


def step_drawing(step: CardStep) -> tuple[list[Item], float]:
    """The drawing below y = 0, and its height."""
    items: list[Item] = []
    top = -3.0
    free = {piece for piece, _ in step.free}
    for layer in step.use.joint.layers:
        for _ in range(layer.plies):
            items += _bar(layer, top, FREE if layer.piece in free else LONG)
            top -= BAR
        words = layer.piece or "washer"
        number = f"{layer.pieces} × " if layer.pieces > 1 else ""
        again = sum(other.piece == layer.piece for other in step.use.joint.layers) > 1
        words += f", {layer.groups[0]}" if again and layer.groups else ""
        at = NAMES, top + BAR / 2 - 0.7
        items.append(Text("words", at, shortened(f"{number}{words}", 2.2, ROOM), 2.2))
    return [*items, *_fastener(step, -3.0, top)], 5.5 - top


def _bar(layer: Layer, top: float, long: float) -> list[Item]:
    """A layer; one that hangs free runs on to a broken end, and the grain side is a thick line."""
    low = top - BAR
    ring = ((0.0, low), (long, low), (long + (1.2 if long > LONG else 0), (low + top) / 2), (long, top), (0.0, top))
    grain = low if layer.turned else top
    items: list[Item] = [Area("part", (ring,), 1 if layer.piece else 8)]
    return [*items, Line("strong rule", ((0.0, grain), (long, grain)))] if layer.piece else items


def _fastener(step: CardStep, top: float, low: float) -> list[Item]:
    fastener = step.use.fastener
    x = 12.0
    if fastener is None or fastener.kind == "thread":
        return [Line("curve 2", ((at, top + 1.5), (at, low - 1.5))) for at in (x, x + 4)]
    head, end = (top, low) if step.use.joint.enters == "front" else (low, top)
    out = 1 if head == top else -1
    shaft = ((x - 0.9, top), (x + 0.9, top), (x + 0.9, low), (x - 0.9, low))
    cap = ((x - 3, head), (x + 3, head), (x + 2, head + out * 1.3), (x - 2, head + out * 1.3))
    small = ((x - 2, end), (x + 2, end), (x + 1.4, end - out * 0.9), (x - 1.4, end - out * 0.9))
    arrow = head + out * 1.6
    return [
        Area("bar gap", (shaft,)), Area("bar", (cap,)), Area("bar gap", (small,)),
        Line("grain", ((x + 7, arrow + out * 1.2), (x + 7, head - out * 1.5))),
        Line("grain", ((x + 6.3, head), (x + 7, head - out * 1.5), (x + 7.7, head))),
    ]  # fmt: skip
