"""The register of hides and offcuts (one SQLite file), and hides from a folder or a register alike.

>>> with open_stock("hides.stock") as stock:                    # doctest: +SKIP
...     for each in stock.hides():                              # StockHide(id, hide, status, source, parent)
...         print(each.id, each.hide.name)
...     stock.commit_cuts([Cut(each.id, layout_text, offcuts(each.hide, rings, least_area))], note="order 12")
...     stock.undo()

`hides_from(path)` gives the `StockHide`s of a folder of hide files (id 0) or of a register (those on the shelf).
"""

from hides.stock.content import Row
from hides.stock.folder import hides_from, read_files, read_folder
from hides.stock.ledger import Account, Balance
from hides.stock.money import Value
from hides.stock.register import Added, Stock, open_stock
from hides.stock.values import Change, Cut, HideStep, Status, StockHide

__all__ = [
    "Account",
    "Added",
    "Balance",
    "Change",
    "Cut",
    "HideStep",
    "Row",
    "Status",
    "Stock",
    "StockHide",
    "Value",
    "hides_from",
    "open_stock",
    "read_files",
    "read_folder",
]
