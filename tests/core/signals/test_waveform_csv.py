"""Waveform files in several layouts, and hostile ones."""

from __future__ import annotations

import contextlib

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import CoreError, SignalError
from logbook.core.signals import (
    corners,
    read_sweep_csv,
    read_wav,
    read_waveform_csv,
    waveform_numbers,
)

LAYOUTS = {
    "one line of names": b"Time (s),CH1 (V)\n0,0.1\n1e-6,0.2\n2e-6,0.3\n",
    "names and units": b"Time,CH1\r\nus,mV\r\n0,100\r\n1,200\r\n2,300\r\n",
    "semicolons": b"Time (s);CH1 (V)\n0;0.1\n1e-6;0.2\n2e-6;0.3\n",
    "tabs": b"Time (s)\tCH1 (V)\n0\t0.1\n1e-6\t0.2\n2e-6\t0.3\n",
    "interval in the head": b"Model,none\nSample interval (us),1\nCH1 (V)\n0.1\n0.2\n0.3\n",
    "rate in the head": b"# Sample rate: 1 MHz\nCH1 (V)\n0.1\n0.2\n0.3",
    "increment in the head": b"X,CH1,Start,Increment\nSequence,Volt,0,1e-6\n0,0.1,,\n1,0.2,,\n2,0.3,,\n",
    "settings beside": b"Length,3,,0,0.1,\nSample Interval,1e-6,,1e-6,0.2,\n,,,2e-6,0.3,\n",
    "short line above settings": b"Bench\nLength,3,,0,0.1,\nSample Interval,1e-6,,1e-6,0.2,\n,,,2e-6,0.3,\n",
    "byte order mark": "\ufeffTime (µs),CH1 (V)\n0,0.1\n1,0.2\n2,0.3\n".encode(),
    "latin-1": "Time (µs),CH1 (V)\n0,0.1\n1,0.2\n2,0.3\n".encode("latin-1"),
    "quoted": b'"Time (s)","CH1 (V)"\n"0","0.1"\n"1e-6","0.2"\n"2e-6","0.3"\n',
    "trailing delimiter": b"Time (s),CH1 (V),\n0,0.1,\n1e-6,0.2,\n2e-6,0.3,\n",
    "tiny exponent": b"Time (s),CH1 (V)\n1e-99999999999999999999,0.1\n1e-6,0.2\n2e-6,0.3\n",
    "decimal commas": b"Time (s);CH1 (V)\n0;0,1\n0,000001;0,2\n2,0E-6;0,3\n",
    "decimal commas between tabs": b"Time (us)\tCH1 (V)\n0\t,1\n1\t0,2\n2\t+0,3\n",
    "decimal commas, last row whole": b"Time (us);CH1 (mV)\n0;100,0\n1;200,0\n2;300\n",
    "decimal comma in the head": b"Sample interval;1,0E-6\nCH1 (V);\n0,1;\n0,2;\n0,3;\n",
    "version in the head": b"Version;1.2\nTime (us);CH1 (V)\n0;0,1\n1;0,2\n2;0,3\n",
    "no head": b"0,0.1\n0.000001,0.2\n0.000002,0.3\n",
}
REFUSED = {
    "empty": (b"", "empty"),
    "no numbers": (b"a,b\nc,d\n", "line 2, column 1"),
    "comma below points": (
        b"Time;CH1\n0;1.5\n1;2,5\n2;3.5\n",
        "2,5 in line 3, column 2 has a decimal comma, but line 4 has decimal points",
    ),
    "point below commas": (
        b"Time;CH1\n0;1.5\n1;2,5\n",
        "1.5 in line 2, column 2 has a decimal point, but line 3 has decimal commas",
    ),
    "mark that changes below": (
        b"Time;CH1\n" + b"0,5;1\n" * 3 + b"0.5;1\n" * 3,
        "0,5 in line 2, column 1 has a decimal comma, but line 7 has decimal points",
    ),
    "thousands": (b"t;U\n0;1.234,5\n1;2,5\n", "1.234,5 in line 2, column 2 is no finite number"),
    "split decimals": (b"time,a,b\n0,1,5,2,5\n1,1,5,2,5\n", "3 names"),
    "nan": (b"0,1\n1,nan\n2,3\n", "line 2, column 2"),
    "infinite": (b"0,1\n1,1e999\n2,3\n", "line 2, column 2"),
    "empty cell": (b"0,1\n1,\n2,3\n", "line 2, column 2 is empty"),
    "empty first cell": (b"0,\n1,2\n2,3\n", "line 1, column 2 is empty"),
    "short row": (b"0,1,2\n1,2\n2,3,4\n", "Line 2 has 2 columns"),
    "long row": (b"0,1,\n1,2,3,\n2,3,\n", "Line 2 has 4 columns"),
    "text below": (b"0,1,\n1,2,\n" * 60 + b"1,2,x\n2,3,\n", "Line 121"),
    "backwards": (b"Time (s),V\n0,1\n2,2\n1,3\n3,4\n", "line 4"),
    "no time": (b"CH1,CH2\n1,2\n3,4\n", "no time column"),
    "one sample": (b"0,1\n", "one sample"),
    "endless start": (b"Start time,1e999\nSample interval,1\nV\n1\n2\n", "finite time"),
    "binary": (b"\0\1,2\n", "not text"),
    "many columns": (b"1," * 100 + b"1\n", "101 columns"),
    "one long line": (b"1," * 100_000, "characters"),
}


@pytest.mark.parametrize("name", list(LAYOUTS))
def test_it_reads_every_layout_alike(name: str) -> None:
    found = read_waveform_csv(LAYOUTS[name])
    assert found.interval_s == pytest.approx(1e-6)
    assert len(found.channels) == 1
    assert found.channels[0].samples == pytest.approx([0.1, 0.2, 0.3])


@pytest.mark.parametrize("name", list(REFUSED))
def test_it_refuses_and_names_the_place(name: str) -> None:
    data, message = REFUSED[name]
    with pytest.raises(SignalError, match=message):
        read_waveform_csv(data)


def test_uneven_times_are_kept() -> None:
    found = read_waveform_csv(b"t (s),V\n0,0\n1,2\n3,2\n")
    assert found.times_s is not None
    assert found.times_s.tolist() == [0, 1, 3]


def test_times_rounded_in_print_are_taken_as_even_and_said() -> None:
    rows = "\n".join(f"{0.04 * i:.1f},{i}" for i in range(100))
    found = read_waveform_csv(f"Time (s),V\n{rows}".encode())
    assert found.interval_s == pytest.approx(0.04, rel=0.02)
    assert "printed" in found.notes[0]


@pytest.mark.parametrize("cap", ["max_bytes", "max_rows", "max_columns"])
def test_it_keeps_to_its_caps(cap: str) -> None:
    with pytest.raises(SignalError):
        read_waveform_csv(LAYOUTS["no head"], **{cap: 1})


@pytest.mark.parametrize("rail", ["+3V3_D", "3V3", "5V0 analogue", "-5V0_A", "12 V in"])
def test_a_rail_named_by_its_voltage_is_a_name(rail: str) -> None:
    wave = read_waveform_csv(f"Time (ms),{rail} (mV)\n0,10\n1,20\n2,10\n".encode())
    assert (wave.channels[0].name, wave.channels[0].unit, wave.interval_s) == (rail, "V", 0.001)


def test_a_bracketed_unit_after_a_number_is_still_a_setting() -> None:
    wave = read_waveform_csv(b"Sample interval,1e-3 (s)\nCH1 (V)\n1\n2\n3\n")
    assert (wave.interval_s, wave.channels[0].name) == (0.001, "CH1")


def test_what_is_written_is_read_back() -> None:
    values = np.random.default_rng(2).normal(size=(500, 3))
    rows = "\n".join(f"{i},{a!r},{b!r},{c!r}" for i, (a, b, c) in enumerate(values.tolist()))
    found = read_waveform_csv(f"Time (ms),a,b,c\n{rows}\n".encode())
    assert np.array_equal(np.stack([one.samples for one in found.channels], axis=1), values)


CELLS = st.sampled_from(
    [
        "",
        "0",
        "1",
        "-1.5e3",
        "nan",
        "inf",
        "1e999",
        "x",
        "Time (s)",
        "V",
        '"',
        "dt",
        "Sample rate:",
        "1,5",
        "=1",
        "²",
        "1_0",
    ]
)
ROWS = st.lists(st.lists(CELLS, max_size=5), max_size=8)


@given(ROWS, st.sampled_from(",;\t"), st.sampled_from(["\n", "\r\n", "\r"]))
def test_whatever_the_cells_only_our_own_errors_leave(rows: list[list[str]], mark: str, end: str) -> None:
    data = end.join(mark.join(row) for row in rows).encode()
    with contextlib.suppress(CoreError):
        waveform_numbers(read_waveform_csv(data))
    with contextlib.suppress(CoreError):
        corners(read_sweep_csv(data))


@given(st.binary(max_size=300))
def test_whatever_the_bytes_only_our_own_errors_leave(data: bytes) -> None:
    for read in (read_waveform_csv, read_sweep_csv, read_wav):
        with contextlib.suppress(CoreError):
            read(data)


def test_units_behind_an_underscore_are_read_where_the_time_has_one() -> None:
    found = read_waveform_csv(b"time_ms,v_mV\n0,1\n1,2\n")
    assert (found.interval_s, found.channels[0].name, found.channels[0].unit) == (0.001, "v", "V")
    assert found.channels[0].samples.tolist() == [0.001, 0.002]
    assert read_waveform_csv(b"Time (s),CH_A\n0,1\n1,2\n").channels[0].name == "CH_A"


@pytest.mark.parametrize(
    ("head", "name"),
    [("Unit,mV\n", "column 1"), ("Unit,mV\nCH1\n", "CH1"), ("CH1\nUnits,mV\n", "CH1")],
    ids=["alone", "before the name", "behind the name"],
)
def test_a_line_of_units_gives_the_channel_its_unit(head: str, name: str) -> None:
    found = read_waveform_csv(f"Sample interval,1e-6\n{head}1\n2\n3\n".encode())
    (channel,) = found.channels
    assert (found.interval_s, channel.name, channel.unit) == (1e-6, name, "V")
    assert channel.samples.tolist() == [0.001, 0.002, 0.003]


def test_a_file_of_one_row_is_called_too_short() -> None:
    with pytest.raises(SignalError, match="too short"):
        read_waveform_csv(b"time_s,v_V\n0,1\n")
