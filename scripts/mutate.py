"""Changes one thing at a time in check, bound, stock and units and asks whether the tests of that module notice.

`python -m scripts.mutate --most 40` tries a sample (fixed by --seed), prints the score and what was not noticed. Each
change is made in a copy of the tree, never here.
"""

from __future__ import annotations

import argparse
import ast
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
TESTS = {
    "nesting/check": ["test_check.py", "test_places.py", "test_slips.py"],
    "nesting/bound": ["test_bound.py", "test_tight.py", "test_slips.py"],
    "nesting/stock": ["test_stock_command.py", "test_slips.py"],
    "hides/stock": ["test_stock.py", "test_stock_files.py", "test_slips.py", "test_ledger.py"],
    "hides/units.py": ["test_units.py"],
}
OTHER = {ast.Lt: "<=", ast.LtE: "<", ast.Gt: ">=", ast.GtE: ">", ast.Eq: "!=", ast.NotEq: "==",
         ast.Add: "-", ast.Sub: "+", ast.Mult: "/", ast.Div: "*", ast.And: "or", ast.Or: "and"}  # fmt: skip


def mutants(path: Path) -> Iterator[tuple[int, str]]:
    """Line and whole text of the file, with one operator or number changed."""
    text = path.read_text(encoding="utf-8")
    for node in ast.walk(ast.parse(text)):
        for changed in _changed(node):
            yield node.lineno, _put(text, node, changed)  # type: ignore[attr-defined]


def _changed(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Compare) and len(node.ops) == 1 and type(node.ops[0]) in OTHER:
        yield f"({ast.unparse(node.left)} {OTHER[type(node.ops[0])]} {ast.unparse(node.comparators[0])})"
    elif isinstance(node, ast.BinOp) and type(node.op) in OTHER:
        yield f"({ast.unparse(node.left)} {OTHER[type(node.op)]} {ast.unparse(node.right)})"
    elif isinstance(node, ast.BoolOp):
        yield "(" + f" {OTHER[type(node.op)]} ".join(f"({ast.unparse(v)})" for v in node.values) + ")"
    elif isinstance(node, ast.Constant) and type(node.value) in (int, float):
        yield repr(node.value + 1)


def _put(text: str, node: ast.AST, changed: str) -> str:
    """The text with a node's source replaced (columns are counted in bytes of UTF-8)."""
    lines = text.encode().splitlines(keepends=True)
    first, last = node.lineno - 1, node.end_lineno - 1  # type: ignore[attr-defined]
    head, tail = lines[first][: node.col_offset], lines[last][node.end_col_offset :]  # type: ignore[attr-defined]
    return b"".join([*lines[:first], head + changed.encode() + tail, *lines[last + 1 :]]).decode()


def noticed(tree: Path, tests: list[str]) -> bool:
    """Whether a test fails in the tree."""
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *(f"tests/{t}" for t in tests)]
    try:
        return subprocess.run(command, cwd=tree, capture_output=True, timeout=300, check=False).returncode != 0
    except subprocess.TimeoutExpired:
        return True


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--most", type=int, default=40, help="so many changes [40]")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="only files whose path begins so")
    options = parser.parse_args()
    found = [
        (path, line, text, tests)
        for place, tests in TESTS.items()
        for path in (sorted((ROOT / place).rglob("*.py")) if (ROOT / place).is_dir() else [ROOT / place])
        if str(path.relative_to(ROOT)).startswith(options.only)
        for line, text in mutants(path)
    ]
    sample = random.Random(options.seed).sample(found, min(options.most, len(found)))
    missed = 0
    with tempfile.TemporaryDirectory() as place:
        tree = Path(place) / "tree"
        shutil.copytree(ROOT, tree, ignore=shutil.ignore_patterns(".git", ".venv", "bench-out"))
        for path, line, text, tests in sample:
            copy = tree / path.relative_to(ROOT)
            before = copy.read_text(encoding="utf-8")
            copy.write_text(text, encoding="utf-8")
            if not noticed(tree, tests):
                missed += 1
                print(f"not noticed: {path.relative_to(ROOT)}:{line}: {_line(text, before)}", flush=True)
            copy.write_text(before, encoding="utf-8")
    print(f"{len(sample) - missed} of {len(sample)} changes noticed ({len(found)} are possible)")


def _line(text: str, before: str) -> str:
    changed = [a for a, b in zip(text.splitlines(), before.splitlines(), strict=False) if a != b]
    return changed[0].strip() if changed else ""


if __name__ == "__main__":
    main()
