"""The same layout gives the same bytes, whatever order a run's hashes come in."""

from __future__ import annotations

import os
import subprocess
import sys

DRAWN = """
from nesting.drawing.dxf import dxf_text
from nesting.drawing.scene import Line, Text
import hashlib
scene = [Line("pieces", ((0.0, 0.0), (50.0, 0.0), (50.0, 20.0)))]
print(hashlib.sha256(dxf_text(scene).encode()).hexdigest())
"""


def test_a_dxf_has_the_same_bytes_in_every_run() -> None:
    told = {
        subprocess.run(
            [sys.executable, "-c", DRAWN],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2", "5", "7")  # two orders of ezdxf's set among them
    }
    assert len(told) == 1
