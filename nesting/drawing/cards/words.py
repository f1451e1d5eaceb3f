"""What a bench card says."""

from __future__ import annotations

from nesting.drawing.cards.card import Card, CardStep
from nesting.drawing.sheet_style import SheetStyle
from nesting.model.making import Layer
from nesting.result.wording import length_text

OUNCE = 25.4 / 64


def first_words(card: Card) -> str:
    """How many are made, and of what leather."""
    return f"{card.made} complete on this layout; {thickness_words(card)}"


def thickness_words(card: Card) -> str:
    """The leather's thickness, in ounces where the project speaks of them."""
    if card.t is None:
        return "thickness not told"
    return f"leather {card.t / OUNCE:.1f} oz thick" if card.product.ounces else f"leather {card.t:.1f} mm thick"


def step_lines(card: Card, step: CardStep, style: SheetStyle) -> list[str]:
    """A step: its name, then what lies on what, what holds it, what comes first and what hangs free."""
    joint = step.use.joint
    times = f", {joint.count} of them" if joint.count > 1 else ""
    lines = [f"{step.number}  {joint.name}{times}"]
    lines.append("Front to back: " + "; ".join(_layer(layer, style) for layer in joint.layers) + ".")
    lines.append(_held(card, step, style))
    if step.finish_first:
        lines.append(f"Finish the edges of {_and(step.finish_first)} before.")
    if step.free:
        lines.append(
            "Hangs free until a later step: " + _and([f"{piece}, “{group}”" for piece, group in step.free]) + "."
        )
    return lines


def _layer(layer: Layer, style: SheetStyle) -> str:
    if not layer.piece:
        return f"{_size(layer.thickness or 0.0, style)} washer or filler"
    number = f"{layer.pieces} × " if layer.pieces > 1 else ""
    plies = f", folded to {layer.plies}" if layer.plies > 1 else ""
    holes = f" at “{'”, “'.join(layer.groups)}”" if layer.groups else ""
    return f"{number}{layer.piece}{holes}{plies}, {'flesh' if layer.turned else 'grain'} side to the front"


def _held(card: Card, step: CardStep, style: SheetStyle) -> str:
    use, joint = step.use, step.use.joint
    stack = f" through {_size(use.stack, style)}" if use.stack else ""
    if use.fastener is None:
        return f"{joint.fastener or 'Nothing'} holds it."
    if use.fastener.kind == "thread":
        return f"Sew {_size(use.run, style)}{stack}: {use.number / 1000:.1f} m of {use.fastener.name} in all."
    size = f" {use.size.name}" if use.size else " (no size in the list suits)"
    number = int(use.number)
    other = "back" if joint.enters == "front" else "front"
    close = f", its screw from the {other}" if use.fastener.kind == "post" else ""
    return f"{number} × {use.fastener.name}{size}{stack}: put in from the {joint.enters}{close}."


def _size(mm: float, style: SheetStyle) -> str:
    return f"{length_text(mm, style.units, part=64)} {style.units}"


def _and(words: list[str] | tuple[str, ...]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else words[0]
