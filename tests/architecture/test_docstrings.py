"""The core says what goes in, what comes out and what goes wrong; every module says its subject."""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
import textwrap
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import logbook.core

ROOT = Path(__file__).resolve().parents[2]
MODULES = sorted(
    path
    for folder in ("logbook", "api")
    for path in (ROOT / folder).rglob("*.py")
    if "migrations" not in path.parts
)
EMPTY = {ROOT / "logbook" / "__init__.py"}
# Folders that Django needs and that hold nothing of their own.
PLUMBING = {"management", "commands", "templatetags"}


def is_plumbing(path: Path) -> bool:
    return path.name == "__init__.py" and path.parent.name in PLUMBING and not path.read_text().strip()


def test_every_module_says_its_subject() -> None:
    silent = [
        str(path.relative_to(ROOT))
        for path in MODULES
        if path not in EMPTY and not is_plumbing(path) and not ast.get_docstring(ast.parse(path.read_text()))
    ]
    assert silent == []


def public_functions() -> dict[str, Callable[..., Any]]:
    """Return the functions each part of the core offers to the rest of the product."""
    found = {}
    for part in pkgutil.iter_modules(logbook.core.__path__, "logbook.core."):
        module = importlib.import_module(part.name)
        names = getattr(module, "__all__", [name for name in vars(module) if not name.startswith("_")])
        for name in names:
            thing = getattr(module, name)
            if inspect.isfunction(thing) and thing.__module__.startswith(part.name):
                found[f"{part.name}.{name}"] = thing
    return found


PUBLIC = public_functions()


def raises(function: Callable[..., Any]) -> bool:
    tree = ast.parse(textwrap.dedent(inspect.getsource(function)))
    return any(isinstance(node, ast.Raise) for node in ast.walk(tree))


def test_the_core_offers_functions() -> None:
    assert len(PUBLIC) > 30


@pytest.mark.parametrize("function", PUBLIC.values(), ids=PUBLIC)
def test_a_public_function_of_the_core_names_its_sections(function: Callable[..., Any]) -> None:
    text = inspect.getdoc(function) or ""
    signature = inspect.signature(function)
    wanted = {
        "Parameters": bool(signature.parameters),
        "Returns": signature.return_annotation not in ("None", None),
        "Raises": raises(function),
    }
    assert [name for name, is_wanted in wanted.items() if is_wanted and f"{name}\n----" not in text] == []
