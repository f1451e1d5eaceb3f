"""Hides and registers that the tests of the stock share."""

from __future__ import annotations

from pathlib import Path

from hides.hide import Flaw, Grade, Hide, Price, Ring, Thickness
from hides.hide_file import write_hide
from hides.offcut import offcuts
from hides.stock import Cut, Stock, open_stock

PRICE = Price(10 / 92903.04, "USD", 10, "sq ft")


def box(x0: float, y0: float, x1: float, y1: float) -> Ring:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def side(name: str, length: float = 1000) -> Hide:
    """A plain side of 800 mm by `length`, with a hole and a scar."""
    return Hide(
        name,
        box(0, 0, length, 800),
        cut="side",
        backbone=((0, 0), (length, 0)),
        thickness=Thickness(4.0, 4.4),
        price=PRICE,
        flaws=(Flaw("hole", box(100, 100, 120, 120), clearance=5), Flaw("scar", box(700, 600, 760, 610), Grade.C)),
        leather="bridle",
        lot="L-3",
    )


def folder_of(home: Path, *names: str) -> Path:
    """A folder with a hide file for each name."""
    folder = home / "sides"
    folder.mkdir(exist_ok=True)
    for i, name in enumerate(names):
        write_hide(folder / f"{name}.json", side(name, 1000 + i))
    return folder


def stock_of(path: Path, *names: str) -> Stock:
    """A register, open, with these hides added by change 1."""
    stock = open_stock(path, create=True)
    stock.add([(side(name, 1000 + i), f"{name}.json") for i, name in enumerate(names)])
    return stock


def cut_of(stock: Stock, name: str, layout: str = '{"made": "up"}') -> Cut:
    """A cut of a hide that leaves two offcuts."""
    own = stock.find(name)
    rings = [box(600, 500, 900, 700), box(10, 10, 110, 300)]
    return Cut(own.id, layout, offcuts(own.read(stock.where).hide, rings))
