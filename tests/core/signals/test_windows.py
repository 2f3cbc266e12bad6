"""Windows against published figures and SciPy."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.signal import windows

from logbook.core.errors import SignalError
from logbook.core.signals.windows import WINDOWS, noise_bandwidth_bins, periodic_window, window_figures
from tests.core.signals.golden import agrees, kind


@pytest.mark.parametrize("entry", kind("window"))
def test_it_reproduces_the_published_figures(entry: dict[str, Any]) -> None:
    found = window_figures(entry["inputs"]["coeffs"])
    named = window_figures(entry["inputs"]["window"])
    assert found == named
    assert agrees(entry, dict(zip(("cg", "enbw", "scallop_db"), found, strict=True)))


@pytest.mark.parametrize("entry", kind("hannsym"))
def test_a_symmetric_window_is_wider(entry: dict[str, Any]) -> None:
    assert agrees(entry, [noise_bandwidth_bins(windows.hann(n, sym=True)) for n in entry["inputs"]["N"]])


@pytest.mark.parametrize("name", list(WINDOWS))
@pytest.mark.parametrize("count", [1, 2, 63, 64, 1001])
def test_its_samples_agree_with_scipy(name: str, count: int) -> None:
    expected = windows.general_cosine(count, WINDOWS[name], sym=False) if count > 1 else None
    found = periodic_window(name, count)
    assert expected is None or found == pytest.approx(expected, abs=1e-12)
    assert found.size == count


def test_the_side_lobes_of_seven_terms_lie_180_db_down() -> None:
    padded = np.abs(np.fft.rfft(periodic_window("blackmanharris7", 1024), 32 * 1024))
    assert 20 * np.log10(padded[8 * 32 :].max() / padded[0]) < -175


def test_it_refuses_an_unknown_window() -> None:
    with pytest.raises(SignalError):
        periodic_window("kaiser", 64)
