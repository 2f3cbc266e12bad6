"""Common practice: a lone upper limit above 0 bounds a size."""

from decimal import Decimal

import pytest

from logbook.core.limits import parse_limits
from logbook.core.verdict import judge_number, usual_floor


@pytest.mark.parametrize(
    ("limits", "value", "floor"),
    [
        pytest.param("<= 20 mV", "5", "0", id="ripple in plain millivolts"),
        pytest.param("<= 40 uVrms", "36", "0", id="a unit that knows no negative values"),
        pytest.param("<= 20 mV", "-5", None, id="a reading below 0"),
        pytest.param("<= -5 V", "-6", None, id="a negative limit"),
        pytest.param("<= 70 °C", "60", None, id="a temperature"),
        pytest.param("<= -90 dB", "-95", None, id="a level"),
        pytest.param("4.75..5.25 V", "5", None, id="two limits"),
        pytest.param(">= 90 dB", "95", None, id="a lower limit"),
    ],
)
def test_it_knows_which_limits_speak_of_a_size(limits: str, value: str, floor: str | None) -> None:
    found = usual_floor(parse_limits(limits), Decimal(value))
    assert found == (None if floor is None else Decimal(floor))


def test_ripple_that_the_meter_cannot_decide_is_flagged() -> None:
    limits = parse_limits("<= 20 mV")
    judgement = judge_number(
        limits, Decimal(5), expanded_uncertainty=Decimal(25), floor=usual_floor(limits, Decimal(5))
    )
    assert (judgement.decidable, judgement.deciding_uncertainty) == (False, Decimal(20))
