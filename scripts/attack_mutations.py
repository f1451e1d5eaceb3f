"""Every file the program reads, mutated by bytes or by its structure: one clear line for it, or it is read.

A case is a fault where anything but an error made for people comes out of a reader. What is read is used a little
further (hides are written and read again). A DXF is mutated in its values mostly, such that most are accepted.
"""

from __future__ import annotations

import copy
import json
import random
import shutil
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import ezdxf

from hides.drawing.reading import drawing_from_bytes
from hides.errors import HideplanError
from hides.hide_file import hide_from_data, hide_to_data, read_hide
from hides.offsets import offsets_from_bytes
from hides.stock import open_stock
from hides.stock.audit import faults
from hides.typical import typical_hide
from nesting import scenario
from nesting.batch.order_file import read_order
from nesting.batch.searching import Here
from nesting.compare.leathers_file import read_leathers
from nesting.laying.lay_out import lay_out
from nesting.model.settings import Settings, Watch
from nesting.model.want import Want
from nesting.project.project_file import read_product
from nesting.result.layout_file import write_layout
from nesting.result.layout_reader import read_layout
from scripts.attack_layouts import Asked

HOME = Path(scenario.__file__).parent if scenario.__file__ else Path(next(iter(scenario.__path__)))
ODD = [
    None, True, -1, 0, 1e308, -1e308, 5e-324, 10**40, "", "x" * 300, "\u0000", "²", [], {}, [[]], "1e999 mm", "nan",
    "-0", 0.1, "5 mm", [0, 0], [[0, 0], [1, 1]], "\ud800", ["a"], {"a": 1},
]  # fmt: skip
WORDS = [
    b"1e999", b"-1", b"0", b"nan", b"inf", b"\x00", b"\xff", b"9" * 400, b'"', b"[", b"]", b"{", b"}", b"\n", b",",
    b"\xed\xa0\x80", b"\xc2\xb2", b"e", b".", b"1e-320", b"\\ud800", b"#", b"=", b"<", b">", b"&#0;",
]  # fmt: skip


def case(seed: int) -> str | None:
    """One mutated file; what came out of its reader that is no error for people."""
    chance = random.Random(seed)
    name = chance.choice(sorted(FILES))
    content = mutated(chance, name, chance.choice(FILES[name]()))
    try:
        READERS[name](content)
    except HideplanError as error:
        if "\n" in str(error):
            return f"{name}: an error of several lines: {str(error)[:200]!r}"
    except Exception as error:
        return f"{name}: {type(error).__name__}: {str(error)[:200]}"
    return None


def mutated(chance: random.Random, name: str, content: bytes) -> bytes:
    if name.endswith("dxf") and chance.random() < 0.8:
        return dxf_values(chance, content)
    if name.endswith("json") and chance.random() < 0.6:
        data = json.loads(content)
        for _ in range(chance.choice((1, 1, 1, 2, 4))):
            structure(chance, data)
        return json.dumps(data).encode()
    for _ in range(chance.choice((1, 1, 2, 5))):
        content = bytewise(chance, content)
    return content


def bytewise(chance: random.Random, content: bytes) -> bytes:
    at, more = chance.randrange(len(content) + 1), chance.choice((1, 1, 2, 8, 60))
    return {
        0: lambda: content[:at] + content[at + more :],
        1: lambda: content[:at] + chance.choice(WORDS) + content[at:],
        2: lambda: content[:at] + chance.choice(WORDS) + content[at + more :],
        3: lambda: content[:at] + chance.randbytes(1) + content[at + 1 :],
        4: lambda: content[:at] + content[at : at + more] * 2 + content[at + more :],
        5: lambda: content[:at] if chance.random() < 0.3 else content[:at] + content[at + 1 :],
    }[chance.randrange(6)]()


def structure(chance: random.Random, data: Any) -> None:
    """Change one value somewhere in tables and lists."""
    holders = [holder for holder in walk(data) if holder]
    if not holders:
        return
    holder = chance.choice(holders)
    key = chance.choice(list(holder) if isinstance(holder, dict) else list(range(len(holder))))
    what = chance.randrange(5)
    if what == 0:
        del holder[key]
    elif what == 1 and isinstance(holder, list):
        holder.insert(key, copy.deepcopy(chance.choice(holder)))
    elif what == 2 and isinstance(holder[key], (int, float)) and not isinstance(holder[key], bool):
        holder[key] = holder[key] * chance.choice((-1, 0.5, 2, 1e3, 1e-3, 1e12, 1.0001))
    elif what == 3:
        holder[key] = copy.deepcopy(chance.choice(list(walk(data))))
    else:
        holder[key] = copy.deepcopy(chance.choice(ODD))


def walk(data: Any) -> list[Any]:
    if not isinstance(data, (dict, list)):
        return []
    inner = data.values() if isinstance(data, dict) else data
    return [data, *(found for each in inner for found in walk(each))]


def dxf_values(chance: random.Random, content: bytes) -> bytes:
    """Change values of groups, whose codes stand on the lines before them."""
    lines = content.split(b"\n")
    start = next((n for n, line in enumerate(lines) if line.strip() == b"ENTITIES"), 0)
    for _ in range(chance.choice((1, 1, 2, 4))):
        at = chance.randrange(start + 1, len(lines) - 4) | 1
        try:
            number = float(lines[at])
        except ValueError:
            continue
        lines[at] = f"{number * chance.choice((-1, 0, 0.5, 1.001, 2, 10)) + chance.choice((0, 0, 1, -7.5)):g}".encode()
        if chance.random() < 0.05:
            lines[at] = chance.choice((b"1e999", b"nan", b"-1", b"1e300", b"x", b""))
    return b"\n".join(lines)


# the files as they are


def scenario_files(ending: str, word: str = "") -> list[bytes]:
    found = sorted(path for path in HOME.glob(f"*{ending}") if word in path.name)
    return [path.read_bytes() for path in found if len(path.read_bytes()) < 60_000]


@cache
def hides() -> list[bytes]:
    small = [json.dumps(hide_to_data(typical_hide("shoulder", 0.9e6))).encode()]
    return [*scenario_files(".json"), *small]


@cache
def projects() -> list[bytes]:
    return [*scenario_files(".toml", "rack"), *scenario_files(".toml", "roll")]


@cache
def orders() -> list[bytes]:
    return scenario_files(".toml", "order")


@cache
def leathers() -> list[bytes]:
    return scenario_files(".toml", "leathers")


@cache
def layouts() -> list[bytes]:
    hide, rack = read_hide(HOME / "offcut-1.json"), read_product(HOME / "map-rack.toml", 4.0)
    soon = Watch(stop=Asked(10), executor=Here())
    layout = lay_out(hide, [Want(rack)], Settings(effort="quick"), soon)
    with tempfile.TemporaryDirectory() as home:
        write_layout(Path(home) / "a.json", layout)
        return [(Path(home) / "a.json").read_bytes()]


@cache
def drawings_dxf() -> list[bytes]:
    drawing = ezdxf.new(units=4)
    space = drawing.modelspace()
    space.add_lwpolyline([(0, 0, 0.3), (90, 0), (90, 60), (0, 60)], format="xyb", close=True)
    space.add_circle((30, 30), 8)
    space.add_ellipse((60, 30), (12, 3), 0.4)
    space.add_arc((200, 0), 30, 10, 250)
    space.add_line((200, 0), (230, 40))
    space.add_spline([(300, 0), (320, 40), (350, 10), (380, 60)])
    block = drawing.blocks.new("B")
    block.add_lwpolyline([(0, 0), (9, 0), (9, 9)], close=True)
    space.add_blockref("B", (400, 0), dxfattribs={"xscale": 2, "rotation": 30})
    with tempfile.TemporaryDirectory() as home:
        drawing.saveas(Path(home) / "a.dxf")
        return [(Path(home) / "a.dxf").read_bytes()]


def drawings_svg() -> list[bytes]:
    return [
        b'<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200"><g id="a" '
        b'transform="translate(5,5) rotate(10)"><path id="p" d="M0 0 h90 v60 a 30 30 0 0 1 -30 -30 q 5 5 9 9 t 3 3 '
        b'C 1 2 3 4 5 6 z"/><rect x="5" y="5" width="20" height="9" rx="2"/><circle cx="50" cy="50" r="5"/>'
        b'<ellipse rx="4" ry="9"/><polygon points="0,0 9,0 9,9"/><use href="#p" x="3" transform="skewX(3) '
        b'scale(2)"/></g><line x1="0" y1="0" x2="5" y2="5"/></svg>'
    ]


def tables() -> list[bytes]:
    return [
        b"name,T-1\nunits,cm\nedge,0.5\nstation,left,right\n0,20,20\n50,60,55\n100,70,72\n150,30,31\n",
        b"station;offset\n0;20,5\n50;60,25\n100;70\n150;30\n",
    ]


@cache
def registers() -> list[bytes]:
    with tempfile.TemporaryDirectory() as home:
        path = Path(home) / "a.stock"
        with open_stock(path, create=True) as stock:
            stock.add([(typical_hide("shoulder", 0.9e6), "a"), (read_hide(HOME / "offcut-1.json"), "b")])
        return [path.read_bytes()]


# and what reads them


def through_file(ending: str, read: Callable[[Path], object]) -> Callable[[bytes], None]:
    def reading(content: bytes) -> None:
        home = Path(tempfile.mkdtemp(prefix="attack-"))
        try:
            path = home / f"a{ending}"
            path.write_bytes(content)
            for beside in HOME.glob("*.*") if ending == ".toml" else ():
                (home / beside.name).symlink_to(beside)
            read(path)
        finally:
            shutil.rmtree(home)

    return reading


def hide_again(path: Path) -> None:
    hide = read_hide(path)
    hide_from_data(hide_to_data(hide), "again")


def register(path: Path) -> None:
    with open_stock(path) as stock:
        stock.hides()
        faults(stock)


FILES: dict[str, Callable[[], list[bytes]]] = {
    "hide.json": hides,
    "project.toml": projects,
    "order.toml": orders,
    "leathers.toml": leathers,
    "layout.json": layouts,
    "drawing.dxf": drawings_dxf,
    "drawing.svg": drawings_svg,
    "offsets.csv": tables,
    "register": registers,
}
READERS: dict[str, Callable[[bytes], None]] = {
    "hide.json": through_file(".json", hide_again),
    "project.toml": through_file(".toml", lambda path: read_product(path, 4.0)),
    "order.toml": through_file(".toml", read_order),
    "leathers.toml": through_file(".toml", read_leathers),
    "layout.json": through_file(".json", read_layout),
    "drawing.dxf": lambda content: drawing_from_bytes(content, "a.dxf") and None,
    "drawing.svg": lambda content: drawing_from_bytes(content, "a.svg") and None,
    "offsets.csv": lambda content: offsets_from_bytes(content, "a.csv") and None,
    "register": through_file(".stock", register),
}
