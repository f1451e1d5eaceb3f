"""One small thing of a file changed: an operator, a number, a word of logic."""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import CodeType

ROOT = Path(__file__).resolve().parents[2]
OTHER: dict[type, type] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Add: ast.Sub, ast.Sub: ast.Add,
    ast.Mult: ast.Div, ast.Div: ast.Mult, ast.And: ast.Or, ast.Or: ast.And, ast.USub: ast.UAdd,
}  # fmt: skip
NAMES = {"min": "max", "max": "min", "any": "all", "all": "any"}


@dataclass(frozen=True)
class Change:
    """One thing changed in a file of the checkout. `number` counts like changes of like lines of the file."""

    path: str
    lines: tuple[int, ...]  # of the changed expression, then of its statement
    text: str  # of the first line
    what: str  # before => after
    number: int
    function: str | None  # the function or method at the module's top level that it stands in
    code: CodeType  # of the whole changed file

    @property
    def key(self) -> str:
        """What names the change where lines above it come and go."""
        return f"{self.path} | {self.text} | {self.what} | {self.number}"


def changes(path: Path) -> Iterator[Change]:
    """Every change of a file, in the order of its lines."""
    text = path.read_text(encoding="utf-8")
    name = str(path.relative_to(ROOT))
    tree = ast.parse(text)
    seen: Counter[tuple[str, str]] = Counter()
    for node, lines, function in _places(tree):
        for apply in _ways(node):
            before = _words(node)
            undo = apply()
            line = text.splitlines()[lines[0] - 1].strip()
            what = f"{before} => {_words(node)}"
            yield Change(name, lines, line, what, seen[line, what], function, compile(tree, str(path), "exec"))
            seen[line, what] += 1
            undo()


def _words(node: ast.AST) -> str:
    return " ".join(ast.unparse(node).split())


def _places(tree: ast.Module) -> list[tuple[ast.AST, tuple[int, ...], str | None]]:
    """Nodes with their lines and the function they run in; what runs when the module is loaded has none."""
    found: list[tuple[ast.AST, tuple[int, ...], str | None]] = []

    def walk(node: ast.AST, expression: ast.AST, statement: ast.stmt | None, function: str | None, prefix: str) -> None:
        if isinstance(node, ast.stmt):
            statement = node
        elif isinstance(expression, ast.stmt) or not isinstance(expression, ast.JoinedStr):
            # expressions within an f-string bear no places of their own
            expression = node if hasattr(node, "lineno") else expression
        if statement is not None:
            found.append((node, _lines(expression, statement), function))
        for field, value in ast.iter_fields(node):
            for child in value if isinstance(value, list) else [value]:
                if not isinstance(child, ast.AST) or field in ("annotation", "returns"):
                    continue
                inside, path = function, prefix
                if field == "body" and function is None and isinstance(node, ast.FunctionDef):
                    inside = prefix + node.name
                elif field == "body" and isinstance(node, ast.ClassDef):
                    path = f"{prefix}{node.name}."
                walk(child, expression if not isinstance(child, ast.stmt) else child, statement, inside, path)

    walk(tree, tree, None, None, "")
    return found


def _lines(expression: ast.AST, statement: ast.stmt) -> tuple[int, ...]:
    place = expression if hasattr(expression, "lineno") else statement
    first, last = place.lineno, place.end_lineno or place.lineno  # type: ignore[attr-defined]
    return (*range(first, last + 1), statement.lineno)


def _ways(node: ast.AST) -> Iterator[Callable[[], Callable[[], None]]]:
    if isinstance(node, ast.Compare):
        for at, op in enumerate(node.ops):
            if type(op) in OTHER:
                yield lambda at=at: _item(node.ops, at, OTHER[type(node.ops[at])]())
    elif isinstance(node, (ast.BinOp, ast.BoolOp, ast.UnaryOp)) and type(node.op) in OTHER:
        yield lambda: _attribute(node, "op", OTHER[type(node.op)]())
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        yield lambda: _attribute(node, "operand", ast.copy_location(ast.UnaryOp(ast.Not(), node.operand), node))
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield lambda: _attribute(node, "value", not node.value)
    elif isinstance(node, ast.Constant) and type(node.value) in (int, float):
        yield lambda: _attribute(node, "value", node.value + 1)
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in NAMES:
        name = node.func
        yield lambda: _attribute(name, "id", NAMES[name.id])


def _attribute(node: ast.AST, name: str, value: object) -> Callable[[], None]:
    before = getattr(node, name)
    setattr(node, name, value)
    return lambda: setattr(node, name, before)


def _item(items: list[ast.cmpop], at: int, value: ast.cmpop) -> Callable[[], None]:
    before = items[at]
    items[at] = value
    return lambda: items.__setitem__(at, before)
