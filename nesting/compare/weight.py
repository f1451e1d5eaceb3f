"""What one product weighs: leather by area, thickness and density, and its hardware."""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapely.geometry import Polygon

from nesting.making.joints import Use
from nesting.model.making import Making
from nesting.model.product import Piece, Product


def leather_weight(area: float, t: float, density: float) -> float:
    """Grams of leather: area mm², thickness mm, density kg/m³.

    >>> round(leather_weight(304.8**2, 25.4 / 64, 769.0), 2)   # one square foot of one ounce weighs one ounce
    28.35
    """
    return area * t * density * 1e-6


def net_area(piece: Piece) -> float:
    """Leather that stays in a piece, mm²: its outline less openings and punched holes."""
    punched = sum(math.pi * hole.diameter**2 / 4 for hole in piece.holes)
    return float(Polygon(piece.outline, piece.cutouts).area) - punched


def product_weight(product: Product, making: Making, found: Sequence[Use], t: float, density: float) -> float:
    """Grams of one product with fasteners, thread and other materials."""
    leather = sum(net_area(piece) * piece.count for piece in product.pieces)
    return leather_weight(leather, t, density) + hardware_weight(making, found)


def hardware_weight(making: Making, found: Sequence[Use]) -> float:
    """Grams of all in one product that is not leather."""
    fasteners = sum(use.amount * use.size.weight for use in found if use.size)
    return fasteners + sum(each.amount * each.weight for each in making.materials)
