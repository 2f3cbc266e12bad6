from typing import Any

import pytest

from logbook.core.errors import CoreError
from logbook.core.tolerance import parse_part
from tests.core.tolerance.golden import agrees, entry

RANGE = {"low": -40, "high": 85, "reference": 25}


@pytest.mark.parametrize(
    ("given", "low", "nominal", "high", "unit"),
    [
        ({"nominal": "0.8 V", "tolerance": "1 %"}, 0.792, 0.8, 0.808, "V"),
        ({"nominal": "0.8 V", "tolerance": "± 1 %"}, 0.792, 0.8, 0.808, "V"),
        ({"nominal": "0.6 V", "tolerance": "+2 % / -1.5 %"}, 0.591, 0.6, 0.612, "V"),
        ({"nominal": "0.6 V", "tolerance": "+2/-1.5 %"}, 0.591, 0.6, 0.612, "V"),
        ({"nominal": "0.6 V", "tolerance": "-1.5 % / +2 %"}, 0.591, 0.6, 0.612, "V"),
        ({"nominal": "25 MHz", "tolerance": "50 ppm"}, 24_998_750, 25e6, 25_001_250, "Hz"),
        ({"nominal": "1.8 V", "tolerance": "10 mV"}, 1.79, 1.8, 1.81, "V"),
        ({"nominal": "-5 V", "tolerance": "2 %"}, -5.1, -5, -4.9, "V"),
        ({"nominal": "0 A", "tolerance": "50 nA"}, -5e-8, 0, 5e-8, "A"),
        ({"nominal": "0.8 V", "low": "0.788 V", "high": "808 mV"}, 0.788, 0.8, 0.808, "V"),
        ({"nominal": "50 µA", "low": 0, "high": "100 uA"}, 0, 5e-5, 1e-4, "A"),
        ({"low": 40, "high": 80}, 40, 60, 80, ""),
        ({"nominal": 4.7, "unit": "kΩ", "tolerance": 0.1}, 4600, 4700, 4800, "Ω"),
        ({"nominal": "4k7", "unit": "Ω", "tolerance": "1 %"}, 4653, 4700, 4747, "Ω"),
        ("4k7", 4700, 4700, 4700, ""),
        ("4k7J", 4465, 4700, 4935, "Ω"),
        ("100n", 1e-7, 1e-7, 1e-7, ""),
        (45300, 45300, 45300, 45300, ""),
        ({"nominal": 0.5, "tolerance": None}, 0.5, 0.5, 0.5, ""),
    ],
    ids=str,
)
def test_it_reads_a_part(given: Any, low: float, nominal: float, high: float, unit: str) -> None:
    part = parse_part("p", given)
    assert (part.low, part.nominal, part.high) == pytest.approx((low, nominal, high), rel=1e-14)
    assert part.unit == unit


def test_it_multiplies_the_temperature_drift() -> None:
    inputs = entry("B-08")["inputs"]
    given = {
        "nominal": inputs["nominal"],
        "tolerance": f"{inputs['tol_percent']} %",
        "tempco": f"±{inputs['tc_ppm_per_K']} ppm/K",
        "temperature": RANGE,
    }
    part = parse_part("r", given)
    found = {
        "tc_percent": part.drift * 100,
        "additive_percent": inputs["tol_percent"] + part.drift * 100,
        "max_multiplied": part.band[1],
        "min_multiplied": part.band[0],
    }
    assert agrees(entry("B-08"), found)


def test_it_adds_a_share_and_a_fixed_offset() -> None:
    inputs = entry("B-22")["inputs"]
    given = {
        "nominal": f"{inputs['nominal']} V",
        "tolerance": f"{inputs['percent']} % + {inputs['offset']} V",
    }
    part = parse_part("v", given)
    assert agrees(entry("B-22"), {"half": part.half_width, "min": part.low, "max": part.high})


@pytest.mark.parametrize(
    "given",
    [
        {"nominal": "1 V", "low": "0.9 V"}, {"nominal": "1 V", "tolerance": "1 %", "low": 0, "high": 2},
        {"nominal": "1 V", "low": 2, "high": 3}, {"nominal": "1,5 V"}, {"nominal": "1 V", "tolerance": "1 A"},
        {"nominal": "1 V", "tolerance": "-5 %"}, {"nominal": "1 V", "tolerance": "+1 % + 2 %"},
        {"nominal": "1 V", "tempco": "5 ppm/K"}, {"nominal": "1 V", "tempco": "5 V", "temperature": RANGE},
        {"nominal": "1 V", "tempco": "5 ppm/K", "temperature": {"low": 5}},
        {"nominal": "1 V", "tempco": "5 ppm/K", "temperature": {"low": 50, "high": 5}},
        {"nominal": "1 V", "spread": 1}, {}, {"tolerance": "1 %"}, None, True, [1], "rubbish", float("nan"),
        {"nominal": "1 V", "low": "1 A", "high": "2 A"}, {"nominal": "1 V", "tolerance": True},
    ],
    ids=str,
)  # fmt: skip
def test_it_refuses_what_it_cannot_read(given: Any) -> None:
    with pytest.raises(CoreError):
        parse_part("p", given)
