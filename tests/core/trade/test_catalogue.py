import math

import numpy as np
import pytest

from logbook.core.errors import FormulaError
from logbook.core.tolerance import stack_up
from logbook.core.trade import READY_MADE, ready_made
from tests.core.samples.golden import entries
from tests.core.trade.golden import NUMBERS

ELSEWHERE = {"fact", "usbrate", "uart", "audioclk"}


@pytest.mark.parametrize(
    ("entry", "name", "key", "values", "factor"), NUMBERS, ids=[f"{row[0]} {row[1]}" for row in NUMBERS]
)
def test_it_gives_the_published_number(
    entry: str, name: str, key: str, values: dict[str, float], factor: float
) -> None:
    case = entries("electronics")[entry]
    expected = case["expected"][name] if name else case["expected"]
    assert ready_made(key).evaluate(values) * factor == pytest.approx(
        expected, rel=case["tol"]["rel"], abs=1e-15
    )


def test_every_published_number_is_reached() -> None:
    wanted = {
        (key, name)
        for key, case in entries("electronics").items()
        if case["calc"] not in ELSEWHERE
        for name in (case["expected"] if isinstance(case["expected"], dict) else [""])
    }
    assert wanted == {(row[0], row[1]) for row in NUMBERS}


@pytest.mark.parametrize("key", READY_MADE)
def test_its_example_can_be_stacked_up(key: str) -> None:
    calculation = ready_made(key)
    found = stack_up(calculation.formula, calculation.example_parts(), unit=calculation.unit, samples=1_000)
    assert math.isfinite(found.nominal)
    assert found.extreme.exact


def test_a_hot_junction_carries_a_caution() -> None:
    calculation = ready_made("junction-temperature")
    at = {"ta": 40.0, "vin": 5.0, "vout": 3.3, "iout": 0.1, "theta": 90.0}
    assert not calculation.cautions_for(at)
    assert len(calculation.cautions_for({**at, "iout": 0.3})) == 1
    assert len(calculation.cautions_for({**at, "iout": 0.5})) == 2


def test_a_charged_capacitor_carries_a_caution() -> None:
    calculation = ready_made("capacitor-energy")
    assert not calculation.cautions_for({"c": 1e-7, "v": 3.3})
    assert "Discharge" in calculation.cautions_for({"c": 470e-6, "v": 35.0})[0]
    assert len(calculation.cautions_for({"c": 0.1, "v": 61.0})) == 3


def test_the_unbuffered_cascade_is_the_root_of_its_equation() -> None:
    x2 = min(root.real for root in np.roots([1, 7, -1]) if root.real > 0)
    assert ready_made("cascade-unbuffered").evaluate({"f0": 1.0}) == pytest.approx(math.sqrt(x2), rel=1e-12)


def test_the_rise_time_is_that_of_the_exponential() -> None:
    # Second route: crossing times of 30 % and 70 % (UM10204, 7.1).
    r, c = 2200.0, 77e-12
    crossing = [-r * c * math.log(1 - level) for level in (0.3, 0.7)]
    found = ready_made("bus-rise-time").evaluate({"rp": r, "cb": c})
    assert found == pytest.approx((crossing[1] - crossing[0]) * 1e9, rel=1e-12)


def test_it_refuses_an_unknown_key() -> None:
    with pytest.raises(FormulaError, match="ready-made"):
        ready_made("magic")
