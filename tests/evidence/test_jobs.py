"""What analyses find, and what they refuse."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from logbook.common import jobs as common_jobs
from logbook.common.jobs import Hold, HoldLostError, run_waiting
from logbook.common.models import Job
from logbook.evidence import images, storage
from logbook.evidence.commands import ask_analysis, store_numbers
from logbook.evidence.jobs import analyse
from logbook.evidence.models import Analysis, Evidence
from tests.builders import Bench
from tests.evidence import files
from tests.evidence.conftest import Adder

pytestmark = pytest.mark.django_db


def _analysed(evidence: Evidence, bench: Bench, **parameters: Any) -> Analysis:
    analysis = ask_analysis(actor=bench.actor, evidence=evidence, parameters=parameters)
    run_waiting()
    analysis.refresh_from_db()
    return analysis


def _number(analysis: Analysis, name: str) -> Any:
    return analysis.numbers[name]["value"]


def test_it_finds_the_numbers_of_a_waveform(add: Adder, bench: Bench) -> None:
    analysis = _analysed(add(files.square_wave()), bench)
    assert (analysis.state, analysis.progress, analysis.attempt) == ("done", 100, 1)
    assert _number(analysis, "frequency") == pytest.approx(1000, rel=1e-6)
    assert _number(analysis, "peak_to_peak") == pytest.approx(3.3)
    assert analysis.numbers["peak_to_peak"]["unit"] == "V"


def test_it_finds_the_numbers_of_a_sweep(add: Adder, bench: Bench) -> None:
    analysis = _analysed(add(files.sweep()), bench, at_hz="1 kHz", band_low_hz=10, band_high_hz=100)
    # A first-order low-pass: half the power at its corner, 10 lg(1 + (f/fc)^2).
    assert _number(analysis, "upper_corner") == pytest.approx(1000, rel=2e-3)
    assert _number(analysis, "gain") == pytest.approx(-3.0103, abs=2e-3)
    assert _number(analysis, "flatness") == pytest.approx(0.0432 - 0.000434, abs=1e-4)


def test_it_finds_the_numbers_of_an_audio_capture(add: Adder, bench: Bench) -> None:
    analysis = _analysed(add(files.tone()), bench, full_scale_vrms="2 V")
    assert _number(analysis, "level_dbfs") == pytest.approx(-6.02, abs=0.01)
    assert _number(analysis, "level_dbv") == pytest.approx(0, abs=0.01)
    assert _number(analysis, "frequency_hz") == pytest.approx(997, abs=0.01)
    assert any("weighting Z" in statement for statement in analysis.statements)


def test_it_holds_a_sweep_against_a_mask(add: Adder, bench: Bench) -> None:
    analysis = _analysed(add(files.sweep()), bench, mask="20, -1, 1\n2000, -1, 1")
    assert _number(analysis, "mask_margin") == pytest.approx(1 - 6.9897, abs=0.01)
    assert any("Outside the mask, worst at 2000 Hz" in statement for statement in analysis.statements)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        pytest.param(b"Time (s),CH1 (V)\n0,1\n1,nan\n2,3\n", "nan", id="a hole"),
        pytest.param(b"Time (s),CH1 (V)\n0,1\n2,1\n1,3\n", "does not increase", id="time runs back"),
        pytest.param(b"Frequency (Hz),Gain\n1,1\n2,0.5\n", "dB or a ratio", id="gain without unit"),
        pytest.param(b"RIFF\x24\0\0\0WAVEfmt ", "holds no samples", id="WAV that breaks off"),
    ],
)
def test_it_refuses_with_the_reason(add: Adder, bench: Bench, data: bytes, says: str) -> None:
    analysis = _analysed(add(data), bench)
    assert analysis.state == "refused"
    assert says in analysis.problem
    assert not analysis.numbers


def test_uneven_steps_are_never_silent(add: Adder, bench: Bench) -> None:
    rows = b"".join(b"%g,%d\n" % (n + 0.4 * (n % 3), n % 5) for n in range(50))
    analysis = _analysed(add(b"Time (s),CH1 (V)\n" + rows), bench)
    assert analysis.state == "done"
    assert any("uneven" in statement for statement in analysis.statements)


def test_it_refuses_a_file_that_was_altered_behind_its_back(add: Adder, bench: Bench) -> None:
    evidence = add(files.sweep())
    path = storage.original(evidence.sha256)
    path.chmod(0o644)
    path.write_bytes(files.sweep() + b"\n")
    assert "no longer what was given" in _analysed(evidence, bench).problem


def test_it_analyses_once_however_often_it_is_called(add: Adder, bench: Bench) -> None:
    analysis = _analysed(add(files.sweep()), bench)
    job = Job.objects.get(subject_id=analysis.pk, name="analyse-capture")
    analyse(Hold(job.pk, analysis.pk, job.name, job.attempts))
    after = Analysis.objects.get(pk=analysis.pk)
    assert (after.finished_at, after.attempt) == (analysis.finished_at, 1)


def test_a_slow_worker_cannot_overwrite_what_its_successor_found(add: Adder, bench: Bench) -> None:
    add(files.sweep())
    job = Job.objects.get()
    slow = common_jobs.claim(job.pk)
    Job.objects.update(leased_until=timezone.now() - timedelta(seconds=1))
    run_waiting()
    assert slow is not None
    with pytest.raises(HoldLostError):
        store_numbers(hold=slow, numbers={}, statements=["wrong"])
    assert Analysis.objects.get().attempt == 2
    assert "wrong" not in Analysis.objects.get().statements


def test_the_same_analysis_gives_the_same_numbers(add: Adder, bench: Bench) -> None:
    evidence = add(files.tone(channels=2))
    assert _analysed(evidence, bench).numbers == _analysed(evidence, bench).numbers


def test_it_prepares_a_picture_in_the_background(add: Adder) -> None:
    evidence = add(files.picture("PNG", (2000, 1000)))
    assert not storage.beside(evidence.sha256, "320.webp").exists()
    run_waiting()
    assert all(storage.beside(evidence.sha256, suffix).exists() for suffix in images.SIDES)
