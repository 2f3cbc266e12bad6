"""Distortion and converter figures against published values and simulation."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from logbook.core.errors import SignalError
from logbook.core.signals.distortion import (
    alias_frequency,
    distortion,
    effective_bits,
    jitter_peak_to_peak,
    jitter_snr,
    quantiser_floor_per_bin,
    quantiser_snr,
    sinad_from,
)
from tests.core.signals.golden import agrees, kind, one


@pytest.mark.parametrize("entry", kind("thd"))
def test_it_reproduces_the_distortion_of_given_harmonics(entry: dict[str, Any]) -> None:
    assert agrees(entry, distortion(entry["inputs"]["amps"])._asdict())


def test_it_reproduces_the_distortion_of_ideal_waves() -> None:
    orders = np.arange(1, 2_000_001)
    odd = orders[::2]
    square = distortion(1 / odd)
    found = {
        "square": square.thd_f_percent,
        "triangle": distortion(1 / odd.astype(float) ** 2).thd_f_percent,
        "sawtooth": distortion(1 / orders).thd_f_percent,
        "square_r": square.thd_r_percent,
    }
    assert agrees(one("G-05"), found)


@pytest.mark.parametrize("entry", kind("quant"))
def test_it_reproduces_the_ideal_quantiser(entry: dict[str, Any]) -> None:
    assert agrees(entry, [quantiser_snr(bits) for bits in entry["inputs"]["N"]])


@pytest.mark.parametrize("entry", kind("enob"))
def test_it_reproduces_effective_bits(entry: dict[str, Any]) -> None:
    assert agrees(entry, effective_bits(entry["inputs"]["sinad"]))


@pytest.mark.parametrize("entry", kind("sinad"))
def test_it_adds_noise_and_distortion_as_powers(entry: dict[str, Any]) -> None:
    sinad = sinad_from(entry["inputs"]["snr"], entry["inputs"]["thd"])
    assert agrees(entry, {"sinad": sinad, "enob": effective_bits(sinad)})


@pytest.mark.parametrize("entry", kind("alias"))
def test_it_folds_frequencies(entry: dict[str, Any]) -> None:
    given = entry["inputs"]
    assert agrees(entry, [alias_frequency(hertz, given["fs"]) for hertz in given["f"]])


@pytest.mark.parametrize("entry", kind("jpp"))
def test_it_reproduces_the_spread_of_jitter(entry: dict[str, Any]) -> None:
    assert agrees(entry, [jitter_peak_to_peak(rate) for rate in entry["inputs"]["ber"]])


def test_it_reproduces_the_limit_of_jitter() -> None:
    given = one("G-35")["inputs"]["vars"]
    assert agrees(one("G-35"), {"snr": jitter_snr(given["f"], given["tj"])})


def test_it_reproduces_the_noise_floor_of_a_converter() -> None:
    given = one("G-39")["inputs"]["vars"]
    bandwidth_hz = given["c"] * given["fs"] / given["N"]
    assert agrees(one("G-39"), {"floor": quantiser_floor_per_bin(16, given["N"]), "enbw_hz": bandwidth_hz})


@pytest.mark.parametrize(
    "call",
    [
        lambda: distortion([0, 1]),
        lambda: distortion([1, -1]),
        lambda: quantiser_snr(0),
        lambda: quantiser_floor_per_bin(16, 1),
        lambda: jitter_snr(0, 1),
        lambda: jitter_peak_to_peak(0.5),
        lambda: alias_frequency(-1, 48000),
    ],
    ids=["no fundamental", "negative", "no bits", "short", "no jitter", "even odds", "negative frequency"],
)
def test_it_refuses_the_impossible(call: Any) -> None:
    with pytest.raises(SignalError):
        call()
