"""A hide as the register keeps it: the text of its hide file, the same text for the same hide, with its digest."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass

from hides.errors import InputError
from hides.hide import Hide
from hides.hide_file import hide_from_data, hide_to_data
from hides.stock.money import Value, priced
from hides.stock.values import Status, StockHide


def text_of(hide: Hide) -> str:
    """The content of the hide's file in one fixed form, proven to be readable. InputError where it is not."""
    settled = hide_from_data(hide_to_data(hide), f"hide “{hide.name}”")
    return json.dumps(hide_to_data(settled), ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def digest_of(text: str) -> str:
    """SHA-256 of a content, in hexadecimal digits."""
    return hashlib.sha256(text.encode(errors="replace")).hexdigest()


@dataclass(frozen=True)
class Row:
    """One hide of the register as it is stored; its content may turn out to be damaged."""

    id: int
    name: str
    digest: str
    content: str
    source: str
    parent: int
    status: Status
    value: Value | None = None
    reserved: str = ""
    note: str = ""

    @property
    def sound(self) -> bool:
        """Whether the content is still the one that was added."""
        return isinstance(self.content, str) and digest_of(self.content) == self.digest

    def read(self, where: str) -> StockHide:
        """The hide itself. InputError names the register (`where`) and the hide if its content is damaged."""
        hide = priced(self._hide(where), self.value)
        return StockHide(self.id, hide, self.status, self.source, self.parent, self.value, self.reserved, self.note)

    def _hide(self, where: str) -> Hide:
        place = f"{where}, hide “{self.name}” (number {self.id})"
        remedy = f"add its file again to mend it, or take it out (“hideplan stock take {self.id}”)"
        if not self.sound:
            raise InputError("its content in the register is damaged", where=place, remedy=remedy)
        return hide_from_data(json.loads(self.content), place)
