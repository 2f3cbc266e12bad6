"""Numbers of traces against closed forms."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad

from logbook.core.errors import SignalError
from logbook.core.signals import waveform_numbers
from logbook.core.signals.integrals import mean_and_rms
from logbook.core.signals.states import StateLevels, states
from logbook.core.signals.transitions import transitions
from tests.core.signals.golden import agrees, kind, one, wave

TURNS = (np.arange(200_000) + 0.5) / 200_000


@pytest.mark.parametrize("entry", kind("nonuni"))
def test_it_weighs_uneven_samples_by_time(entry: dict[str, Any]) -> None:
    given = entry["inputs"]
    found = mean_and_rms(given["v"], given["t"])
    naive = mean_and_rms(given["v"]).mean
    assert agrees(entry, {"mean": found.mean, "rms": found.rms, "naive_mean": naive})


def test_the_integral_of_uneven_samples_agrees_with_quadrature() -> None:
    times, values = np.array([0, 0.3, 1.7, 2.0]), np.array([1.0, -2.0, 0.5, 4.0])
    square, _ = quad(lambda t: np.interp(t, times, values) ** 2, 0, 2, points=list(times[1:-1]))
    assert mean_and_rms(values, times).rms == pytest.approx((square / 2) ** 0.5)


@pytest.mark.parametrize("entry", kind("edge"))
def test_it_reproduces_the_linear_edge(entry: dict[str, Any]) -> None:
    given, found = entry["inputs"], {}
    levels = states(given["v"]).levels
    assert levels == pytest.approx((0, 3.3))
    for low, high in given["levels"]:
        rising, _ = transitions(given["v"], given["t_ns"], StateLevels(*levels), (low, high))
        found[f"t{low}_{high}"] = float(rising.durations_s[0])
    assert agrees(entry, found)


def test_rms_of_unit_waves_agrees_with_the_closed_forms() -> None:
    sine = np.sin(2 * np.pi * TURNS)
    waves = {
        "sine": sine,
        "triangle": 4 * np.abs(TURNS - 0.5) - 1,
        "half": np.maximum(sine, 0),
        "pulse": (TURNS < 0.2) * 1.0,
    }
    found = {name: waveform_numbers(wave(v)).rms for name, v in waves.items()}
    found["fwmean"] = waveform_numbers(wave(np.abs(sine))).mean
    assert found == pytest.approx(one("G-26")["expected"], rel=1e-8)


def test_a_pulse_train_has_frequency_and_duty() -> None:
    train = ((np.arange(10_000) % 100) < 25) * 3.3
    found = waveform_numbers(wave(train, 1e-6))
    assert found.frequency_hz == pytest.approx(10_000)
    assert found.duty_percent == pytest.approx(25)
    assert found.amplitude == pytest.approx(3.3)
    assert not found.is_clipped


def test_an_offset_sine_of_no_whole_number_of_periods_keeps_its_frequency() -> None:
    times = np.arange(10_000) * 1e-5
    found = waveform_numbers(wave(5 + np.sin(2 * np.pi * 123.4 * times), 1e-5))
    assert found.frequency_hz == pytest.approx(123.4, rel=1e-6)


def test_uneven_steps_are_used_as_they_are_and_said() -> None:
    index = np.arange(2000)
    times = 0.01 * index + 0.004 * np.sin(index**2)
    found = waveform_numbers(wave(np.sin(2 * np.pi * 0.731 * times), times_s=times))
    assert found.frequency_hz == pytest.approx(0.731, rel=1e-3)
    assert "uneven" in found.notes[0]


@pytest.mark.parametrize(
    ("samples", "note"),
    [
        (np.ones(100), "one level"),
        (np.random.default_rng(0).normal(0, 1, 5000), "differ"),
        (np.repeat([0.0, 1.0], 50), "no whole period"),
        (np.repeat([0, 1, 0, 1, 0, 1, 0.0], [5, 5, 5, 5, 50, 5, 5]), "differ"),
    ],
    ids=["constant", "noise", "one edge", "unsteady"],
)
def test_it_says_why_there_is_no_frequency(samples: Any, note: str) -> None:
    found = waveform_numbers(wave(samples))
    assert found.frequency_hz is None
    assert note in " ".join(found.notes)


def test_a_clipped_sine_is_flagged_and_a_whole_one_is_not() -> None:
    sine = np.sin(np.arange(2000) * 0.05)
    assert waveform_numbers(wave(np.clip(sine, -0.8, 0.8))).is_clipped
    assert not waveform_numbers(wave(sine)).is_clipped


@pytest.mark.parametrize("shape", ["sine", "triangle", "square"])
@pytest.mark.parametrize("seed", range(4))
def test_a_few_glitches_do_not_move_the_levels(shape: str, seed: int) -> None:
    turns = np.arange(100_000) * 1e-6 * 1234.567
    sine = np.sin(2 * np.pi * turns)
    wave_of = {"sine": sine, "triangle": np.arcsin(sine) * 2 / np.pi, "square": np.where(sine > 0, 1.0, -1.0)}
    clean = 1.65 + wave_of[shape]
    random = np.random.default_rng(seed)
    glitched = clean.copy()
    glitched[random.integers(0, clean.size, size=1 + seed)] = 5.0
    found, expected = waveform_numbers(wave(glitched, 1e-6)), waveform_numbers(wave(clean, 1e-6))
    assert found.amplitude == pytest.approx(2, rel=0.02)  # closed form: peak to peak of a unit wave
    assert found.frequency_hz == pytest.approx(1234.567, rel=1e-4)
    assert found.rise_time_s == pytest.approx(expected.rise_time_s, rel=1e-3)
    assert found.fall_time_s == pytest.approx(expected.fall_time_s, rel=1e-3)
    assert found.maximum == 5.0
    assert "above the high level" in " ".join(found.notes)
    assert "above the high level" not in " ".join(expected.notes)


def test_one_glitch_is_said_with_its_height() -> None:
    samples = np.where(np.arange(1000) % 100 < 50, 0.0, 1.0)
    samples[310] = -2.5
    assert "1 sample lies 2.5 V below the low level" in " ".join(waveform_numbers(wave(samples)).notes)


def test_a_rare_pulse_on_a_quiet_baseline_stays_a_state() -> None:
    samples = np.random.default_rng(3).integers(-1, 2, 10_000) * 1e-3
    samples[[2000, 4000, 6000, 8000]] = 3.3
    assert states(samples).levels == pytest.approx((0, 3.3), abs=2e-3)


def test_samples_at_the_ends_of_the_range_are_counted() -> None:
    found = waveform_numbers(wave([0, 1, 1, 1, 0, -1, 0]), full_scale=(-1, 1))
    assert (found.clipped_samples, found.is_clipped) == (3, True)


@pytest.mark.parametrize("samples", [[1.0], [0.0, np.nan], [0.0, np.inf]], ids=["short", "nan", "inf"])
def test_it_refuses_a_trace_that_is_none(samples: list[float]) -> None:
    with pytest.raises(SignalError):
        wave(samples)


def test_every_number_has_a_unit() -> None:
    units = {n.name: n.unit for n in waveform_numbers(wave([0, 1, 0, 1, 0])).numbers()}
    assert (units["rms"], units["rise_time"], units["overshoot"]) == ("V", "s", "%")
