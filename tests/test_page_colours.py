"""Colours of the kinds of pieces are told apart with any colour vision."""

from __future__ import annotations

import itertools
import math
import re
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

VIEW = Path(__file__).parent.parent / "nesting" / "page" / "static" / "drawing" / "layout_view.js"
APART = 12.0
VISION: dict[str, list[list[float]]] = {
    "usual": [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
    "protanopia": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    "deuteranopia": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    "tritanopia": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
}
"""Linear RGB as it is seen; Machado, Oliveira & Fernandes 2009, “A physiologically-based model for simulation of color
vision deficiency”, table of severity 1.0 (from memory; the rows add up to one, as white must stay white)."""
TO_XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.119192, 0.9503041]]
)
"""Linear sRGB to CIE XYZ under D65 (IEC 61966-2-1)."""
Lab = NDArray[np.float64]


def _lab(colour: str, vision: str = "usual") -> Lab:
    """CIE L*a*b* of a colour #rrggbb as it is seen."""
    shown = np.array([int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)])
    linear = np.where(shown <= 0.04045, shown / 12.92, ((shown + 0.055) / 1.055) ** 2.4)
    xyz = TO_XYZ @ np.clip(np.array(VISION[vision]) @ linear, 0, 1) / TO_XYZ.sum(axis=1)
    x, y, z = np.where(xyz > 216 / 24389, np.cbrt(xyz), (24389 / 27 * xyz + 16) / 116)
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


def _delta_e(one: Lab, other: Lab) -> float:
    """CIEDE2000, as Sharma, Wu & Dalal 2005 write it out."""
    (l1, a1, b1), (l2, a2, b2) = one, other
    mean = (math.hypot(a1, b1) + math.hypot(a2, b2)) / 2
    g = 0.5 * (1 - math.sqrt(mean**7 / (mean**7 + 25**7)))
    a1, a2 = (1 + g) * a1, (1 + g) * a2
    c1, c2 = math.hypot(a1, b1), math.hypot(a2, b2)
    h1, h2 = (math.degrees(math.atan2(b, a)) % 360 for a, b in ((a1, b1), (a2, b2)))
    turn = 0.0 if c1 * c2 == 0 else (h2 - h1 + 180) % 360 - 180
    dh = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(turn) / 2)
    lm, cm = (l1 + l2) / 2, (c1 + c2) / 2
    hm = h1 + h2 if c1 * c2 == 0 else (h1 + turn / 2) % 360
    waves = ((-0.17, 1, -30), (0.24, 2, 0), (0.32, 3, 6), (-0.20, 4, -63))
    t = 1 + sum(by * math.cos(math.radians(n * hm + off)) for by, n, off in waves)
    sl = 1 + 0.015 * (lm - 50) ** 2 / math.sqrt(20 + (lm - 50) ** 2)
    sc, sh = 1 + 0.045 * cm, 1 + 0.015 * cm * t
    around = 30 * math.exp(-(((hm - 275) / 25) ** 2))
    rt = -2 * math.sqrt(cm**7 / (cm**7 + 25**7)) * math.sin(math.radians(2 * around))
    dl, dc, dh = (l2 - l1) / sl, (c2 - c1) / sc, dh / sh
    return math.sqrt(dl**2 + dc**2 + dh**2 + rt * dc * dh)


@pytest.mark.parametrize(
    ("one", "other", "apart"),
    [
        ((50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425),
        ((50, 3.1571, -77.2803), (50, 0, -82.7485), 2.8615),
        ((50, 0, 0), (50, -1, 2), 2.3669),
        ((50, 2.5, 0), (73, 25, -18), 27.1492),
        ((50, 2.5, 0), (58, 24, 15), 19.4535),
    ],
)
def test_the_difference_of_colours_is_the_published_one(
    one: tuple[float, ...], other: tuple[float, ...], apart: float
) -> None:
    """Pairs 1, 2, 7, 17 and 20 of the table in Sharma, Wu & Dalal 2005."""
    assert _delta_e(np.array(one), np.array(other)) == pytest.approx(apart, abs=1e-4)


@pytest.mark.parametrize("vision", VISION)
def test_kinds_of_pieces_are_told_apart(vision: str) -> None:
    assert np.allclose(np.array(VISION[vision]).sum(axis=1), 1, atol=2e-6)
    found = re.search(r"COLOURS = \[(.*?)\]", VIEW.read_text())
    assert found
    colours = re.findall("#[0-9a-f]{6}", found[1])
    assert len(set(colours)) == len(colours) >= 10
    for one, other in itertools.combinations(colours, 2):
        assert _delta_e(_lab(one, vision), _lab(other, vision)) >= APART, (one, other)
