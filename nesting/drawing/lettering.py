"""How wide words are, in the one typeface of all drawings (DejaVu Sans, which comes with matplotlib)."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import matplotlib
from matplotlib.ft2font import FT2Font, LoadFlags

CAP = 0.73
"""Height of a capital over the size of the letters' body."""
DESCENT = 0.24
"""How far letters reach below the base line, over the size of the body."""


def font_file(bold: bool = False) -> Path:
    """The typeface's file."""
    return Path(matplotlib.get_data_path()) / "fonts" / "ttf" / f"DejaVuSans{'-Bold' if bold else ''}.ttf"


def width_of(words: str, height: float, bold: bool = False) -> float:
    """Width of the words at a size of the letters' body, in the same unit."""
    return sum(_advance(letter, bold) for letter in words) * height


def shortened(words: str, height: float, width: float, bold: bool = False) -> str:
    """The words, cut with an ellipsis where they are wider than `width`."""
    if width_of(words, height, bold) <= width:
        return words
    while words and width_of(f"{words}…", height, bold) > width:
        words = words[:-1]
    return f"{words.rstrip()}…" if words else ""


def wrapped(words: str, height: float, width: float) -> list[str]:
    """The words broken into lines no wider than `width` (one word that is wider is cut)."""
    lines: list[str] = []
    for word in words.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, height) <= width:
            lines[-1] = longer
        else:
            lines.append(shortened(word, height, width))
    return lines


def descent(words: str) -> float:
    """How far these words reach below their base line: small codes need no room for tails they lack."""
    return DESCENT if set(words) & set("gjpqyQ,;()[]/çşţ") else 0.02


@cache
def _face(bold: bool) -> Any:
    font = FT2Font(str(font_file(bold)))
    font.set_size(1000, 72)
    return font


@cache
def _advance(letter: str, bold: bool) -> float:
    face = _face(bold)
    # Number 0 is the box shown for letters that the typeface lacks.
    glyph = face.load_glyph(face.get_char_index(ord(letter)), flags=LoadFlags.NO_HINTING)
    return float(glyph.linearHoriAdvance) / 65536 / 1000
