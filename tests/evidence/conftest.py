"""Fixtures of the tests of evidence."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any, Protocol

import pytest
from pytest_django import Settings

from logbook.evidence.commands import add_evidence
from logbook.evidence.models import Evidence
from tests.builders import Bench


class Adder(Protocol):
    """Adds a file to the project of the test."""

    def __call__(self, data: bytes, name: str = "file", **given: Any) -> Evidence: ...


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, settings: Settings) -> None:
    settings.LOGBOOK_DATA = tmp_path


@pytest.fixture
def add(bench: Bench) -> Adder:
    """Return what adds a file to the project of the test."""

    def added(data: bytes, name: str = "file", **given: Any) -> Evidence:
        given = {"actor": bench.actor, "project": bench.project} | given
        return add_evidence(name=name, stream=io.BytesIO(data), **given)

    return added
