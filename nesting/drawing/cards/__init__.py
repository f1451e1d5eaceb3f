"""Bench cards: what is punched, finished and joined in one product, in the order of making, on a page.

`card` works it out from a layout's product; `strap_ends` tells the ends of straps; `card_pages` arranges it.
"""
