"""The benchmark's protocol and its table.

Protocol. Two threads on two cores and nothing else running; seeds 1, 2, ...; a strip run has `--seconds` of wall time
and its density is piece area ÷ (strip width × extent), in per cent, rounded to 0.01 after it is laid; hides run at a
fixed effort. Nothing is tuned on what is reported: instances are read here and nowhere else.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import time
from pathlib import Path
from typing import Any

from scripts.bench_detail import detail
from scripts.bench_drags import drags
from scripts.bench_fill import fill
from scripts.bench_frames import frames
from scripts.bench_growth import growth
from scripts.bench_kinds import kinds
from scripts.bench_lattices import lattices
from scripts.bench_orders import orders
from scripts.bench_planted import planted, scenario
from scripts.bench_quick import quick
from scripts.bench_rectangles import rectangles
from scripts.bench_shelves import shelves
from scripts.bench_stock import stocks
from scripts.bench_strips import strips
from scripts.bench_time import times
from scripts.bench_turns import turns

SETS = {
    "strips": strips,
    "rectangles": rectangles,
    "planted": planted,
    "lattices": lattices,
    "scenario": scenario,
    "quick": quick,
    "fill": fill,
    "growth": growth,
    "detail": detail,
    "kinds": kinds,
    "orders": orders,
    "stocks": stocks,
    "shelves": shelves,
    "time": times,
    "drags": drags,
    "frames": frames,
    "turns": turns,
}


def main() -> None:
    parser = argparse.ArgumentParser(prog="scripts/bench", description=__doc__)
    parser.add_argument("sets", nargs="*", choices=[*SETS, []], default=list(SETS))
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--effort", default="normal", choices=["quick", "normal", "thorough"])
    parser.add_argument("--only", default="", help="only cases whose name holds this")
    options = parser.parse_args()
    out = Path("bench-out")
    out.mkdir(exist_ok=True)
    machine = {"cores": os.cpu_count(), "python": platform.python_version(), "machine": platform.machine()}
    for name in options.sets:
        started = time.monotonic()
        rows: list[dict[str, Any]] = []
        print(f"\n== {name} ==", flush=True)
        for row in SETS[name](options):
            rows.append(row)
            print("  ".join(f"{key} {value}" for key, value in row.items()), flush=True)
        told = {"set": name, "options": vars(options), **machine, "seconds": time.monotonic() - started, "rows": rows}
        (out / f"{name}.json").write_text(json.dumps(told, indent=1))


if __name__ == "__main__":
    main()
