"""What an order demands: its lines gathered by product, each product as it is cut from the leather at hand."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from hides.errors import InputError, NeedsThickness
from hides.hide import Hide
from nesting.batch.order import Order, OrderLine
from nesting.model.product import Product
from nesting.project.part import part_of_product

Read = Callable[..., Product]
"""Reads a project file for leather `t` mm thick: `read(path, t)`, with `chosen={...}` where something is chosen of its
choices, and with `leather=` the name of the one of its leathers that `t` is of. NeedsThickness where it needs a `t` and
is given none.
"""


@dataclass(frozen=True)
class ProductDemand:
    """One product wanted, on one or more lines that differ only in number, date and spares.

    `cut` holds the product for each thickness of leather at hand (None: leather of unstated thickness), since a
    length may use the leather's thickness.
    """

    name: str
    lines: tuple[OrderLine, ...]
    cut: tuple[tuple[float | None, Product], ...]

    @property
    def wanted(self) -> int:
        """Products to be cut, spares included."""
        return sum(line.wanted for line in self.lines)

    @property
    def one_hide(self) -> bool:
        """Whether all pieces of one product must come from one hide."""
        return self.lines[0].one_hide

    @property
    def first_due(self) -> int:
        """The place in time of its earliest line."""
        return min(line.due for line in self.lines)

    def product_on(self, hide: Hide) -> Product | None:
        """The product as it is cut from this hide; None where the hide does not suit it."""
        product = dict(self.cut).get(_t(hide)) if self.lines[0].suits(hide) else None
        if product is None or (hide.backbone is None and any(piece.needs_backbone for piece in product.pieces)):
            return None
        return product


def demands(order: Order, hides: Sequence[Hide], read: Read) -> tuple[ProductDemand, ...]:
    """The order's demands, earliest first.

    Raises InputError where two lines make a product of the same name with different wishes. Pieces marked `spare`
    are cut only as parts of products: the order says how many there are to be.
    """
    gathered: dict[str, list[OrderLine]] = {}
    for place, (name, line) in _parts(order, read):
        others = gathered.setdefault(name, [])
        if others and _wishes(others[0]) != _wishes(line):
            raise InputError(
                f"another line makes “{name}” from another project or with other wishes",
                where=order.source,
                field=f"line[{place}]",
                remedy="give one of the two a name of its own (name = ...)",
            )
        others.append(line)
    found = [ProductDemand(name, _by_due(lines), _cut(name, lines[0], hides, read)) for name, lines in gathered.items()]
    return tuple(sorted(found, key=lambda demand: demand.first_due))


def _parts(order: Order, read: Read) -> Iterator[tuple[int, tuple[str, OrderLine]]]:
    """Every line with its place and its product's name; of a product of several leathers a line for each of them."""
    for place, line in enumerate(order.lines, 1):
        try:
            product = any_thickness(read, line)
        except InputError as error:
            raise (error.within(order.source, f"line[{place}]") if line.pieces else error) from error
        name = line.name or product.name
        if line.part or len(product.leathers) < 2:
            yield place, (name, line)
            continue
        if line.leather:
            raise InputError(
                f"“{name}” is made of {', '.join(each.name for each in product.leathers)}",
                where=order.source,
                field=f"line[{place}].leather",
                remedy="leave it out: the project says what its leathers are called",
            )
        _refuse_unstated(read, line, product, f"line[{place}]", order.source)
        for each in product.leathers:
            if any(piece.leather == each.name for piece in product.pieces):
                yield place, (f"{name}: {each.name}", replace(line, part=each.name, leather=each.called))


def _refuse_unstated(read: Read, line: OrderLine, product: Product, field: str, where: str) -> None:
    """Whatever hide a leather is cut from, the lengths of pieces of the others must be known."""
    for each in product.leathers:
        try:
            _read(read, replace(line, part=each.name), 4.0)
        except NeedsThickness as error:
            problem = f"lengths of “{product.name}” use the thickness of a leather that the project does not state"
            remedy = "give every [[leather]] of the project its thickness"
            raise InputError(problem, where=where, field=field, remedy=remedy) from error


def _wishes(line: OrderLine) -> tuple[object, ...]:
    return (
        line.project,
        line.part,
        line.choose,
        line.one_hide,
        line.thickness,
        line.leather.casefold(),
        line.same,
        line.same_each,
        line.straight,
        line.pieces,
        line.colour.casefold(),
        line.at_least,
        line.at_most,
        line.whom,
        line.split,
    )


def _by_due(lines: Sequence[OrderLine]) -> tuple[OrderLine, ...]:
    return tuple(sorted(lines, key=lambda line: line.due))


def _cut(name: str, line: OrderLine, hides: Sequence[Hide], read: Read) -> tuple[tuple[float | None, Product], ...]:
    cut: dict[float | None, Product] = {}
    for hide in hides:
        if line.suits(hide) and _t(hide) not in cut:
            try:
                cut[_t(hide)] = _ordered(_read(read, line, _t(hide)), name, line.straight)
            except NeedsThickness:
                continue  # a hide of unstated thickness cannot serve this product
    return tuple(cut.items())


def _ordered(product: Product, name: str, straight: bool) -> Product:
    return replace(
        product, name=name, straight=straight, pieces=tuple(replace(piece, spare=False) for piece in product.pieces)
    )


def catalogue(order: Order, hide: Hide, read: Read) -> list[Product]:
    """The products of the order's catalogue as they are cut from a hide; those that it does not suit are left out."""
    found = []
    for path in order.catalogue:
        try:
            product: Product = read(path, _t(hide))
        except InputError:
            continue
        if hide.backbone is not None or not any(piece.needs_backbone for piece in product.pieces):
            found.append(product)
    return found


def any_thickness(read: Read, line: OrderLine) -> Product:
    """The product of a line, whatever leather it will be cut from."""
    try:
        return _read(read, line, None)
    except NeedsThickness:
        return _read(read, line, 4.0)


def _read(read: Read, line: OrderLine, t: float | None) -> Product:
    asked: dict[str, Any] = {"chosen": dict(line.choose)} if line.choose else {}
    if line.part:
        asked["leather"] = line.part
    product: Product = part_of_product(read(line.project, t, **asked), dict(line.pieces))
    return product.of([line.part]) if line.part else product


def _t(hide: Hide) -> float | None:
    return None if hide.thickness is None else hide.thickness.middle
