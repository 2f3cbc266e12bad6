"""Numbers of captures become readings, and are found anew later."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.test import Client
from pytest_django import Settings

from logbook.bench.commands.evidence import attach_to_measurement
from logbook.bench.models import Measurement, MeasurementEvidence
from logbook.common.jobs import run_waiting
from logbook.evidence.models import Analysis
from tests.builders import Bench
from tests.evidence import files
from tests.web.test_evidence import LIST, kept


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, settings: Settings) -> None:
    settings.LOGBOOK_DATA = tmp_path


@pytest.fixture
def editor(bench: Bench, client: Client) -> Client:
    client.force_login(bench.editor)
    return client


@pytest.fixture
def recorded(editor: Client, bench: Bench) -> Measurement:
    """Return a reading recorded from a sweep."""
    bench.target("FLT-1", "900..1100 Hz")
    evidence = kept(editor, files.sweep(), board="0001")
    analysis = evidence.analyses.get()
    answer = editor.post(
        f"{LIST}{evidence.pk}/analyses/{analysis.pk}/record/",
        {"number": "upper_corner", "target": "FLT-1", "board": "0001", "expanded_uncertainty": "2"},
    )
    assert answer.status_code == 302, answer.content.decode()
    return Measurement.objects.get()


def test_a_number_becomes_a_reading_with_the_capture_behind_it(recorded: Measurement) -> None:
    link = MeasurementEvidence.objects.get(measurement=recorded)
    assert (recorded.verdict, recorded.unit, link.number) == ("pass", "Hz", "upper_corner")
    assert link.analysis is not None
    exact = link.analysis.numbers["upper_corner"]["value"]
    # JCGM 100:2008, 7.2.6: no more digits than the two of its uncertainty, 2.0 Hz.
    assert recorded.text == f"{exact:.1f}"
    assert recorded.value_base != exact


def test_the_page_of_the_reading_leads_to_the_capture(editor: Client, recorded: Measurement) -> None:
    link = MeasurementEvidence.objects.get()
    text = editor.get(f"/p/tern/measurements/{recorded.pk}/").content.decode()
    assert f'href="{LIST}{link.evidence_id}/?analysis={link.analysis_id}"' in text
    assert "its upper corner" in text


def test_the_same_number_is_recorded_once(editor: Client, recorded: Measurement) -> None:
    link = MeasurementEvidence.objects.get()
    address = f"{LIST}{link.evidence_id}/analyses/{link.analysis_id}/record/"
    editor.post(
        address, {"number": "upper_corner", "target": "FLT-1", "board": "0001", "expanded_uncertainty": "2"}
    )
    assert Measurement.objects.count() == 1


def test_the_number_is_found_anew_and_compared(editor: Client, recorded: Measurement) -> None:
    link = MeasurementEvidence.objects.get()
    editor.post(f"{LIST}{link.evidence_id}/readings/{link.pk}/compare/")
    run_waiting()
    assert "agrees" in editor.get(f"{LIST}{link.evidence_id}/").content.decode()


def test_the_page_gives_the_number_exactly_beside_its_rounding(editor: Client, recorded: Measurement) -> None:
    link = MeasurementEvidence.objects.get()
    assert link.analysis is not None
    text = editor.get(f"{LIST}{link.evidence_id}/").content.decode()
    assert f"{link.analysis.numbers['upper_corner']['value']!r} Hz" in text
    assert "the reading is off by" not in text


def test_a_reading_that_is_no_rounding_of_its_number_says_so(editor: Client, bench: Bench) -> None:
    bench.target("FLT-1", "900..1100 Hz")
    evidence = kept(editor, files.sweep(), board="0001")
    attach_to_measurement(
        actor=bench.actor,
        measurement=bench.read("1010", target="FLT-1"),
        evidence=evidence,
        analysis=evidence.analyses.get(),
        number="upper_corner",
    )
    assert "the reading is off by" in editor.get(f"{LIST}{evidence.pk}/").content.decode()


def test_a_comparison_finds_what_rounding_would_hide(editor: Client, recorded: Measurement) -> None:
    link = MeasurementEvidence.objects.get()
    assert link.analysis is not None
    found = link.analysis.numbers["upper_corner"]
    Analysis.objects.filter(pk=link.analysis_id).update(
        numbers={"upper_corner": found | {"value": found["value"] * (1 + 1e-7)}}
    )
    editor.post(f"{LIST}{link.evidence_id}/readings/{link.pk}/compare/")
    run_waiting()
    assert "differs by" in editor.get(f"{LIST}{link.evidence_id}/").content.decode()


def test_a_comparison_that_differs_says_so(editor: Client, recorded: Measurement) -> None:
    link = MeasurementEvidence.objects.get()
    Analysis.objects.filter(pk=link.analysis_id).update(
        numbers={"upper_corner": {"value": 950.0, "unit": "Hz", "says": ""}}
    )
    editor.post(f"{LIST}{link.evidence_id}/readings/{link.pk}/compare/")
    run_waiting()
    assert "differs by" in editor.get(f"{LIST}{link.evidence_id}/").content.decode()


@pytest.mark.parametrize(
    ("limits", "number", "said", "text", "unit"),
    [
        pytest.param("900..1100 us", "duration", {}, "999", "µs", id="unit of the target"),
        pytest.param("0..20 mV", "mean", {"expanded_uncertainty": "0.3 mV"}, "10.01", "mV", id="digits of U"),
        pytest.param("0..20 mV", "mean", {}, "10.0123", "mV", id="six digits"),
    ],
)
def test_a_number_is_recorded_in_the_unit_of_its_target(
    editor: Client, bench: Bench, limits: str, number: str, said: dict[str, str], text: str, unit: str
) -> None:
    bench.target("T-1", limits)
    rows = "".join(f"{place},{0.01001234567 + (0.001, -0.001)[place % 2]!r}\n" for place in range(1000))
    evidence = kept(editor, f"Time (us),CH1 (V)\n{rows}".encode(), board="0001")
    address = f"{LIST}{evidence.pk}/analyses/{evidence.analyses.get().pk}/record/"
    answer = editor.post(address, {"number": number, "target": "T-1", "board": "0001", **said})
    assert answer.status_code == 302, answer.content.decode()
    reading = Measurement.objects.get()
    assert (reading.text, reading.unit) == (text, unit)


def test_a_count_is_recorded_whole(editor: Client, bench: Bench) -> None:
    bench.target("MSK-1", "0 errors", kind="count")
    evidence = kept(editor, files.sweep(), board="0001")
    editor.post(f"{LIST}{evidence.pk}/analyses/", {"mask": "20,-1,1\n900,-4,1"})
    run_waiting()
    address = f"{LIST}{evidence.pk}/analyses/{evidence.analyses.latest('pk').pk}/record/"
    editor.post(address, {"number": "mask_points_outside", "target": "MSK-1", "board": "0001"})
    assert Measurement.objects.get().text == "0"


def test_only_targets_whose_unit_converts_are_offered_none_chosen(editor: Client, bench: Bench) -> None:
    for key, limits in (("CLK-1", "24..26 MHz"), ("RLD-1", "3..4 V"), ("CLK-2", "30..40 kHz")):
        bench.target(key, limits)
    evidence = kept(editor, files.square_wave())
    address = f"{LIST}{evidence.pk}/analyses/{evidence.analyses.get().pk}/record/"
    text = editor.get(f"{address}?number=frequency").content.decode()
    assert 'value="CLK-1"' in text
    assert 'value="CLK-2"' in text
    assert "RLD-1" not in text
    assert "choose one" in text
    assert "selected" not in text.split('name="target"')[1].split("</select>")[0].replace(
        'value="" selected', ""
    )


def test_the_only_target_that_fits_is_offered_alone(editor: Client, bench: Bench) -> None:
    bench.target("RLD-1", "3..4 V")
    evidence = kept(editor, files.square_wave())
    address = f"{LIST}{evidence.pk}/analyses/{evidence.analyses.get().pk}/record/"
    choices = editor.get(f"{address}?number=mean").content.decode().split('name="target"')[1]
    assert "choose one" not in choices.split("</select>")[0]
    assert "No target asks for such a number" in editor.get(f"{address}?number=frequency").content.decode()


def test_an_rms_number_fits_a_target_in_volts_rms(editor: Client, bench: Bench) -> None:
    bench.target("AUD-1", "2..3 Vrms")
    evidence = kept(editor, files.square_wave(), board="0001")
    address = f"{LIST}{evidence.pk}/analyses/{evidence.analyses.get().pk}/record/"
    editor.post(address, {"number": "rms", "target": "AUD-1", "board": "0001"})
    assert Measurement.objects.get().unit == "Vrms"
