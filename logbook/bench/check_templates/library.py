"""The library of check templates, read once from the files beside this module."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from logbook.bench.check_templates.template import CheckTemplate
from logbook.core.graph import dependency_order
from logbook.projects.choices import SubsystemKind

FOLDER = Path(__file__).parent / "data"


@dataclass(frozen=True)
class Library:
    """Check templates by key, each after all it needs."""

    checks: dict[str, CheckTemplate]

    def __iter__(self) -> Iterator[CheckTemplate]:
        return iter(self.checks.values())

    def __len__(self) -> int:
        return len(self.checks)

    def matching(self, *, kind: str = "", text: str = "") -> list[CheckTemplate]:
        """Return those of a kind of subsystem and with ``text`` in key, name or method."""
        wanted = text.casefold()
        return [
            check
            for check in self
            if kind in ("", check.kind) and wanted in f"{check.key} {check.name} {check.method}".casefold()
        ]

    def counts(self) -> dict[str, int]:
        """Return how many checks there are of each kind of subsystem that has any, in the usual order."""
        found = [check.kind for check in self]
        return {kind: found.count(kind) for kind in SubsystemKind.values if kind in found}


def _read() -> Iterator[CheckTemplate]:
    for path in sorted(FOLDER.glob("*.json")):
        content = json.loads(path.read_text(encoding="utf-8"))
        for row in content["checks"]:
            yield CheckTemplate(kind=content["kind"], **row)


def library_of(checks: list[CheckTemplate]) -> Library:
    """Return a library in the order given, as far as dependencies allow.

    Keys twice, unknown needs and circles are refused.
    """
    named = {check.key: check for check in checks}
    if len(named) != len(checks):
        message = "two check templates have the same key"
        raise ValueError(message)
    needs = {key: check.needs for key, check in named.items()}
    place = {key: index for index, key in enumerate(named)}
    return Library({key: named[key] for key in dependency_order(needs, key=place.__getitem__)})


@cache
def library() -> Library:
    """Return the library; the files are read and checked the first time."""
    return library_of(list(_read()))
