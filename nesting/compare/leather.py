"""A leather on offer: what it costs landed, how heavy it is, and the hides it is tried on."""

from __future__ import annotations

from dataclasses import dataclass

from hides.hide import Grade, Hide, Thickness
from hides.units import area_unit


@dataclass(frozen=True)
class Leather:
    """A leather in one thickness.

    The price is for an area (`per_area` of `unit`) or for a hide (`per_hide`); so is the freight. `discrepancy` is
    measured over marked area; `density` kg/m³ or None where the maker does not know it. `hides` are the samples,
    already of this thickness. Lines that may be left out: `splitting` and `finish` for an area of `unit`, `tax` (a
    share of all that is paid for the leather), `pack` (hides are sold by so many), `labour` (cutting, edges and holes
    take so many times the product's minutes, as thick leather does).
    """

    name: str
    thickness: Thickness
    currency: str
    per_area: float | None = None
    per_hide: float | None = None
    unit: str = "sq ft"
    freight_per_area: float = 0.0
    freight_per_hide: float = 0.0
    discrepancy: float = 1.0
    density: float | None = None
    colour: str = ""
    grades: tuple[Grade, ...] = ()
    hides: tuple[Hide, ...] = ()
    splitting: float = 0.0
    finish: float = 0.0
    tax: float = 0.0
    pack: int = 1
    labour: float = 1.0

    @property
    def flawless(self) -> bool:
        """Whether a sample is a typical outline without any flaw: it promises more than a bought hide keeps."""
        return any(hide.estimate and not hide.flaws for hide in self.hides)

    @property
    def estimate(self) -> bool:
        """Whether any sample is a typical outline and not a measured hide."""
        return any(hide.estimate for hide in self.hides)

    def marked_area(self, hide: Hide) -> float:
        """The area that is paid for, mm²: what is marked on it, else its own over the discrepancy."""
        return hide.area if hide.area is not None else hide.measured_area / self.discrepancy

    def freight(self, hide: Hide) -> float:
        """What it costs to have the hide brought."""
        return self.freight_per_hide + self.freight_per_area * self.marked_area(hide) / area_unit(self.unit)

    def landed_cost(self, hide: Hide) -> float:
        """Price and freight of one hide (common practice: landed cost = price + freight), made ready, taxed."""
        price = self.per_hide if self.per_hide is not None else self.price_of_area(hide)
        return (price + self.beside_price(hide)) * (1 + self.tax)

    def beside_price(self, hide: Hide) -> float:
        """What comes to a hide's price before tax: freight, splitting, finish."""
        return self.freight(hide) + (self.splitting + self.finish) * self.marked_area(hide) / area_unit(self.unit)

    def lines_text(self) -> str:
        """What the landed cost holds beside price and freight, as it was given; empty where nothing was."""
        told = [
            (f"{each:.2f} a {self.unit}", name)
            for each, name in ((self.splitting, "splitting"), (self.finish, "finish"))
        ]
        lines = [f"{name} {amount}" for amount, name in told if not amount.startswith("0.00")]
        lines += [f"tax {100 * self.tax:g} %"] if self.tax else []
        lines += [f"in packs of {self.pack}"] if self.pack > 1 else []
        return ", ".join([*lines, *([f"labour x {self.labour:g}"] if self.labour != 1 else [])])

    def price_of_area(self, hide: Hide) -> float:
        """The hide at its price by area."""
        return (self.per_area or 0.0) * self.marked_area(hide) / area_unit(self.unit)

    def price_text(self) -> str:
        """The price as it is quoted."""
        if self.per_hide is not None:
            return f"{self.per_hide:.2f} {self.currency} a hide"
        return f"{self.per_area:.2f} {self.currency} a {self.unit}"


def net_price(price: float, discrepancy: float, share: float) -> float:
    """What an area of leather costs that ends up in pieces, from the price of the marked area.

    The net coefficient is measured ÷ marked area times the share of the measured that is cut (common practice).

    >>> round(net_price(2.00, 0.98, 0.90), 3)
    2.268
    """
    return price / (discrepancy * share)
