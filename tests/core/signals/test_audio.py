"""Audio numbers against synthetic truth."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from logbook.core.errors import SignalError
from logbook.core.signals import AudioCapture, audio_numbers, crosstalk_db, loudness_lkfs, weighting_db
from logbook.core.signals.distortion import quantiser_snr
from logbook.core.signals.loudness import k_weighting
from logbook.core.signals.spectrum import smooth_length, tone_frequency
from tests.core.signals.golden import agrees, audio, kind, one, tones


@pytest.mark.parametrize("entry", kind("thdn"))
def test_it_reproduces_distortion_and_noise(entry: dict[str, Any]) -> None:
    given = entry["inputs"]
    found = audio_numbers(audio(tones(given["N"], dict(given["tones"]))))
    names = ("thdn_percent", "thdn_db", "thd_f_percent")
    assert agrees(entry, {name: getattr(found, name) for name in names})


@pytest.mark.parametrize("count", [48_000, 47_981, 20_011], ids=["coherent", "prime", "short prime"])
def test_a_tone_that_fits_no_whole_period_reads_true(count: int) -> None:
    found = audio_numbers(audio(0.3 + tones(count, {997.37: 0.5, 1994.74: 5e-6})))
    assert found.thd_f_db == pytest.approx(-100, abs=0.01)
    assert found.thdn_db == pytest.approx(-100, abs=0.01)
    assert found.frequency_hz == pytest.approx(997.37, abs=1e-6)
    assert found.dc_offset == pytest.approx(0.3, abs=1e-9)
    assert found.fundamental_dbfs == pytest.approx(-6.0206, abs=1e-4)


def test_a_polynomial_makes_the_harmonics_of_its_identities() -> None:
    x = tones(48_000, {1000.0: 1.0})
    found = audio_numbers(audio(x + 0.01 * x**2 + 0.003 * x**3)).harmonic_amplitudes
    assert agrees(one("G-38"), dict(zip(("h1", "h2", "h3"), found, strict=False)))


def test_a_quantised_sine_shows_the_noise_of_its_bits() -> None:
    x = np.round(tones(65_536, {997.1: 1.0}) * 2048) / 2048
    found = audio_numbers(audio(x), bandwidth_hz=(0, 24_000))
    assert found.sinad_db == pytest.approx(quantiser_snr(12), abs=0.3)
    assert found.enob_bits == pytest.approx(12, abs=0.05)


def test_noise_far_below_a_tone_is_not_lost_in_its_rounding() -> None:
    """161 dB below: the tone's power taken from the whole would leave its rounding instead."""
    noise = np.random.default_rng(2).normal(0, 3e-9, 48_000)
    found = audio_numbers(audio(tones(48_000, {1000.0: 0.5}) + noise), bandwidth_hz=(0, 24_000))
    assert found.snr_db == pytest.approx(20 * np.log10(0.5 / 2**0.5 / 3e-9), abs=0.1)


def test_a_weighting_weighs_noise_as_its_curve() -> None:
    x = tones(48_000, {100.0: 0.1})
    flat, weighted = (audio_numbers(audio(x), weighting=w).band_level_dbfs for w in ("Z", "A"))
    assert flat is not None
    assert weighted is not None
    assert weighted - flat == pytest.approx(weighting_db([100.0], "A")[0], abs=0.05)


def test_noise_without_a_tone_has_a_level_and_no_distortion() -> None:
    noise = np.random.default_rng(1).normal(0, 1e-3, 48_000)
    found = audio_numbers(audio(noise), bandwidth_hz=(20, 24_000), full_scale_vrms=2.0)
    assert found.band_level_dbfs == pytest.approx(20 * np.log10(1e-3 * 2**0.5), abs=0.3)
    assert found.band_level_dbv == pytest.approx(20 * np.log10(1e-3 * 2**0.5 * 2), abs=0.3)
    assert found.thdn_db is None
    assert "No tone" in found.notes[0]


def test_silence_has_no_level() -> None:
    found = audio_numbers(audio(np.zeros(1000)))
    assert (found.level_dbfs, found.peak_dbfs, found.thdn_db) == (None, None, None)


def test_clipped_samples_are_counted_and_said() -> None:
    found = audio_numbers(audio(np.clip(tones(48_000, {997.0: 1.2}), -1, 1)))
    assert found.is_clipped
    assert "clipped" in found.notes[-1]


@pytest.mark.parametrize(
    "options",
    [
        {"channel": 1},
        {"bandwidth_hz": (20, 10)},
        {"bandwidth_hz": (30_000, 40_000)},
        {"fundamental_hz": 30_000.0},
    ],
    ids=["channel", "upside down", "beyond", "fundamental"],
)
def test_it_refuses_the_impossible(options: dict[str, Any]) -> None:
    with pytest.raises(SignalError):
        audio_numbers(audio(tones(4800, {997.0: 1.0})), **options)


@pytest.mark.parametrize("count", [1, 63])
def test_it_refuses_a_capture_too_short(count: int) -> None:
    with pytest.raises(SignalError):
        audio_numbers(audio(np.ones(count)))


def test_it_refuses_a_sample_that_is_no_number() -> None:
    with pytest.raises(SignalError, match="Frame 2 of channel 1"):
        AudioCapture(48_000, np.array([[0.0, np.nan]]), 32)


def test_crosstalk_is_the_tone_in_the_quiet_channel() -> None:
    both = np.stack((tones(48_000, {997.3: 0.5}), tones(48_000, {997.3: 0.5e-4, 50.0: 1e-3})))
    assert crosstalk_db(audio(both)) == pytest.approx(-80, abs=1e-3)


@pytest.mark.parametrize("entry", kind("finterp"))
def test_it_finds_a_frequency_between_bins(entry: dict[str, Any]) -> None:
    given = entry["inputs"]
    assert agrees(entry, tone_frequency(tones(given["N"], {given["f"]: 1.0}), given["fs"]))


@pytest.mark.parametrize("count", [1, 7, 60, 999_983])
def test_a_smooth_length_has_no_large_prime_and_none_is_closer(count: int) -> None:
    def is_smooth(n: int) -> bool:
        for prime in (2, 3, 5):
            while n % prime == 0:
                n //= prime
        return n == 1

    expected = next(n for n in range(count, 0, -1) if is_smooth(n))
    assert smooth_length(count) == expected


@pytest.mark.parametrize("entry", kind("lufs"))
def test_it_reproduces_the_loudness_of_the_reference_tone(entry: dict[str, Any]) -> None:
    given = entry["inputs"]
    found = loudness_lkfs(audio(tones(5 * given["fs"], {given["f"]: 1.0}), given["fs"]))
    assert agrees(entry, found)


def test_the_loudness_filter_is_the_printed_one_at_48_khz() -> None:
    # ITU-R BS.1770-4, annex 1, table 1 (from memory).
    (numerator, denominator), _ = k_weighting(48_000)
    assert numerator == pytest.approx([1.53512485958697, -2.69169618940638, 1.19839281085285], abs=1e-9)
    assert denominator == pytest.approx([1, -1.69065929318241, 0.73248077421585], abs=1e-9)
