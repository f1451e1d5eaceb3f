"""A contact sheet of the register: a card with a small picture for each hide, a page (HTML) to look at or print."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from hides.stock.listing import Entry
from hides.stock.picture import picture
from nesting.stock.table import NOTHING, details, sums

SHOWN = ("where", "cut", "grade", "thickness", "area left", "cost", "leather", "lot", "flaws", "from")
STYLE = """
@page { margin: 12mm }
body { font: 9pt/1.35 sans-serif; color: #222; margin: 6mm }
h1 { font-size: 13pt; margin: 0 } p { margin: 0 0 4mm }
main { display: grid; grid-template-columns: repeat(auto-fill, minmax(56mm, 1fr)); gap: 4mm }
article { border: 0.3mm solid #999; padding: 3mm; break-inside: avoid }
h2 { font-size: 11pt; margin: 0 } svg { width: 100%; height: auto }
dl { display: grid; grid-template-columns: auto 1fr; gap: 0 3mm; margin: 0 }
dt { color: #555 } dd { margin: 0; overflow-wrap: anywhere }
* { print-color-adjust: exact }
"""


def contact_sheet(entries: Sequence[Entry], title: str) -> str:
    """The whole page. Hides of one register look the same each time it is made."""
    cards = "\n".join(_card(entry) for entry in entries)
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{escape(title)}</title>'
        f"<style>{STYLE}</style></head>\n<body><h1>{escape(title)}</h1><p>{escape(sums(entries))}</p>"
        f"<main>\n{cards}\n</main></body></html>\n"
    )


def _card(entry: Entry) -> str:
    hide = entry.stock_hide.hide
    lines = "".join(
        f"<dt>{name}</dt><dd>{escape(text)}</dd>" for name, text in details(entry) if name in SHOWN and text != NOTHING
    )
    return f"<article>{picture(hide)}<h2>{entry.stock_hide.id} · {escape(hide.name)}</h2><dl>{lines}</dl></article>"
