from typing import Any

import pytest

from logbook.core.errors import FormulaError
from logbook.core.trade import audio_clock_hz, baud_setting, rate_ratio
from tests.core.samples.golden import agrees, entries, of_kind


@pytest.mark.parametrize("case", of_kind("electronics", "uart"))
def test_it_chooses_the_nearest_divisor(case: dict[str, Any]) -> None:
    found = baud_setting(case["inputs"]["fclk"], case["inputs"]["os"], case["inputs"]["baud"])
    assert agrees(
        case, {"divisor": found.divisor, "actual": found.actual_bd, "error_percent": found.error_percent}
    )


def test_it_makes_the_audio_clocks() -> None:
    found = {
        f"{name}x{factor}": audio_clock_hz(rate, factor)
        for name, rate in (("44.1", 44_100), ("48", 48_000))
        for factor in (256, 512)
    }
    found["bclk48"] = audio_clock_hz(48_000, 64)
    assert {**found, "ratio": str(rate_ratio(48_000, 44_100))} == entries("electronics")["F-17"]["expected"]


@pytest.mark.parametrize("values", [(0, 16, 9600), (1e6, 0, 9600), (1e6, 16, float("nan"))], ids=str)
def test_it_refuses_what_is_not_above_zero(values: tuple[float, int, float]) -> None:
    with pytest.raises(FormulaError):
        baud_setting(*values)
