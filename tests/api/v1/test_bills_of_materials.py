"""Bills of materials through the API alone. All parts are invented."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench

A, B = "projects/tern/revisions/A/", "projects/tern/revisions/B/"
OLD = 'Ref,Qty,Value,Package\n"C11, C12",2,18 pF,0402\nR9,1,10k,0603\nR10,1,4k7,0603\n'
NEW = "Designator;Val;Footprint;DNP\nC11;10p;0402;\nC12;10p;0402;\nR10;4.7 kΩ;0603;x\nSB2;bridge;SB;\n"


def send(caller: Caller, address: str, text: str, **fields: str) -> Any:
    client: Client = caller.client
    file = SimpleUploadedFile("parts.csv", text.encode())
    headers = {"Authorization": f"Bearer {caller.secret}"}
    return client.post(f"/api/v1/{address}", {"file": file} | fields, headers=headers)


@pytest.fixture
def both(owner: Caller, bench: Bench) -> Caller:
    """Return the owner, with a bill of A and one of its child B."""
    owner.post("projects/tern/revisions/", {"label": "B", "parent": "A"})
    assert send(owner, f"{A}bill-of-materials/", OLD).status_code == 201
    assert send(owner, f"{B}bill-of-materials/", NEW).status_code == 201
    return owner


def test_an_import_says_what_it_read(owner: Caller) -> None:
    body = send(owner, f"{A}bill-of-materials/", OLD + "?,1,1k,0603\n").json()
    assert (body["encoding"], body["delimiter"], body["part_count"]) == ("UTF-8", ",", 4)
    assert body["columns"] == {
        "designators": "Ref",
        "quantity": "Qty",
        "value": "Value",
        "footprint": "Package",
    }
    assert [(one["line"], "no designator" in one["says"]) for one in body["refused"]] == [(5, True)]
    assert body == owner.get(f"{A}bill-of-materials/").json()
    parts = owner.get(f"{A}bill-of-materials/parts/?limit=3").json()
    assert [one["designator"] for one in parts["results"]] == ["C11", "C12", "R9"]
    rest = owner.get(f"{A}bill-of-materials/parts/?after={parts['next_after']}").json()
    assert [one["designator"] for one in rest["results"]] == ["R10"]


def test_rows_may_be_sent_as_json(owner: Caller) -> None:
    rows = [{"designators": "R1-R3", "value": "4k7"}, {"designators": "R4", "value": "1k", "fitted": "DNP"}]
    body = owner.post(f"{A}bill-of-materials/", {"rows": rows}).json()
    assert body["part_count"] == 4
    parts = owner.get(f"{A}bill-of-materials/parts/").json()["results"]
    assert [one["is_fitted"] for one in parts] == [True, True, True, False]


def test_columns_can_be_confirmed_before_anything_is_stored(owner: Caller) -> None:
    table = "Place,Which\nR1,4k7\n"
    problem_of(send(owner, f"{A}bill-of-materials/preview/", table), 400)
    columns = json.dumps({"designators": "Place", "value": "Which"})
    shown = send(owner, f"{A}bill-of-materials/preview/", table, columns=columns).json()
    assert (shown["header"], shown["part_count"]) == (["Place", "Which"], 1)
    assert owner.get(f"{A}bill-of-materials/").status_code == 404
    assert send(owner, f"{A}bill-of-materials/", table, columns=columns).json()["columns"]["value"] == "Which"


def test_a_newer_import_stands_and_the_older_stays_readable(owner: Caller) -> None:
    first = send(owner, f"{A}bill-of-materials/", OLD).json()
    assert send(owner, f"{A}bill-of-materials/", OLD).json()["id"] == first["id"]
    second = send(owner, f"{A}bill-of-materials/", NEW).json()
    assert owner.get(f"{A}bill-of-materials/").json()["id"] == second["id"]
    assert owner.get(f"{A}bill-of-materials/?bill={first['id']}").json() == first
    imports = owner.get(f"{A}bill-of-materials/imports/").json()["results"]
    assert [one["id"] for one in imports] == [first["id"], second["id"]]


def test_two_revisions_are_compared_by_meaning(both: Caller) -> None:
    body = both.get(f"{B}bill-of-materials/compare/?with=A").json()
    assert [(one["designator"], one["kind"]) for one in body["differences"]] == [
        ("C11", "value"),
        ("C12", "value"),
        ("R9", "removed"),
        ("R10", "fit"),
        ("SB2", "added"),
    ]
    assert body["not_compared"] == ["part"]


def test_changes_are_proposed_by_subsystem_and_can_be_recorded(both: Caller) -> None:
    rule = both.post("projects/tern/designator-rules/", {"subsystem": "RLD", "rule": "C11-C12, SB*"})
    assert rule.status_code == 201
    first, other = both.get(f"{B}bill-of-materials/proposed-changes/?with=A").json()["results"]
    assert (first["key"], first["kind"], first["subsystems"]) == ("BOM-RLD", "schematic", ["RLD"])
    assert first["designators"] == "C11, C12, SB2"
    assert (other["subsystems"], other["designators"]) == ([], "R9, R10")
    assert first.pop("named_by") == []
    assert first.pop("is_needed") is True
    assert both.post(f"{B}changes/", first).status_code == 201
    again = both.get(f"{B}bill-of-materials/proposed-changes/?with=A").json()["results"][0]
    assert again["named_by"] == [{"change": "BOM-RLD", "designators": "C11, C12, SB2"}]
    assert again["key"] == "BOM-RLD-2"


def test_rules_may_not_contradict_each_other(owner: Caller) -> None:
    address = "projects/tern/designator-rules/"
    number = owner.post(address, {"subsystem": "RLD", "rule": "R10-R19, L*"}).json()["id"]
    problem = problem_of(owner.post(address, {"subsystem": "RLD", "rule": "R15-R20"}), 400)
    assert problem["problems"][0]["field"] == "rule"
    assert owner.post(address, {"subsystem": "RLD", "rule": "R15"}).status_code == 201
    assert owner.post(f"{address}{number}/remove/", {}).status_code == 204
    assert [one["rule"] for one in owner.get(address).json()["results"]] == ["R15"]
    problem_of(owner.post(f"{address}{number}/remove/", {}), 404)


@pytest.mark.parametrize(
    ("address", "status"),
    [
        (f"{A}bill-of-materials/", 404),
        (f"{A}bill-of-materials/compare/", 400),
        (f"{A}bill-of-materials/compare/?with=Z", 400),
        (f"{A}bill-of-materials/compare/?with=A", 404),
        (f"{A}bill-of-materials/?bill=x", 400),
        (f"{A}bill-of-materials/parts/?colour=red", 400),
    ],
)
def test_what_is_not_there_is_said(owner: Caller, address: str, status: int) -> None:
    problem_of(owner.get(address), status)


@pytest.mark.parametrize(
    ("text", "columns", "field"),
    [
        ("", "", "file"),
        ("Ref,Value\n?,1k\n", "", "file"),
        ("Ref,Value\nR1,1k\n", "{", "columns"),
        ("Ref,Value\nR1,1k\n", '["Ref"]', "columns"),
        ("Ref,Value\nR1,1k\n", '{"designators": "Nothing"}', "columns"),
    ],
    ids=["empty", "no row", "no json", "list", "no such column"],
)
def test_what_cannot_be_imported_is_refused(owner: Caller, text: str, columns: str, field: str) -> None:
    problem = problem_of(send(owner, f"{A}bill-of-materials/", text, columns=columns), 400)
    assert problem["problems"][0]["field"] == field


@pytest.mark.parametrize(("role", "status"), [("editor", 201), ("reader", 403), ("stranger", 404)])
def test_only_who_edits_imports(bench: Bench, role: str, status: int) -> None:
    caller = caller_for(getattr(bench, role))
    assert send(caller, f"{A}bill-of-materials/", OLD).status_code == status
    assert caller.get(f"{A}bill-of-materials/").status_code == (200 if status == 201 else 404)


@pytest.mark.parametrize(
    ("address", "queries"),
    [
        # Token, membership, revision, bill; then the parts; both bills and their parts, rules; changes.
        (f"{B}bill-of-materials/", 4),
        (f"{B}bill-of-materials/parts/", 5),
        (f"{B}bill-of-materials/compare/?with=A", 9),
        (f"{B}bill-of-materials/proposed-changes/?with=A", 10),
        ("projects/tern/designator-rules/", 3),
    ],
)
def test_reading_costs_the_same_however_long(
    both: Caller, address: str, queries: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    both.get(address)
    with django_assert_num_queries(queries):
        assert both.get(address).status_code == 200
