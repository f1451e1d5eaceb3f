"""XML parsed without ever expanding an entity or fetching anything."""

from __future__ import annotations

from typing import Any, NoReturn
from xml.etree.ElementTree import Element, TreeBuilder
from xml.parsers import expat

from hides.errors import InputError

MOST_ELEMENTS = 200_000
DEEPEST = 200


def parse_xml(content: bytes) -> Element:
    """The root element of an XML text, names as `{namespace}name`.

    Raises InputError where it is not well-formed, declares an entity, nests deeper than any drawing does, or holds
    more elements than one. A plain DOCTYPE is let be; nothing it names is fetched.
    """
    builder = _Counting()
    parser = expat.ParserCreate(namespace_separator="}")
    parser.buffer_text = True
    parser.StartElementHandler = lambda tag, attributes: builder.start(_name(tag), _attributes(attributes))
    parser.EndElementHandler = lambda tag: builder.end(_name(tag))
    parser.CharacterDataHandler = builder.data
    parser.EntityDeclHandler = _no_entities
    parser.ExternalEntityRefHandler = _no_entities
    try:
        parser.Parse(content, True)
    except (expat.ExpatError, ValueError, LookupError) as error:
        reason = " ".join(str(error).split())
        raise InputError(f"is not well-formed XML ({reason})", remedy="see whether the file is whole") from error
    return builder.close()


class _Counting(TreeBuilder):
    def __init__(self) -> None:
        super().__init__()
        self.count = self.depth = 0

    def start(self, tag: str, attrs: dict[str, str], /) -> Element:
        self.count, self.depth = self.count + 1, self.depth + 1
        if self.count > MOST_ELEMENTS or self.depth > DEEPEST:
            raise InputError(
                f"holds more than {MOST_ELEMENTS} elements or nests deeper than {DEEPEST}", remedy="simplify it"
            )
        return super().start(tag, attrs)

    def end(self, tag: str, /) -> Element:
        self.depth -= 1
        return super().end(tag)


def _name(name: str) -> str:
    return "{" + name if "}" in name else name


def _attributes(attributes: dict[str, str]) -> dict[str, str]:
    return {_name(name): value for name, value in attributes.items()}


def _no_entities(*_: Any) -> NoReturn:
    raise InputError("declares XML entities", remedy="save it as plain SVG without them")
