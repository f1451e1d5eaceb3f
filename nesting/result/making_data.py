"""What a layout file keeps of a product's making: joints, fasteners, edges and speeds, so that bench cards can be made
from a layout alone; lengths in mm. Prices are not kept: a layout goes from hand to hand.
"""

from __future__ import annotations

from typing import Any

from hides.fields import Fields
from hides.units import FILE_UNITS
from nesting.model.making import (
    ENTERS,
    FACES,
    KINDS,
    Care,
    EdgeWork,
    Fastener,
    Joint,
    Labour,
    Layer,
    Making,
    Size,
)
from nesting.model.product import Product

MAKING = ("product", "units", "ounces", "joints", "fasteners", "edges", "labour", "hangs")
JOINT = ("name", "layers", "fastener", "count", "seam", "pitch", "enters")
LAYER = ("piece", "groups", "pieces", "plies", "thickness", "turned")
FASTENER = ("name", "kind", "sizes", "share", "proud", "hole", "tail", "edge")
SIZE = ("name", "length", "grip")
EDGE = ("name", "pieces", "faces", "inset", "speed")
SPEEDS = ("cut", "edge", "edges", "sewing", "hole", "fastener", "assembly", "setup")
MOST = 1e6


def making_to_data(product: Product) -> dict[str, Any]:
    """A product's making as a layout file holds it; empty where it has none."""
    making = product.making
    told = {
        "joints": [_joint(joint) for joint in making.joints],
        "fasteners": [_fastener(fastener) for fastener in making.fasteners],
        "edges": [_given(vars(work)) for work in making.edges],
        "labour": _given({name: getattr(making.labour, name) for name in SPEEDS}) if making.labour else {},
        "hangs": making.care.hangs,
    }
    kept = {name: value for name, value in told.items() if value}
    look = {"units": product.units} | ({"ounces": True} if product.ounces else {})
    return {"product": product.name, **look, **kept} if kept or look != {"units": "mm"} else {}


def making_from_data(data: object, where: str, path: str) -> tuple[str, str, bool, Making]:
    """A product's name, the units its file speaks, whether it speaks of ounces, and its making."""
    fields = Fields.of(data, MAKING, where, path)
    making = Making(
        joints=tuple(_read_joint(each, where, f"{path}.joints[{i}]") for i, each in enumerate(_list(fields, "joints"))),
        fasteners=tuple(
            _read_fastener(each, where, f"{path}.fasteners[{i}]") for i, each in enumerate(_list(fields, "fasteners"))
        ),
        edges=tuple(_read_edge(each, where, f"{path}.edges[{i}]") for i, each in enumerate(_list(fields, "edges"))),
        labour=_read_labour(fields.required("labour"), where, f"{path}.labour") if fields.has("labour") else None,
        care=Care(fields.flag("hangs", False)),
    )
    return fields.text("product"), fields.choice("units", FILE_UNITS, "mm"), fields.flag("ounces", False), making


def _given(values: dict[str, Any]) -> dict[str, Any]:
    """Only what is given, numbers to a millionth."""
    plain = {name: list(value) if isinstance(value, tuple) else value for name, value in values.items()}
    return {
        name: round(value, 6) if isinstance(value, float) else value
        for name, value in plain.items()
        if value not in (None, "", [], False)
    }


def _joint(joint: Joint) -> dict[str, Any]:
    layers = [_given(vars(layer)) for layer in joint.layers]
    own = {name: getattr(joint, name) for name in JOINT if name not in ("layers", "enters")}
    back = {"enters": joint.enters} if joint.enters != ENTERS[0] else {}
    return {**_given(own), "layers": layers, **back}


def _fastener(fastener: Fastener) -> dict[str, Any]:
    own = {name: getattr(fastener, name) for name in FASTENER if name != "sizes"}
    sizes = [_given({name: getattr(size, name) for name in SIZE}) for size in fastener.sizes]
    return {**_given(own), "sizes": sizes}


def _list(fields: Fields, name: str) -> Any:
    return fields.items(name, ())


def _number(fields: Fields, name: str, default: float | None = None) -> float | None:
    return fields.number(name, low=0, high=MOST) if fields.has(name) else default


def _pair(fields: Fields, name: str) -> tuple[float, float] | None:
    if not fields.has(name):
        return None
    values = fields.items(name)
    if len(values) != 2:
        raise fields.wrong(name, f"holds {len(values)} numbers", "give two")
    each = Fields(dict(zip(("[0]", "[1]"), values, strict=True)), fields.where, f"{fields.path}.{name}")
    return each.number("[0]"), each.number("[1]")


def _names(fields: Fields, name: str) -> tuple[str, ...]:
    values = {f"[{i}]": each for i, each in enumerate(_list(fields, name))}
    each = Fields(values, fields.where, f"{fields.path}.{name}")
    return tuple(each.text(key) for key in values)


def _read_joint(data: object, where: str, path: str) -> Joint:
    fields = Fields.of(data, JOINT, where, path)
    layers = tuple(_read_layer(each, where, f"{path}.layers[{i}]") for i, each in enumerate(fields.items("layers")))
    return Joint(
        name=fields.text("name"),
        layers=layers,
        fastener=fields.text("fastener", ""),
        count=fields.whole("count", 1, low=1, high=10_000),
        seam=_number(fields, "seam"),
        pitch=_number(fields, "pitch"),
        enters=fields.choice("enters", ENTERS, ENTERS[0]),
    )


def _read_layer(data: object, where: str, path: str) -> Layer:
    fields = Fields.of(data, LAYER, where, path)
    return Layer(
        piece=fields.text("piece", ""),
        groups=_names(fields, "groups"),
        pieces=fields.whole("pieces", 1, low=1, high=10_000),
        plies=fields.whole("plies", 1, low=1, high=20),
        thickness=_number(fields, "thickness"),
        turned=fields.flag("turned", False),
    )


def _read_fastener(data: object, where: str, path: str) -> Fastener:
    fields = Fields.of(data, FASTENER, where, path)
    sizes = [Fields.of(each, SIZE, where, f"{path}.sizes[{i}]") for i, each in enumerate(fields.items("sizes"))]
    return Fastener(
        name=fields.text("name"),
        kind=fields.choice("kind", KINDS),
        sizes=tuple(Size(each.text("name"), _number(each, "length"), _pair(each, "grip")) for each in sizes),
        share=_pair(fields, "share"),
        proud=_number(fields, "proud", Fastener.proud) or Fastener.proud,
        hole=_number(fields, "hole"),
        tail=_number(fields, "tail", 0.0) or 0.0,
        edge=_number(fields, "edge"),
    )


def _read_edge(data: object, where: str, path: str) -> EdgeWork:
    fields = Fields.of(data, EDGE, where, path)
    return EdgeWork(
        name=fields.text("name"),
        pieces=_names(fields, "pieces"),
        faces=fields.choice("faces", FACES, FACES[0]),
        inset=_number(fields, "inset"),
        speed=_number(fields, "speed"),
    )


def _read_labour(data: object, where: str, path: str) -> Labour:
    fields = Fields.of(data, SPEEDS, where, path)
    return Labour(
        rate=0.0,
        cut=_number(fields, "cut"),
        edge=_number(fields, "edge"),
        edges=_names(fields, "edges") if fields.has("edges") else None,
        sewing=_number(fields, "sewing"),
        hole=fields.number("hole", 0.0, low=0, high=MOST),
        fastener=fields.number("fastener", 0.0, low=0, high=MOST),
        assembly=fields.number("assembly", 0.0, low=0, high=MOST),
        setup=fields.number("setup", 0.0, low=0, high=MOST),
    )
