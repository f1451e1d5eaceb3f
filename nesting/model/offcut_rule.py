"""Which leftovers are offcuts, that is worth keeping: the one rule for search, areas, sheets and shelf."""

from __future__ import annotations

LEAST_WIDTH = 60.0
"""The disc (diameter, mm) that an offcut must let through everywhere: about a hand's width (a choice of ours)."""

LEAST_AREA = 20_000.0
"""The least area of an offcut, mm²: 200 cm², as 100 mm × 200 mm (a choice of ours)."""
