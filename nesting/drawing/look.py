"""How each layer is inked: calm leather tones that stay readable when printed in black and white.

Every kind of mark differs by line and hatch, not by colour alone. Widths and dashes are millimetres on paper.
"""

from __future__ import annotations

from dataclasses import dataclass

INK = "#2b2420"
QUIET = "#7a6f66"
FLAW = "#8a2f1d"
DATUM = "#1f5673"
KEEP = "#4d6b3c"

TINTS = (
    "#e9d3b0", "#cfd8c4", "#d9c4bd", "#c7d3da", "#eee0a8", "#d8cbe0", "#bfd6cd", "#e6c9a0", "#d3d0c5", "#e2bfae",
)  # fmt: skip
"""Fills of the kinds of pieces, in turn."""


@dataclass(frozen=True)
class Ink:
    """The line (colour, width, dashes) and fill of a layer; None leaves either out. `veil` is how dense the fill is."""

    line: str | None = INK
    width: float = 0.25
    dash: tuple[float, ...] = ()
    fill: str | None = None
    veil: float = 1.0


LAYERS: dict[str, Ink] = {
    "hide": Ink(INK, 0.6, fill="#f7f1e6"),
    "edge": Ink(QUIET, 0.18, (1.2, 0.8)),
    "edge hatch": Ink("#b9ab9b", 0.12),
    "zone": Ink(QUIET, 0.25, (3.0, 1.0, 0.6, 1.0)),
    "offcut": Ink(KEEP, 0.35, (2.2, 1.2), "#eef2e4"),
    "piece": Ink(INK, 0.35, fill=TINTS[0]),
    "piece on photo": Ink(INK, 0.4, fill=TINTS[0], veil=0.5),
    "offcut on photo": Ink(KEEP, 0.4, (2.2, 1.2), "#eef2e4", veil=0.4),
    "pattern": Ink(INK, 0.4),
    "cutout": Ink(INK, 0.25, fill="#ffffff"),
    "cover": Ink(QUIET, 0.15, (0.6, 0.6)),
    "flaw": Ink(FLAW, 0.3),
    "flaw hatch": Ink(FLAW, 0.15),
    "clearance": Ink(FLAW, 0.15, (0.7, 0.6)),
    "hole": Ink(FLAW, 0.4, fill="#ffffff"),
    "punch": Ink(INK, 0.15, fill="#ffffff"),
    "grain": Ink(INK, 0.18),
    "fold line": Ink(INK, 0.2, (4.0, 1.2)),
    "crease line": Ink(INK, 0.15, (1.6, 1.0)),
    "stitch line": Ink(INK, 0.25, (0.5, 0.9)),
    "skive line": Ink(QUIET, 0.2, (2.5, 0.8, 0.5, 0.8)),
    "notch line": Ink(INK, 0.3),
    "mark line": Ink(QUIET, 0.15),
    "finished": Ink(QUIET, 0.2, (6.0, 1.5)),
    "backbone": Ink(DATUM, 0.3, (4.0, 1.0, 1.0, 1.0)),
    "datum": Ink(DATUM, 0.2),
    "datum name": Ink(DATUM, 0.2),
    "mark": Ink(DATUM, 0.25, fill=DATUM),
    "second mark": Ink(DATUM, 0.25, fill="#ffffff"),
    "third mark": Ink(DATUM, 0.25, fill="#c9dbe4"),
    "name": Ink(INK),
    "flaw name": Ink(FLAW),
    "zone name": Ink(QUIET),
    "offcut name": Ink(KEEP),
    "leader": Ink(INK, 0.15),
    "words": Ink(INK),
    "quiet words": Ink(QUIET),
    "alert words": Ink(FLAW),
    "rule": Ink(QUIET, 0.15),
    "strong rule": Ink(INK, 0.4),
    "frame": Ink(QUIET, 0.15),
    "cut here": Ink(QUIET, 0.15, (2.0, 2.0)),
    "parting": Ink(INK, 0.45, (5.0, 1.2)),
    "parting spot": Ink(INK, 0.25, fill="#ffffff"),
    "cell": Ink(QUIET, 0.15),
    "cross": Ink(INK, 0.2),
    "small hide": Ink(INK, 0.25, fill="#f7f1e6"),
    "small piece": Ink(INK, 0.08, fill=TINTS[0]),
    "small flaw": Ink(FLAW, 0.12),
    "part": Ink(INK, 0.2, fill=TINTS[0]),
    "blank": Ink(None, 0.0, fill="#ffffff"),
    "curve 1": Ink(INK, 0.5),
    "curve 2": Ink(DATUM, 0.5, (2.4, 0.9)),
    "curve 3": Ink(FLAW, 0.5, (0.8, 0.8)),
    "curve 4": Ink(KEEP, 0.5, (3.0, 0.8, 0.8, 0.8)),
    "bar": Ink(INK, 0.25, fill=INK),
    "bar gap": Ink(INK, 0.25, fill="#ffffff"),
}


def tint(index: int) -> str:
    """The fill of the kind of piece with this index."""
    return TINTS[index % len(TINTS)]
