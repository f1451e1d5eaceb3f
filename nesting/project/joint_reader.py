"""The `[[joint]]` tables of a project file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from hides.errors import InputError
from hides.fields import Fields, told, unknown
from nesting.model.making import ENTERS, Fastener, Joint, Layer
from nesting.model.product import Piece
from nesting.project.measures import Measures
from nesting.project.named import piece_named

MOST_LAYERS = 40
MOST_HOLES = 200
FIELDS = ("name", "layers", "fastener", "count", "tolerance", "seam", "pitch", "when", "enters")


def read_joint(
    row: object, index: int, measures: Measures, pieces: Sequence[Piece], fasteners: Sequence[Fastener], where: str
) -> Joint:
    """One joint; its pieces, their groups of holes and its fastener must be there."""
    fields = Fields.of(row, FIELDS, where, f"joint {index}")
    name = fields.text("name")
    fields = Fields(fields.data, where, f"joint “{name}”")
    fastener = _fastener(fields, fasteners)
    seam, pitch = _seam(fields, measures, fastener)
    layers = _layers(fields, measures, pieces, seam is not None)
    return Joint(
        name=name,
        layers=layers,
        fastener=fastener.name if fastener else "",
        count=measures.whole(fields, "count", 1, 1, 10_000),
        tolerance=_tolerance(fields, measures),
        seam=seam,
        pitch=pitch,
        enters=fields.choice("enters", ENTERS, ENTERS[0]),
    )


def refuse_overuse(joints: Sequence[Joint], pieces: Sequence[Piece], where: str) -> None:
    """Every hole takes one fastener: no group may be used by more joints than there are pieces that have it."""
    counts = {piece.name: piece.count for piece in pieces}
    used: Counter[tuple[str, str]] = Counter()
    for joint in joints:
        for layer in joint.layers:
            for group in layer.groups if joint.fastener else ():
                used[layer.piece, group] += layer.pieces * joint.count
                if used[layer.piece, group] > counts[layer.piece]:
                    raise InputError(
                        f"takes the holes “{group}” of {used[layer.piece, group]} pieces “{layer.piece}”, "
                        f"all joints together, and a product has {counts[layer.piece]}",
                        where=where,
                        field=f"joint “{joint.name}”",
                        remedy="look at its count, or give holes that join elsewhere a group of their own",
                    )


def holes_of(layer: Layer, piece: Piece) -> list[tuple[float, float]]:
    """Where the holes of a layer's groups lie on one piece, in the piece's frame."""
    return [hole.at for hole in piece.holes if hole.group in layer.groups]


def _fastener(fields: Fields, fasteners: Sequence[Fastener]) -> Fastener | None:
    if not fields.has("fastener"):
        return None
    name = fields.text("fastener")
    found = next((each for each in fasteners if each.name == name), None)
    if found is None:
        known = [each.name for each in fasteners] or ["none: write a [[fastener]] table"]
        raise unknown(f"fastener “{name}”", name, known).within(fields.where, f"{fields.path}.fastener")
    return found


def _seam(fields: Fields, measures: Measures, fastener: Fastener | None) -> tuple[float | None, float | None]:
    if not fields.has("seam"):
        if fields.has("pitch"):
            raise fields.wrong("pitch", "belongs to a seam", "add the seam's length, or leave it out")
        return None, None
    if fastener is None or fastener.kind != "thread":
        raise fields.wrong("seam", "needs a fastener of the kind thread", "name one, or give the layers' hole groups")
    with fields.reading("seam") as value:
        seam = measures.size(value)
    with fields.reading("pitch") as value:
        pitch = measures.size(value)
    if pitch > seam:
        raise fields.wrong("pitch", f"{pitch:g} mm is longer than the seam", "give the distance from stitch to stitch")
    return seam, pitch


def _tolerance(fields: Fields, measures: Measures) -> float:
    if not fields.has("tolerance"):
        return Joint.tolerance
    with fields.reading("tolerance") as value:
        return measures.size(value, 0.001)


def _layers(fields: Fields, measures: Measures, pieces: Sequence[Piece], sewn: bool) -> tuple[Layer, ...]:
    rows = fields.items("layers")
    folded = len(rows) == 1 and isinstance(rows[0], dict) and "ends" in rows[0]
    if not (folded or 2 <= len(rows) <= MOST_LAYERS):
        raise fields.wrong("layers", f"holds {len(rows)} layers", f"give from 2 to {MOST_LAYERS}, front to back")
    read = [_layer(row, i, fields, measures, pieces, sewn) for i, row in enumerate(rows)]
    layers = tuple(layer for each in read for layer in each)
    if not any(layer.piece for layer in layers):
        raise fields.wrong("layers", "holds no piece of the product", "name at least one piece")
    _refuse_unlike(fields, layers, pieces)
    return layers


def _layer(
    row: object, index: int, parent: Fields, measures: Measures, pieces: Sequence[Piece], sewn: bool
) -> tuple[Layer, ...]:
    """A layer; a piece that is folded there so that its `ends` lie on one another gives one for every end."""
    path = f"{parent.path}.layers[{index}]"
    fields = Fields.of(row, ("piece", "holes", "ends", "pieces", "plies", "thickness", "turned"), parent.where, path)
    plies = measures.whole(fields, "plies", 1, 1, 20)
    if not fields.has("piece"):
        return (Layer(plies=plies, thickness=_washer(fields, measures)),)
    if fields.has("thickness"):
        raise fields.wrong("thickness", "cannot stand beside a piece", "a piece is as thick as its leather")
    piece = piece_named(fields, fields.text("piece"), pieces)
    number = measures.whole(fields, "pieces", 1, 1, piece.count)
    if fields.has("ends"):
        return _folded_ends(fields, piece, number)
    groups = () if sewn and not fields.has("holes") else _groups(fields, piece)
    return (Layer(piece.name, groups, number, plies, turned=fields.flag("turned", False)),)


def _folded_ends(fields: Fields, piece: Piece, number: int) -> tuple[Layer, ...]:
    """The plies of a piece whose ends lie on one another, each with its own group of holes, so that all are counted."""
    for name in ("holes", "plies"):
        if fields.has(name):
            raise fields.wrong(name, "cannot stand beside ends", "leave it out: every end is a ply with its own holes")
    ends = fields.items("ends")
    if len(ends) < 2:
        raise fields.wrong("ends", f"names {len(ends)}", 'name the holes of both: ends = ["outer end", "inner end"]')
    names = _groups(Fields({"holes": list(ends)}, fields.where, fields.path), piece, "ends")
    count = {name: sum(hole.group == name for hole in piece.holes) for name in names}
    for name in names[1:]:
        if count[name] != count[names[0]]:
            problem = f"“{names[0]}” has {count[names[0]]} holes and “{name}” has {count[name]}"
            raise fields.wrong("ends", problem, "a fastener goes through both: give them as many")
    return tuple(Layer(piece.name, (name,), number, turned=i % 2 == 1) for i, name in enumerate(names))


def _washer(fields: Fields, measures: Measures) -> float:
    for name in ("holes", "ends", "pieces"):
        if fields.has(name):
            raise fields.wrong(name, "belongs to a piece, and none is named", "add piece, or leave it out")
    with fields.reading("thickness") as value:
        return measures.size(value, 0.01)


def _groups(fields: Fields, piece: Piece, told_as: str = "holes") -> tuple[str, ...]:
    value = fields.required("holes")
    names = [value] if isinstance(value, str) else list(fields.items("holes"))
    known = sorted({hole.group for hole in piece.holes if hole.group})
    if not known:
        raise fields.wrong(told_as, f"piece “{piece.name}” has no holes with a group", "name the group of its holes")
    for name in names:
        if name not in known:
            problem = unknown(f"group {told(name)} of holes in piece “{piece.name}”", str(name), known)
            raise problem.within(fields.where, f"{fields.path}.{told_as}")
    if not names or len(set(names)) < len(names):
        raise fields.wrong(told_as, "is empty or names a group twice", f"name groups once each: {', '.join(known)}")
    return tuple(names)


def _as_many_remedy(number: int, wanted: int) -> str:
    low, high = sorted((number, wanted))
    if low == 0 or high % low:
        return "give the layers as many holes"
    return f"give the layers as many holes, or say how many pieces lie side by side: pieces = {high // low}"


def _refuse_unlike(fields: Fields, layers: Sequence[Layer], pieces: Sequence[Piece]) -> None:
    """All layers of a joint have as many holes."""
    by_name = {piece.name: piece for piece in pieces}
    holes = [(each, len(holes_of(each, by_name[each.piece])) * each.pieces) for each in layers if each.groups]
    for layer, number in holes:
        first, wanted = holes[0]
        if number != wanted:
            raise fields.wrong(
                "layers",
                f"“{layer.piece}” has {number} holes there and “{first.piece}” has {wanted}",
                _as_many_remedy(number, wanted),
            )
        if number > MOST_HOLES:
            raise fields.wrong("layers", f"has {number} holes", f"give at most {MOST_HOLES}; for stitches give a seam")
