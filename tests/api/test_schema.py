"""The OpenAPI document."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
import yaml
from drf_spectacular.drainage import GENERATOR_STATS
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiYamlRenderer
from drf_spectacular.validation import validate_schema

from api.v1.measurement_shapes import MeasurementRecorded, MeasurementShown, ReadingNew, shown, shown_recorded
from logbook.bench.commands import ReadingInput, record_reading
from tests.builders import Bench

COMMITTED = Path(__file__).parents[2] / "docs" / "openapi.yaml"


@pytest.fixture(scope="module")
def document() -> Any:
    with GENERATOR_STATS.silence():
        found = SchemaGenerator().get_schema(request=None, public=True)
    assert not GENERATOR_STATS._warn_cache
    assert not GENERATOR_STATS._error_cache
    return found


def test_it_is_the_committed_one(document: Any):
    assert OpenApiYamlRenderer().render(document, renderer_context={}).decode() == COMMITTED.read_text()


def test_it_is_valid(document: Any):
    validate_schema(yaml.safe_load(OpenApiYamlRenderer().render(document, renderer_context={})))
    assert document["openapi"].startswith("3.1")


def test_it_documents_the_token_and_the_errors(document: Any):
    assert document["components"]["securitySchemes"]["token"]["scheme"] == "bearer"
    for methods in document["paths"].values():
        for operation in methods.values():
            problem = operation["responses"]["4XX"]["content"]["application/problem+json"]
            assert problem["schema"]["$ref"].endswith("ProblemShape")


def test_it_is_served_to_anybody(client: Any):
    response = client.get("/api/v1/schema/")
    assert response.status_code == 200
    assert b"/api/v1/measurements/" in response.content


def test_it_describes_every_field_of_a_reading():
    assert set(ReadingNew().fields) == {field.name for field in fields(ReadingInput)}


def test_it_describes_every_field_of_a_stored_reading(bench: Bench):
    bench.target()
    item = ReadingInput(project=bench.project.slug, board="0001", target="RLD-2", value="3.3 V")
    recorded = record_reading(actor=bench.actor, item=item)
    assert recorded.measurement is not None
    assert set(shown(recorded.measurement)) == set(MeasurementShown().fields)
    assert set(shown_recorded(recorded)) == set(MeasurementRecorded().fields)
