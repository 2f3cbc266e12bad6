"""Numbers of captures and what was asked, in words."""

from __future__ import annotations

import pytest

from logbook.evidence.parameters import checked_parameters
from logbook.evidence.queries import FoundNumber
from logbook.web.capture_words import asked_text, number_name, number_text, to_step_of


@pytest.mark.parametrize(
    ("name", "written"),
    [
        ("thdn_db", "THD+N"),
        ("level_dbfs", "level"),
        ("dc_offset_v", "DC offset"),
        ("frequency_hz", "frequency"),
        ("rise_time", "rise time"),
        ("crosstalk_to_channel_2", "crosstalk to channel 2"),
    ],
)
def test_a_number_is_called_what_a_bench_calls_it(name: str, written: str) -> None:
    assert number_name(name) == written


def test_a_number_is_written_to_six_digits_with_a_prefix() -> None:
    assert number_text(FoundNumber("rise_time", 0.0060878123, "s", "")) == "6.08781 ms"


def test_a_count_is_written_whole() -> None:
    assert number_text(FoundNumber("mask_points_outside", 1_234_567, "", "")) == "1234567"


def test_what_was_asked_is_said_with_its_units() -> None:
    asked = checked_parameters("sweep", {"at_hz": "20 Hz", "gain_unit": "dB", "mask": "20,-1,1\n2000,-1,1"})
    assert asked_text("sweep", asked) == "gain is a dB, gain at 20 Hz, limit mask"


def test_a_level_of_the_trace_is_said_without_a_unit() -> None:
    asked = checked_parameters("waveform", {"full_scale_low": "-5", "full_scale_high": "5", "channel": "2"})
    assert asked_text("waveform", asked) == "channel 2, range from -5, range to 5"


@pytest.mark.parametrize(
    ("name", "value", "text"),
    [("mean", -7.10543e-18, "0 V"), ("mean", 0.12345678, "123.46 mV"), ("offset", 1e-9, "1 nV")],
)
def test_a_level_is_rounded_to_the_range_of_its_trace(name: str, value: float, text: str) -> None:
    number = FoundNumber(name, value, "V", "")
    assert number_text(to_step_of(number, 3.3)) == text
