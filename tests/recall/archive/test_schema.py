"""The published schema is what is written; lines are held against it by an outside library (jsonschema)."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from logbook.recall.archive.records import RECORDS
from logbook.recall.archive.schema import whole_schema

ROOT = Path(__file__).resolve().parents[3]
PUBLISHED = ROOT / "docs" / "archive-format-1.schema.json"
SAMPLE = ROOT / "fixtures" / "archive" / "v1" / "saltlark.zip"
KINDS = ["people", *(record.name for record in RECORDS)]


@pytest.fixture(scope="module")
def published() -> dict[str, dict[str, object]]:
    found: dict[str, dict[str, object]] = json.loads(PUBLISHED.read_text(encoding="utf-8"))["$defs"]
    return found


def test_the_tables_still_give_the_published_schema() -> None:
    """Version 1 is frozen: a table that changed needs version 2 and a reader of version 1."""
    assert json.loads(PUBLISHED.read_text(encoding="utf-8")) == json.loads(json.dumps(whole_schema()))


@pytest.mark.parametrize("name", KINDS)
def test_every_line_of_the_sample_fits(name: str, published) -> None:
    validator = Draft202012Validator(published[name])
    Draft202012Validator.check_schema(published[name])
    with zipfile.ZipFile(SAMPLE) as archive:
        lines = [json.loads(line) for line in archive.read(f"data/{name}.jsonl").splitlines()]
    assert lines
    assert [error.message for line in lines for error in validator.iter_errors(line)] == []


def test_the_manifest_of_the_sample_fits(published) -> None:
    with zipfile.ZipFile(SAMPLE) as archive:
        manifest = json.loads(archive.read("manifest.json"))
    assert [
        error.message for error in Draft202012Validator(published["manifest"]).iter_errors(manifest)
    ] == []
