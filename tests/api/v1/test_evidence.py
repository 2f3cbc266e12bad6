"""Evidence through the API: adding, reading, analysing, drawing; and the calculation that keeps nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from pytest_django import Settings

from api.v1.calculations.signal import KINDS, SignalAsked
from logbook.common.jobs import run_waiting
from logbook.evidence.models import Evidence
from logbook.evidence.parameters import PARAMETERS
from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench
from tests.evidence import files

LIST = "projects/tern/evidence/"


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, settings: Settings) -> None:
    settings.LOGBOOK_DATA = tmp_path


def _post(caller: Caller | None, address: str, data: bytes | None, name: str = "a.csv", **said: Any) -> Any:
    headers = {"Authorization": f"Bearer {caller.secret}"} if caller else {}
    sent = {} if data is None else {"file": SimpleUploadedFile(name, data)}
    client = Client(raise_request_exception=False)
    return client.post(f"/api/v1/{address}", {**sent, **said}, headers=headers)


def _kept(caller: Caller, data: bytes, **said: Any) -> dict[str, Any]:
    answer = _post(caller, LIST, data, **said)
    assert answer.status_code == 201, answer.content
    body: dict[str, Any] = answer.json()
    return body


def test_it_keeps_a_file_and_says_what_it_is(script: Caller) -> None:
    body = _kept(script, files.sweep(), name="low-pass.csv", board="0001", caption="with the lid on")
    assert (body["kind"], body["board"], body["caption"]) == ("sweep", "0001", "with the lid on")
    assert body["analysis"]["state"] == "waiting"


def test_sending_again_keeps_one(script: Caller) -> None:
    assert _kept(script, files.sweep())["id"] == _kept(script, files.sweep())["id"]


def test_an_analysis_can_be_followed_to_its_numbers(script: Caller) -> None:
    body = _kept(script, files.sweep())
    asked = script.post(f"{LIST}{body['id']}/analyses/", {"parameters": {"at_hz": 1000}})
    assert asked.status_code == 202
    run_waiting()
    found = script.get(f"{LIST}{body['id']}/analyses/{asked.json()['id']}/").json()
    assert (found["state"], found["progress"]) == ("done", 100)
    assert found["numbers"]["gain"]["value"] == pytest.approx(-3.01, abs=0.01)
    assert len(script.get(f"{LIST}{body['id']}/analyses/").json()["results"]) == 2


def test_a_range_is_drawn_with_its_glitch(script: Caller) -> None:
    body = _kept(script, files.square_wave(20_000, glitch_at=12_345))
    run_waiting()
    view = script.get(f"{LIST}{body['id']}/view/?start=0&stop=0.02&buckets=100").json()
    assert len(view["low"]) <= 100
    assert max(view["high"]) == 9


def test_the_content_of_a_capture_is_the_original(script: Caller) -> None:
    body = _kept(script, files.tone(), name="tone.wav")
    answer = script.get(f"{LIST}{body['id']}/content/")
    assert b"".join(answer.streaming_content) == files.tone()
    assert answer.headers["Content-Disposition"] == 'attachment; filename="tone.wav"'
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


def test_the_content_of_a_photo_does_not_say_where_it_was_taken(script: Caller) -> None:
    body = _kept(script, files.photo_taken_somewhere())
    assert problem_of(script.get(f"{LIST}{body['id']}/content/"), 404)
    run_waiting()
    data = b"".join(script.get(f"{LIST}{body['id']}/content/").streaming_content)
    assert b"invented maker" not in data


@pytest.mark.parametrize(
    ("data", "said", "field"),
    [
        (None, {}, "file"),
        (b"", {}, "file"),
        (files.POLYGLOT, {}, "file"),
        (files.bomb(), {}, "file"),
        (files.sweep(), {"board": "0099"}, "board"),
        (files.sweep(), {"kind": "audio"}, "kind"),
        (files.sweep(), {"colour": "red"}, "colour"),
        (files.sweep(), {"taken_at": "yesterday"}, "taken_at"),
    ],
)
def test_it_refuses_with_the_field_named(
    script: Caller, data: bytes | None, said: dict[str, str], field: str
) -> None:
    body = problem_of(_post(script, LIST, data, **said), 400)
    assert body["problems"][0]["field"] == field
    assert not Evidence.objects.exists()


def test_a_file_beyond_the_setting_has_its_own_status(script: Caller, settings: Settings) -> None:
    settings.LOGBOOK_MAX_UPLOAD_MB = 1
    problem_of(_post(script, LIST, b"x" * 1_000_001), 413)


def test_json_is_no_file(script: Caller) -> None:
    problem_of(script.post(LIST, {"file": "x"}), 415)


@pytest.mark.parametrize("address", ["", "1/", "1/content/", "1/view/", "1/analyses/"])
def test_a_stranger_finds_nothing(script: Caller, bench: Bench, address: str) -> None:
    address = address.replace("1", str(_kept(script, files.sweep())["id"]))
    problem_of(caller_for(bench.stranger).get(LIST + address), 404)


def test_a_reader_adds_nothing(bench: Bench) -> None:
    problem_of(_post(caller_for(bench.reader), LIST, files.sweep()), 403)


@pytest.mark.parametrize("given", [{"at_hz": True}, {"at_hz": [1]}, {"mask": {"a": 1}}, {"colour": 1}])
def test_a_parameter_that_cannot_be_read_is_named(script: Caller, given: dict[str, Any]) -> None:
    number = _kept(script, files.sweep())["id"]
    body = problem_of(script.post(f"{LIST}{number}/analyses/", {"parameters": given}), 400)
    assert body["problems"][0]["field"] == next(iter(given))


SIGNAL = "calculations/signal/"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("kind", "data", "said", "name", "value"),
    [
        ("waveform", files.square_wave(), {}, "frequency_hz", 1000),
        ("waveform", files.square_wave(), {}, "peak_to_peak_v", 3.3),
        ("sweep", files.sweep(), {"at_hz": "1 kHz"}, "gain_db", -3.01),
        ("sweep", files.sweep(), {}, "upper_corner_hz", 1000),
        ("audio", files.tone(), {}, "level_dbfs", -6.02),
        ("audio", files.tone(), {"full_scale_vrms": "2"}, "level_dbv", 0),
    ],
)
def test_anybody_may_have_numbers_computed(
    kind: str, data: bytes, said: dict[str, str], name: str, value: float
) -> None:
    answer = _post(None, SIGNAL, data, kind=kind, **said)
    assert answer.status_code == 200, answer.content
    assert answer.json()["numbers"][name] == pytest.approx(value, rel=2e-3, abs=0.01)
    assert not Evidence.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("data", "said"),
    [
        pytest.param(b"Time (s),V\n0,1\n1,nan\n", {"kind": "waveform"}, id="a hole"),
        pytest.param(files.sweep(), {"kind": "audio"}, id="another kind"),
        pytest.param(files.sweep(), {"kind": "photo"}, id="no capture"),
        pytest.param(files.sweep(), {"kind": "sweep", "weighting": "A"}, id="parameter of another kind"),
        pytest.param(files.tone(frames=20), {"kind": "audio"}, id="too short"),
    ],
)
def test_it_refuses_what_carries_no_numbers(data: bytes, said: dict[str, str]) -> None:
    problem_of(_post(None, SIGNAL, data, **said), 400)


def test_the_calculation_takes_the_parameters_of_every_kind() -> None:
    names = {parameter.name for kind in KINDS for parameter in PARAMETERS[kind]}
    assert set(SignalAsked().fields) - {"file", "kind"} == names
