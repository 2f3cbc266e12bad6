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
from logbook.findings.commands.recording import record_finding
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


def test_a_file_stands_behind_a_keyed_reading_and_a_finding(script: Caller, bench: Bench) -> None:
    bench.target()
    reading = bench.read("3.3", key="my-run-1")
    finding = record_finding(
        actor=bench.actor, project=bench.project, key="F-01", title="slow", subsystem=bench.subsystem
    )
    number = _kept(script, files.sweep(), measurement_key="my-run-1", finding="F-01")["id"]
    assert reading.evidence_links.get().evidence_id == number
    assert finding.evidence_links.get().evidence_id == number


@pytest.mark.parametrize("said", [{"measurement_key": "other"}, {"finding": "F-99"}])
def test_nothing_is_kept_for_what_does_not_exist(script: Caller, said: dict[str, str]) -> None:
    assert _post(script, LIST, files.sweep(), **said).status_code in {400, 404}
    assert not Evidence.objects.exists()


def test_the_original_is_for_those_who_may_record(script: Caller, bench: Bench) -> None:
    number = _kept(script, files.photo_taken_somewhere(), name="photo.jpg")["id"]
    answer = script.get(f"{LIST}{number}/original/")
    assert b"".join(answer.streaming_content) == files.photo_taken_somewhere()
    assert answer.headers["Content-Disposition"] == 'attachment; filename="photo.jpg"'
    problem_of(caller_for(bench.reader).get(f"{LIST}{number}/original/"), 403)


def test_a_name_that_promises_something_else_is_remarked_on(script: Caller) -> None:
    assert "application/pdf" in _kept(script, files.PDF, name="capture.csv")["remark"]
    assert _kept(script, files.tone(), name="tone.wav")["remark"] == ""


def test_a_spectrum_is_drawn_on_a_logarithmic_axis(script: Caller) -> None:
    number = _kept(script, files.tone(), name="tone.wav")["id"]
    run_waiting()
    view = script.get(f"{LIST}{number}/view/?of=spectrum&axis=log&buckets=50").json()
    assert (view["unit"], view["x_unit"]) == ("dBFS", "Hz")
    assert max(view["high"]) == pytest.approx(-6.02, abs=0.05)
    problem_of(script.get(f"{LIST}{number}/view/?of=colour"), 400)


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
        ("waveform", files.square_wave(), {}, "peak_to_peak", 3.3),
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


@pytest.mark.django_db
@pytest.mark.parametrize("heading", ["CH1 (V)", "+3V3_D (mV)", "x", "brightness (cd)"])
def test_names_of_numbers_do_not_hang_on_the_file(heading: str) -> None:
    data = f"Time (s),{heading}\n0,1\n1,2\n2,1\n3,2\n".encode()
    body = _post(None, SIGNAL, data, kind="waveform").json()
    usual = _post(None, SIGNAL, files.square_wave(), kind="waveform").json()
    assert list(body["numbers"]) == list(usual["numbers"])
    assert body["channel"] == body["channels"][0]["key"] == "ch1"


@pytest.mark.django_db
def test_channels_are_given_with_name_and_unit_of_the_file() -> None:
    data = b"Time (s),rail (V),current (mA)\n0,1,5\n1,2,6\n2,1,5\n"
    body = _post(None, SIGNAL, data, kind="waveform", channel="2").json()
    assert body["channels"] == [
        {"key": "ch1", "name": "rail", "unit": "V"},
        {"key": "ch2", "name": "current", "unit": "A"},
    ]
    assert (body["channel"], body["units"]["maximum"], body["numbers"]["maximum"]) == ("ch2", "A", 0.006)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("kind", "data", "said"),
    [
        ("waveform", files.square_wave(), {"mask": "0,-1,4\n1,-1,4"}),
        ("sweep", files.sweep(), {"at_hz": "1 kHz", "band_low_hz": "20", "band_high_hz": "200"}),
        ("audio", files.tone(channels=2), {"weighting": "A", "full_scale_vrms": "2"}),
    ],
)
def test_every_number_is_defined(kind: str, data: bytes, said: dict[str, str]) -> None:
    body = _post(None, SIGNAL, data, kind=kind, **said).json()
    assert set(body["definitions"]) == set(body["units"]) == set(body["numbers"])
    assert all(body["definitions"].values())


@pytest.mark.django_db
def test_a_number_of_a_recording_states_band_weighting_window_and_reference() -> None:
    body = _post(None, SIGNAL, files.tone(), kind="audio", weighting="A", low_hz="100").json()
    says = body["definitions"]["fundamental_dbfs"]
    for part in ("100 to 20000 Hz", "weighting A", "Blackman-Harris", "48000 frames", "full-scale sine"):
        assert part in says
    assert "weighting A" not in body["definitions"]["level_dbfs"]


@pytest.mark.django_db
def test_points_outside_a_mask_are_counted_whole() -> None:
    body = _post(None, SIGNAL, files.sweep(), kind="sweep", mask="10,-1,1\n100000,-1,1")
    assert isinstance(body.json()["numbers"]["mask_points_outside"], int)
