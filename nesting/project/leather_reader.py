"""The `[[leather]]` tables of a project: what a product is made of, each leather with its own thickness."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from hides.errors import InputError
from hides.fields import Fields, unknown
from hides.hide import Hide
from hides.units import thickness
from nesting.model.making import Joint
from nesting.model.product import Piece, ProductLeather
from nesting.project.measures import Measures

FIELDS = ("name", "thickness", "leather")
MOST_LEATHERS = 20


def read_product_leathers(fields: Fields, t: float | None, of: str) -> tuple[ProductLeather, ...]:
    """The leathers of a project. `t` is the thickness of the one called `of`, and of all where none is.

    Of the others, and of all where neither `t` nor `of` is given, it is the middle of what the file states; None where
    it states none. A leather that is called `of` has no other thickness than `t`: it is that of a hide.
    """
    rows = fields.items("leather", ())
    if len(rows) > MOST_LEATHERS:
        raise fields.wrong("leather", f"holds {len(rows)} tables", f"at most {MOST_LEATHERS}")
    found: list[ProductLeather] = []
    for index, row in enumerate(rows, 1):
        table = Fields.of(row, FIELDS, fields.where, f"leather {index}")
        name = table.text("name")
        table = Fields(table.data, fields.where, f"leather “{name}”")
        own = None
        if table.has("thickness"):
            with table.reading("thickness") as value:
                own = thickness(value).middle
        told = t if of == name or (not of and t is not None) else own
        found.append(ProductLeather(name, table.text("leather", name), told))
        if any(other.name == name for other in found[:-1]):
            raise fields.wrong("leather", f"two are named “{name}”", "give each its own name")
    if of and all(leather.name != of for leather in found):
        known = [leather.name for leather in found] or ["none: write [[leather]] tables"]
        raise unknown(f"leather “{of}”", of, known).within(fields.where, "leather")
    return tuple(found)


def measures_of(leathers: Sequence[ProductLeather], table: object, measures: Measures, where: str) -> Measures:
    """The lengths of a piece, in which `t` is the thickness of the leather it is of."""
    if not isinstance(table, Mapping) or not (leathers or table.get("leather") is not None):
        return measures.of_thickness(measures.t)
    fields = Fields(table, where, f"piece “{table.get('name')}”")
    known = [leather.name for leather in leathers]
    name = fields.text("leather", known[0] if known else None)
    if name not in known:
        options = known or ["none: write [[leather]] tables"]
        raise unknown(f"leather “{name}”", name, options).within(where, f"{fields.path}.leather")
    return measures.of_thickness(leathers[known.index(name)].t)


def of_leather(pieces: Sequence[Piece], leathers: Sequence[ProductLeather]) -> tuple[Piece, ...]:
    """The pieces, those that name no leather being of the first."""
    first = leathers[0].name if leathers else ""
    return tuple(replace(piece, leather=piece.leather or first) for piece in pieces)


def with_own_thickness(joint: Joint, pieces: Sequence[Piece], leathers: Sequence[ProductLeather]) -> Joint:
    """A joint whose layers are each as thick as the leather of their piece, where that is known."""
    if not leathers:
        return joint
    t = {leather.name: leather.t for leather in leathers}
    thick = {piece.name: t[piece.leather] for piece in pieces}
    layers = (replace(each, thickness=thick[each.piece]) if each.piece else each for each in joint.layers)
    return replace(joint, layers=tuple(layers))


def leathers_for(leathers: Sequence[ProductLeather], hide: Hide, asked: Sequence[str], where: str) -> tuple[str, ...]:
    """Which of a product's leathers are laid on a hide: those asked for, else those that the hide is called.

    Raises InputError where the hide is called by none of them, and where one is asked for that the product has not.
    """
    known = [leather.name for leather in leathers]
    for name in asked:
        if name not in known:
            options = known or ["none: the project has no [[leather]] tables"]
            raise unknown(f"leather “{name}”", name, options).within(where="--leather")
    if asked or not known:
        return tuple(asked)
    own = hide.leather.casefold()
    called = [leather.name for leather in leathers if own in (leather.called.casefold(), leather.name.casefold())]
    if called or len(known) == 1:
        return tuple(called or known)
    is_of = f"is of “{hide.leather}”" if hide.leather else "does not say of which leather it is"
    raise InputError(
        f"hide “{hide.name}” {is_of}, and the product is made of {', '.join(known)}",
        where=where,
        field="leather",
        remedy=f'say which to lay: --leather "{known[0]}"',
    )
