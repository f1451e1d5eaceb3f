"""Sentences that the program may say, as they stand in its sources, and the words by which one of them claims."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

CLAIMS = re.compile(
    r"\b(proven?|cannot be|impossible|never|nothing|nowhere|not one|none (?:of|costs|fits)|at any|at most|every|"
    r"each of|the only|alone|always|best|cheapest|shortest|most closely|sound|is right|but right|lost|without end|"
    r"even as|too (?:large|narrow) for|all pieces are|no (?:layout|plan|search|leather|place|strips|product|point|"
    r"distance|better|fewer|less|more|waste|hides?|joint|size))\b",
    re.IGNORECASE,
)
REFUSES = re.compile(r"(Error|Fault|Refusal|unknown|fault|wrong|add_argument|add_parser|add_argument_group|execute)$")
"""Calls whose words refuse what was given, or explain an option: their condition is the branch that they stand in."""
REMEDIES = {"remedy", "help", "problem"}
QUOTED = re.compile(r'"([^"\n]*)"|`([^`\n]*)`')


def claiming(root: Path) -> set[tuple[str, str]]:
    """File and text of everything between quotes that has a word of a claim, but refusals, comments and docstrings.

    What a text is filled with at run time stands as {}.
    """
    readers = {".py": of_python, ".js": of_script, ".html": of_page}
    return {
        (str(path.relative_to(root)), text)
        for top in ("hides", "nesting")
        for path in sorted((root / top).rglob("*"))
        if path.suffix in readers
        for text in map(one_line, readers[path.suffix](path.read_text(encoding="utf-8")))
        if " " in text and CLAIMS.search(text)
    }


def one_line(text: str) -> str:
    return " ".join(text.split())


def of_script(text: str) -> Iterator[str]:
    for line in text.splitlines():
        if not line.lstrip().startswith(("//", "*", "/*")):
            yield from (re.sub(r"\$\{[^}]*\}", "{}", a or b) for a, b in QUOTED.findall(line))


def of_page(text: str) -> Iterator[str]:
    yield from re.findall(r">([^<>]+)<", text)


def of_python(text: str) -> Iterator[str]:
    waiting: list[ast.AST] = [ast.parse(text)]
    while waiting:
        node = waiting.pop()
        if said := _words(node):
            yield said
        if isinstance(node, ast.JoinedStr):
            waiting.extend(part for part in node.values if isinstance(part, ast.FormattedValue))
        elif not _silent(node):
            waiting.extend(ast.iter_child_nodes(node))


def _words(node: ast.AST) -> str:
    if isinstance(node, ast.JoinedStr):
        return "".join(str(v.value) if isinstance(v, ast.Constant) else "{}" for v in node.values)
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


def _silent(node: ast.AST) -> bool:
    """Whether nothing in it is looked at: names, docstrings, refusals of what was given and their remedies."""
    match node:
        case ast.Name() | ast.Attribute() | ast.expr_context() | ast.Import() | ast.ImportFrom() | ast.Raise():
            return True
        case ast.Expr(value=ast.Constant()):
            return True
        case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name)):
            return bool(REFUSES.search(name))
        case ast.keyword(arg=name):
            return name in REMEDIES
        case ast.Assign(targets=[ast.Name(id=name)]):
            return name in REMEDIES
    return False
