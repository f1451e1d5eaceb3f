"""Which elements of an SVG file are displayed: by attribute, inline style, and the plain rules of its style sheets.

The cascade is that of CSS 2 for selectors of one class (`.x`) or one id (`#x`): an inline style comes before an id, an
id before a class, a later rule before an earlier one, all before an attribute. Rules of another form are not obeyed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from xml.etree.ElementTree import Element

HIDING = {"display": ("none",), "visibility": ("hidden", "collapse")}
"""The properties that hide an element, and the values that do."""

_COMMENT = re.compile(r"/\*.*?\*/|<!--|-->", re.DOTALL)
_RULE = re.compile(r"([^{}]*)\{([^{}]*)\}")
_PLAIN = re.compile(r"[.#][\w-]+")


class StyleSheet:
    """The plain rules of an SVG's style sheets on what is displayed. `unread`: there are others about it."""

    def __init__(self, sheets: Iterable[Element]) -> None:
        self.unread, self._told = False, 0
        self._rules: dict[str, dict[str, tuple[int, str]]] = {name: {} for name in HIDING}
        for sheet in sheets:
            other = sheet.get("media", "all").strip() not in ("", "all", "screen")
            self._take(f"{'@media' if other else ''} {_COMMENT.sub(' ', sheet.text or '')}")

    def hides(self, element: Element) -> bool:
        """Whether an element, with all it holds, is not displayed."""
        return any(self._value(element, name) in hiding for name, hiding in HIDING.items())

    def _take(self, text: str) -> None:
        if "@" in text:  # rules for print or for narrow screens, whole sheets elsewhere
            self.unread = self.unread or any(name in text for name in HIDING) or "@import" in text
            return
        for selectors, body in _RULE.findall(text):
            for name, value in _declared(body):
                for selector in map(str.strip, selectors.split(",")):
                    self._told += 1
                    self._rules[name][selector] = (self._told, value)
                    self.unread = self.unread or not _PLAIN.fullmatch(selector)

    def _value(self, element: Element, name: str) -> str:
        inline = dict(_declared(element.get("style", ""))).get(name)
        if inline is not None:
            return inline
        rules = self._rules[name]
        by_id = rules.get(f"#{element.get('id')}")
        by_class = [rules[each] for word in element.get("class", "").split() if (each := f".{word}") in rules]
        found = [by_id] if by_id else by_class
        return max(found)[1] if found else element.get(name, "").strip().lower()


def _declared(text: str) -> Iterator[tuple[str, str]]:
    """The properties of a style that may hide, and their values."""
    for each in text.split(";"):
        name, _, value = each.partition(":")
        if name.strip().lower() in HIDING:
            yield name.strip().lower(), value.replace("!important", "").strip().lower()
