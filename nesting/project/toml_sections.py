"""A TOML text cut into its sections, byte for byte: the root, and what follows each `[header]` or `[[header]]`.

Put together again they are the text. A change to one section so leaves all others as they were written.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

Path = tuple[str | int, ...]
"""The way to a value: names of fields and numbers (from 0) of items."""


@dataclass(frozen=True)
class Section:
    """One section: comments and blank lines above its header (`lead`), the `header` line (empty for the root), its
    fields (`body`), and blank lines and comments after the last of them (`tail`). `path` is where it stands.
    """

    path: Path
    header: str
    body: str
    lead: str = ""
    tail: str = ""

    @property
    def text(self) -> str:
        """The section as it is written."""
        return self.lead + self.header + self.body + self.tail

    def within(self, path: Path) -> bool:
        """Whether it stands at the path or below it."""
        return self.path[: len(path)] == path


def sections_of(text: str) -> list[Section]:
    """The sections of a TOML text that can be read, the root first."""
    lines = text.splitlines(keepends=True)
    heads = list(_header_lines(lines))
    ends = [*heads, len(lines)]
    found = [_section((), "", lines[: ends[0]])]
    counts: dict[Path, int] = {}
    for start, end in zip(heads, ends[1:], strict=True):
        found.append(_section(_place(lines[start], counts), lines[start], lines[start + 1 : end]))
    return _with_leads(found)


def text_of(sections: Sequence[Section]) -> str:
    """The text the sections were cut from."""
    return "".join(section.text for section in sections)


def _section(path: Path, header: str, lines: Sequence[str]) -> Section:
    last = len(lines)
    while last and (not lines[last - 1].strip() or lines[last - 1].lstrip().startswith("#")):
        last -= 1
    return Section(path, header, "".join(lines[:last]), "", "".join(lines[last:]))


def _with_leads(sections: list[Section]) -> list[Section]:
    """What stands between two sections is above the second, but for comments right under the first's fields."""
    for i in range(len(sections) - 1):
        lines = sections[i].tail.splitlines(keepends=True)
        blank = next((n for n, line in enumerate(lines) if not line.strip()), None if sections[i].body else 0)
        own = len(lines) if blank is None and i == 0 and not sections[i].body else (blank if blank is not None else 0)
        sections[i] = replace(sections[i], tail="".join(lines[:own]))
        sections[i + 1] = replace(sections[i + 1], lead="".join(lines[own:]))
    return sections


def _place(header: str, counts: dict[Path, int]) -> Path:
    """The path of a header; `counts` holds how many items each list of tables has so far."""
    many = header.lstrip().startswith("[[")
    table: Any = tomllib.loads(header)
    names: list[str] = []
    while table:
        name, table = next(iter(table.items()))
        names.append(name)
        table = table[0] if isinstance(table, list) else table
    path: Path = ()
    for i, name in enumerate(names):
        path = (*path, name)
        if many and i == len(names) - 1:
            counts[path] = counts.get(path, 0) + 1
            for below in [each for each in counts if len(each) > len(path) and each[: len(path)] == path]:
                del counts[below]
        if path in counts:
            path = (*path, counts[path] - 1)
    return path


def _header_lines(lines: Sequence[str]) -> Iterator[int]:
    """The numbers of the lines that are headers: a bracket first on a line, outside every value."""
    depth, quote = 0, ""
    for number, line in enumerate(lines):
        if not depth and not quote and line.lstrip().startswith("["):
            yield number
            continue
        depth, quote = _scanned(line, depth, quote)


def _scanned(line: str, depth: int, quote: str) -> tuple[int, str]:
    """How deep in brackets, and in which quotes, a line ends that begins so."""
    i = 0
    while i < len(line):
        if quote:
            if quote[0] == '"' and line[i] == "\\":
                i += 2
                continue
            if line.startswith(quote, i):
                i += len(quote)
                # up to two further quotes belong to the text that three of them end
                while len(quote) == 3 and i < len(line) and line[i] == quote[0]:
                    i += 1
                quote = ""
                continue
        elif line[i] in "\"'":
            quote = line[i] * 3 if line.startswith(line[i] * 3, i) else line[i]
            i += len(quote)
            continue
        elif line[i] == "#":
            break
        else:
            depth += (line[i] in "[{") - (line[i] in "]}")
        i += 1
    return depth, quote if len(quote) == 3 else ""
