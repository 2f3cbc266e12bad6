"""The captures of the invented demo: what their analyses found against what the signals were made of."""

from __future__ import annotations

import math
from io import StringIO

import numpy as np
import pytest
from django.core.management import call_command
from PIL import Image

from logbook.bench.models import MeasurementEvidence
from logbook.common.models import Job
from logbook.evidence.models import Analysis, Evidence
from logbook.evidence.queries import Wanted, is_shown, number_found, shown_path, view_of
from logbook.recall.demo import captures
from logbook.recall.demo.files import MADE

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


def analysis(name: str, place: int) -> Analysis:
    """Return an analysis of a file of the demo, counted from 1 in the order they were asked."""
    return Analysis.objects.filter(evidence__name=name).order_by("id")[place - 1]


@pytest.mark.parametrize(
    ("name", "place", "number", "expected", "within"),
    [
        # A straight ramp of 7.625 ms: 10 to 90 % is 0.8 of it. The noise moves a crossing by some 10 µs.
        ("0006-soft-start.csv", 1, "rise_time", 0.8 * 7.625e-3, 30e-6),
        ("0006-soft-start.csv", 1, "high_level", 12.0, 0.01),
        ("0006-soft-start.csv", 2, "rise_time", 2.4e-3, 10e-6),
        ("0006-soft-start.csv", 2, "high_level", 3.317, 0.003),
        # A triangle: its rms is the peak to peak value over the root of 12.
        ("0006-3v3-ripple.csv", 1, "peak_to_peak", 9.8e-3, 0.15e-3),
        ("0006-3v3-ripple.csv", 1, "ac_rms", 9.8e-3 / math.sqrt(12), 5e-6),
        ("0006-3v3-ripple.csv", 1, "frequency", 400e3, 100),
        # t/T·exp(1 - t/T) is 1 at its extreme.
        ("0006-3v3-load-step.csv", 1, "minimum", -54.5e-3, 0.5e-3),
        ("0006-ch1-flatness.csv", 2, "gain", -0.17, 0.008),
        # First order: 20 Hz·sqrt(10^0.017 - 1) and 40 kHz·(1/(10^0.012 - 1))^(1/32).
        ("0006-ch1-flatness.csv", 1, "lower_corner", 3.996, 0.02),
        ("0006-ch1-flatness.csv", 1, "upper_corner", 44_650, 60),
        ("0006-ch1-flatness.csv", 2, "flatness", 0.17, 0.015),
        ("0006-ch1-1khz.wav", 2, "frequency_hz", 1000, 1e-3),
        ("0006-ch1-1khz.wav", 2, "fundamental_dbfs", -1, 1e-3),
        # 200 mV rms is -13.98 dBV; the tone lies 1 dB below.
        ("0006-ch1-1khz.wav", 2, "level_dbv", 20 * math.log10(0.2) - 1, 1e-3),
        ("0006-ch1-1khz.wav", 2, "thdn_db", -96.8, 0.1),
        ("0006-ch1-1khz.wav", 2, "snr_db", 104.5, 0.2),
    ],
)
def test_analyses_find_what_the_signals_were_made_of(
    name: str, place: int, number: str, expected: float, within: float
) -> None:
    assert number_found(analysis(name, place), number).value == pytest.approx(expected, abs=within)


def test_a_second_harmonic_fills_what_the_third_and_the_noise_leave() -> None:
    thd = number_found(analysis("0006-ch1-1khz.wav", 2), "thd_f_db").value
    assert thd == pytest.approx(10 * math.log10(10**-9.68 - 10**-10.45), abs=0.05)


@pytest.mark.parametrize("buckets", [200, 600, 2000])
def test_the_one_sample_that_sticks_out_is_seen_in_the_full_view(buckets: int) -> None:
    evidence = Evidence.objects.get(name="0006-soft-start.csv")
    view = view_of(evidence, Wanted(channel=2, buckets=buckets))
    settled = view.low[int(0.75 * len(view.low)) :]
    # The rail is settled from 8.6 ms on; only the sample at 14.2 ms lies below.
    assert min(settled) == pytest.approx(2.71, abs=1e-6)
    assert sum(low < 3.2 for low in settled) == 1


def test_the_sweep_lies_inside_its_mask() -> None:
    found = analysis("0006-ch1-flatness.csv", 2)
    assert number_found(found, "mask_margin").value == pytest.approx(0.5 - 0.17, abs=0.01)
    assert number_found(found, "mask_points_outside").value == 0
    assert any("Inside the mask, worst at 20 Hz" in statement for statement in found.statements)


def test_readings_agree_with_the_numbers_behind_them() -> None:
    links = MeasurementEvidence.objects.exclude(number="").select_related("measurement__target", "analysis")
    apart = {}
    for link in links:
        assert link.analysis is not None
        assert link.measurement.target is not None
        assert link.measurement.value_base is not None
        assert link.measurement.uncertainty_base is not None
        difference = number_found(link.analysis, link.number).value - link.measurement.value_base
        apart[link.measurement.target.key] = abs(difference) / link.measurement.uncertainty_base
    assert set(apart) == {"PIN-4", "RLD-5", "RLD-6", "AFE-3", "AFE-6"}
    assert max(apart.values()) <= 1


def test_every_picture_is_ready_to_be_shown() -> None:
    # What is drawn from Gerber files comes beside them.
    pictures = Evidence.objects.filter(kind="photo", board_pictures__isnull=True)
    assert pictures.count() == 14
    assert all(is_shown(one) for one in pictures)
    assert {_longest_side(one) for one in pictures} == {320}


def _longest_side(picture: Evidence) -> int:
    with Image.open(shown_path(picture, "320.webp")) as thumbnail:
        return max(thumbnail.size)


def test_every_capture_was_analysed() -> None:
    assert set(Analysis.objects.values_list("evidence__kind", "state")) == {
        ("waveform", "done"),
        ("sweep", "done"),
        ("audio", "done"),
    }
    assert not Job.objects.filter(finished_at__isnull=True).exists()


def test_nothing_was_altered() -> None:
    answer = StringIO()
    call_command("verify", stdout=answer)
    assert "everything agrees" in answer.getvalue()


@pytest.mark.parametrize("name", MADE)
def test_a_file_is_the_same_each_time_it_is_made(name: str) -> None:
    assert MADE[name]() == MADE[name]()


def test_the_sweep_is_level_at_1_khz() -> None:
    assert captures.sweep_db(np.array([1000.0]))[0] == pytest.approx(0, abs=1e-4)
