"""What a paper pattern says: how many to cut, how many turned over, which punch, what the lines mean."""

from __future__ import annotations

from collections import Counter

from nesting.model.product import Piece, Product
from nesting.result.wording import length_text


def is_shown_by_other_hand(piece: Piece, product: Product) -> bool:
    """Whether a right piece is cut from the pattern of its left one, turned over."""
    return piece.hand == "right" and _other(piece, product) is not None


def cutting_words(piece: Piece, product: Product) -> str:
    """How many to cut for one product, and how many with the pattern turned over."""
    other = _other(piece, product)
    if piece.hand == "left" and other is not None:
        return f"cut {piece.count} as it lies (left) and {other.count} turned over (right)"
    side = f", {piece.hand} hand" if piece.hand else ""
    return f"cut {piece.count}{side}{', either side up' if piece.mirror else ', grain side up'}"


def punch_words(piece: Piece, units: str = "mm") -> str:
    """Holes by the size of their punch, openings, and the lines to be pricked, creased or skived."""
    holes = Counter((round(hole.diameter, 2), hole.purpose) for hole in piece.holes)
    said = [
        f"punch {_across(diameter, units)} × {number}{f' ({purpose})' if purpose else ''}"
        for (diameter, purpose), number in sorted(holes.items())
    ]
    said += [f"{len(piece.cutouts)} cut out"] if piece.cutouts else []
    kinds = Counter(line.kind for line in piece.lines if line.kind != "mark")
    said += [f"{kind} {number}×" if number > 1 else kind for kind, number in sorted(kinds.items())]
    said += ["dotted: covered when made"] if piece.covered else []
    said += ["cut along the outer line, finished edge dashed"] if piece.finished else []
    return ", ".join(said)


def _across(mm: float, units: str) -> str:
    """A punch's size: inches as bench cards have them."""
    return f"{length_text(mm, 'in', part=64)} in" if units == "in" else f"{mm:g} mm"


def _other(piece: Piece, product: Product) -> Piece | None:
    """The piece for the other hand."""
    stem = piece.name.removesuffix(f" {piece.hand}")
    hand = "right" if piece.hand == "left" else "left"
    return next((each for each in product.pieces if each.hand == hand and each.name == f"{stem} {hand}"), None)
