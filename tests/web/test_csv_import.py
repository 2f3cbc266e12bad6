"""Importing readings from a table, pasted or as a file."""

from __future__ import annotations

from dataclasses import fields

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from logbook.bench.models import Measurement
from logbook.web.views.imports import ImportPage
from tests.builders import Bench

PAGE = "/p/tern/import/"
TABLE = "board,target,value,unit,key\n0001,RLD-2,3.298,V,k1\n0009,RLD-2,3.3,V,k2\n"


@pytest.fixture
def editor(bench: Bench, client: Client) -> Client:
    bench.target()
    client.force_login(bench.editor)
    return client


def test_good_rows_are_stored_and_bad_ones_named(editor: Client) -> None:
    text = editor.post(PAGE, {"text": TABLE}).content.decode()
    assert [one.text for one in Measurement.objects.all()] == ["3.298"]
    for said in ('<th scope="row" class="num right">3</th>', "board", "0009", "0001"):
        assert said in text


def test_a_file_is_read_as_well(editor: Client) -> None:
    file = SimpleUploadedFile("readings.csv", TABLE.encode("utf-8-sig"), content_type="text/csv")
    report = editor.post(PAGE, {"file": file}).context["report"]
    assert (len(report.stored), len(report.rejected)) == (1, 1)


def test_sending_it_again_stores_nothing_twice(editor: Client) -> None:
    editor.post(PAGE, {"text": TABLE})
    assert len(editor.post(PAGE, {"text": TABLE}).context["report"].duplicates) == 1


def test_readings_say_that_they_came_as_csv(editor: Client) -> None:
    editor.post(PAGE, {"text": TABLE})
    assert Measurement.objects.get().via == "csv"


@pytest.mark.parametrize("text", ["", "target,value\nRLD-2,3\n"], ids=["nothing", "no board column"])
def test_what_is_no_table_is_refused_with_the_reason(editor: Client, text: str) -> None:
    response = editor.post(PAGE, {"text": text})
    assert response.status_code == 400
    assert response.context["form"].errors
    assert response.context["report"] is None


def test_it_gives_the_template_every_field_of_the_page(editor: Client) -> None:
    assert {field.name for field in fields(ImportPage)} <= set(editor.get(PAGE).context.keys())


def test_a_reader_may_not_import(bench: Bench, client: Client) -> None:
    client.force_login(bench.reader)
    assert client.post(PAGE, {"text": TABLE}).status_code == 403


def test_a_stranger_finds_nothing(bench: Bench, client: Client) -> None:
    client.force_login(bench.stranger)
    assert client.get(PAGE).status_code == 404


def test_what_is_exported_is_there_already_when_imported(editor: Client) -> None:
    editor.post(PAGE, {"text": TABLE})
    exported = editor.get("/p/tern/measurements.csv").content.decode()
    report = editor.post(PAGE, {"text": exported}).context["report"]
    assert not report.stored
    assert Measurement.objects.count() == 1
