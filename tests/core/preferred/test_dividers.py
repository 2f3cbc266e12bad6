from typing import Any

import pytest

from logbook.core.errors import CoreError
from logbook.core.preferred import series_values
from logbook.core.preferred.dividers import best_divider_pairs, top_resistor
from tests.core.tolerance.golden import agrees, cases


@pytest.mark.parametrize("case", cases("choose"))
def test_it_chooses_the_upper_resistor(case: dict[str, Any]) -> None:
    i = case["inputs"]
    found = top_resistor(i["target"], i["Vfb"], i["Rbot"], f"E{i['series']}")
    actual = {"Rtop_ideal": float(found.ideal), "Rtop": float(found.top)}
    assert agrees(case, {**actual, "Vout": found.output, "error_percent": found.error_percent})


@pytest.mark.parametrize(
    ("v_out", "v_ref", "series"), [(3.3, 0.6, "E24"), (5, 0.8, "E48"), (12, 1.25, "E12")]
)
def test_no_pair_of_the_range_is_better(v_out: float, v_ref: float, series: str) -> None:
    # Second route: every pair of members in plain loops.
    values = [m * 10.0**e for m in series_values(series) for e in range(1, 5)]
    every = [
        abs(v_ref * (1 + t / b) / v_out - 1) * 100 for t in values for b in values if 10e3 <= t + b <= 100e3
    ]
    found = best_divider_pairs(v_out, v_ref, series_top=series, total_range=(10_000, 100_000))
    assert abs(found[0].error_percent) == pytest.approx(min(every), abs=1e-9)
    assert [abs(p.error_percent) for p in found] == sorted(abs(p.error_percent) for p in found)


def test_its_pairs_keep_the_total_and_their_series() -> None:
    for pair in best_divider_pairs(4, series_top="E96", series_bottom="E24", total_range=("10e3", "50e3")):
        assert 10_000 <= pair.top + pair.bottom <= 50_000
        assert int(pair.bottom.scaleb(1 - pair.bottom.adjusted())) in series_values("E24")


def test_its_band_is_that_of_both_tolerances() -> None:
    best = best_divider_pairs("5", "0.8", tolerance_percent="0.1")[0]
    top, bottom = float(best.top), float(best.bottom)
    assert best.low == pytest.approx(0.8 * (1 + top * 0.999 / (bottom * 1.001)), rel=1e-12)
    assert best.high == pytest.approx(0.8 * (1 + top * 1.001 / (bottom * 0.999)), rel=1e-12)


def test_each_proportion_is_listed_once() -> None:
    found = best_divider_pairs(2, count=10)
    assert len({(p.top / p.bottom, p.top.normalize().as_tuple().digits) for p in found}) == 10


@pytest.mark.parametrize(
    "options",
    [
        {"v_out": 0.5}, {"v_ref": 0}, {"v_ref": 4}, {"series_top": "E3"}, {"series_top": "E5"}, {"count": 0},
        {"total_range": (10, 1)}, {"total_range": (1, 1e12)}, {"tolerance_percent": 100}, {"v_out": "x"},
    ],
    ids=str,
)  # fmt: skip
def test_it_refuses_impossible_orders(options: dict[str, Any]) -> None:
    with pytest.raises(CoreError):
        best_divider_pairs(**{"v_out": 3.3, "v_ref": 1, **options})
