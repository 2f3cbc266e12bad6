"""Sweep files in several layouts."""

from __future__ import annotations

import pytest

from logbook.core.errors import SignalError
from logbook.core.signals import read_sweep_csv


@pytest.mark.parametrize(
    "data",
    [
        b"Frequency (Hz),Gain (dB),Phase (deg)\n1000,20,-90\n2000,0,-180\n",
        b"Frequency,Phase,Gain\nkHz,deg,dB\n1,-90,20\n2,-180,0\n",
        b"freq_x;gain ratio;phase (rad)\n1000;10;-1.5707963267948966\n2000;1;-3.141592653589793\n".replace(
            b"_x", b""
        ),
        b"Frequency (kHz),Gain (V/V),Phase (deg)\n2,1,-180\n1,10,-90\n",
    ],
    ids=["decibels", "two lines", "ratio and radian", "falling"],
)
def test_it_reads_every_layout_alike(data: bytes) -> None:
    found = read_sweep_csv(data)
    assert found.frequencies_hz == pytest.approx([1000, 2000])
    assert found.gains_db == pytest.approx([20, 0])
    assert found.phases_deg == pytest.approx([-90, -180])


def test_the_unit_of_the_gain_may_be_told() -> None:
    assert read_sweep_csv(b"1,10\n2,1\n", gain_unit="ratio").gains_db == pytest.approx([20, 0])


@pytest.mark.parametrize(
    "data",
    [
        b"1,10\n2,1\n",
        b"f (Hz),ratio\n1,0\n2,1\n",
        b"f (Hz),dB\n1,0\n1,1\n",
        b"Time (s),dB\n1,0\n2,1\n",
        b"f,dB\n0,0\n2,1\n",
    ],
    ids=["no unit", "ratio of nothing", "standing", "time", "at 0 Hz"],
)
def test_it_refuses_what_is_no_sweep(data: bytes) -> None:
    with pytest.raises(SignalError):
        read_sweep_csv(data)
