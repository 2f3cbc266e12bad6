"""Every operation of the API keeps what its OpenAPI document says, whatever it is sent.

Inputs are made by Schemathesis from the document itself (its own implementation of JSON Schema 2020-12 and
OpenAPI 3.1): what the document allows and what it forbids. ``LOGBOOK_FUZZ_EXAMPLES`` says how many for each
operation; with it set they differ from run to run.
"""

from __future__ import annotations

import os
import re
from typing import Any

import pytest
from django.core.cache import cache
from django.core.signals import request_finished, request_started
from django.db import close_old_connections, transaction
from drf_spectacular.generators import SchemaGenerator
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from pytest_django import DjangoDbBlocker
from schemathesis import checks, openapi
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from logbook.accounts.commands import create_token
from logbook.accounts.models import User
from logbook.bench.models import BenchSession, Instrument, Measurement, Target
from logbook.boards.models import Board, Rework
from logbook.calculations.models import Calculation
from logbook.common.changes import Actor
from logbook.conf.wsgi import application
from logbook.evidence.models import Analysis, Evidence
from logbook.findings.models import Finding
from logbook.lessons.models import Lesson
from logbook.planning.models import CarriedOver, Disposition, Order
from logbook.projects.models import (
    Change,
    Connector,
    DesignatorRule,
    Option,
    OptionPosition,
    Project,
    Revision,
    Subsystem,
)
from tests.recall.conftest import demo

__all__ = ["demo"]
ASKED = os.environ.get("LOGBOOK_FUZZ_EXAMPLES", "")
EXAMPLES = int(ASKED or 3)
CHECKS = [
    checks.not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
]
DOCUMENT = SchemaGenerator().get_schema(request=None, public=True)
OPERATIONS = [
    (method, path)
    for path, methods in DOCUMENT["paths"].items()
    for method in methods
    if (method, path) != ("post", "/api/v1/archives/")  # hostile archives: tests/recall/archive
]
# By the part of an address in front of a parameter, or by the field of a body: what the demo has of it.
STORED = {
    "analyses": (Analysis, "pk"),
    "bench-sessions": (BenchSession, "pk"),
    "boards": (Board, "serial"),
    "calculations": (Calculation, "key"),
    "carry-overs": (CarriedOver, "target__key"),
    "changes": (Change, "key"),
    "connectors": (Connector, "key"),
    "designator-rules": (DesignatorRule, "pk"),
    "dispositions": (Disposition, "pk"),
    "evidence": (Evidence, "pk"),
    "findings": (Finding, "key"),
    "instruments": (Instrument, "name"),
    "lessons": (Lesson, "key"),
    "measurements": (Measurement, "pk"),
    "options": (Option, "key"),
    "orders": (Order, "pk"),
    "projects": (Project, "slug"),
    "revisions": (Revision, "label"),
    "reworks": (Rework, "pk"),
    "subsystems": (Subsystem, "key"),
    "targets": (Target, "key"),
    "board": (Board, "serial"),
    "option": (Option, "key"),
    "position": (OptionPosition, "name"),
    "project": (Project, "slug"),
    "revision": (Revision, "label"),
    "subsystem": (Subsystem, "key"),
    "target": (Target, "key"),
    "username": (User, "username"),
}  # fmt: skip
PARAMETER = re.compile(r"([a-z-]+)/\{(\w+)\}")


def whole(environ: Any, start_response: Any) -> list[bytes]:
    """Answer as the site does, and close what it answered with: the caller here would leave files open.

    The connection stays, for the demo lies in its open transaction.
    """
    request_started.disconnect(close_old_connections)
    request_finished.disconnect(close_old_connections)
    try:
        answer = application(environ, start_response)
        try:
            return [b"".join(answer)]
        finally:
            answer.close()
    finally:
        request_started.connect(close_old_connections)
        request_finished.connect(close_old_connections)


@pytest.fixture(scope="module")
def schema() -> Any:
    loaded = openapi.from_dict(DOCUMENT)
    loaded.app = whole
    return loaded


@pytest.fixture(scope="module")
def stored(demo: None, django_db_blocker: DjangoDbBlocker) -> dict[str, list[Any]]:
    """Return the names of things in the demo."""
    with django_db_blocker.unblock():
        return {
            part: sorted(set(model.objects.values_list(field, flat=True)))
            for part, (model, field) in STORED.items()
            if model.objects.exists()
        }


@pytest.fixture(scope="module")
def secret(demo: None, django_db_blocker: DjangoDbBlocker) -> str:
    """Return a token of the owner of both projects, with every scope."""
    with django_db_blocker.unblock():
        owner = User.objects.get(username="iv")
        scopes = ("read", "record", "edit")
        return create_token(actor=Actor(owner, "page"), user=owner, name="test", scopes=scopes)[1]


def made_to_fit(draw: Any, case: Any, stored: dict[str, list[Any]]) -> None:
    """Put names of real things into most cases, or nearly all would be answered with 404."""
    for part, name in PARAMETER.findall(case.path):
        if part in stored and draw(st.integers(0, 4)):
            case.path_parameters[name] = draw(st.sampled_from(stored[part]))
    for part in (case.body, case.query):
        if isinstance(part, dict):
            for name in sorted(set(part) & set(stored)):
                if draw(st.booleans()):
                    part[name] = draw(st.sampled_from(stored[name]))


@pytest.mark.django_db
@pytest.mark.parametrize(("method", "path"), OPERATIONS, ids=lambda one: one)
def test_an_operation(method: str, path: str, schema: Any, stored: dict[str, list[Any]], secret: str) -> None:
    @given(st.data())
    @settings(
        max_examples=EXAMPLES,
        derandomize=not ASKED,
        database=None,
        deadline=None,
        phases=[Phase.generate, Phase.shrink] if ASKED else [Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    def sent(data: Any) -> None:
        case = data.draw(schema[path][method].as_strategy())
        made_to_fit(data.draw, case, stored)
        cache.clear()
        with transaction.atomic():
            response = case.call(headers={"Authorization": f"Bearer {secret}"})
            case.validate_response(response, checks=CHECKS)
            transaction.set_rollback(True)

    sent()
