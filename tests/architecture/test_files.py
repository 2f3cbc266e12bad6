"""Files have one subject and functions do one thing."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LONGEST_FILE = 400
LONGEST_FUNCTION = 50
FORBIDDEN = {"utils", "helpers", "misc", "services"}
CODE = sorted(
    path
    for folder in ("logbook", "api", "tests")
    for path in (ROOT / folder).rglob("*.py")
    if "migrations" not in path.parts
)
PRODUCT = [path for path in CODE if path.parts[len(ROOT.parts)] != "tests"]


def shown(path: Path) -> str:
    return str(path.relative_to(ROOT))


def functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node


def length_of(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Return the lines of a function without its docstring."""
    lines = (function.end_lineno or 0) - function.lineno + 1
    first = function.body[0]
    if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
        lines -= (first.end_lineno or 0) - first.lineno + 1
    return lines


def test_no_file_is_too_long() -> None:
    lengths = {shown(path): len(path.read_text().splitlines()) for path in CODE}
    assert {name: lines for name, lines in lengths.items() if lines > LONGEST_FILE} == {}


def test_no_function_is_too_long() -> None:
    lengths = {f"{shown(path)}: {one.name}": length_of(one) for path in PRODUCT for one in functions(path)}
    assert {name: lines for name, lines in lengths.items() if lines > LONGEST_FUNCTION} == {}


def test_every_name_says_what_is_in_it() -> None:
    parts = {shown(path): {path.stem, *path.relative_to(ROOT).parts[:-1]} for path in PRODUCT}
    assert [name for name, found in parts.items() if found & FORBIDDEN] == []


def test_importing_the_package_loads_nothing() -> None:
    assert (ROOT / "logbook" / "__init__.py").read_text().strip() == ""
