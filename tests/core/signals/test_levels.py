"""Levels against published sums and the full-scale convention."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.core.errors import SignalError
from logbook.core.signals.levels import coherent_sum, dbfs, dbv, level_mean, level_sum
from tests.core.signals.golden import agrees, kind, one


@pytest.mark.parametrize("entry", kind("dbavg"))
def test_it_averages_levels_as_powers(entry: dict[str, Any]) -> None:
    given = entry["inputs"]
    mean = level_mean(given["levels"], given["weights"])
    assert agrees(entry, {"energy_mean": mean, "energy_sum": level_sum(given["levels"])})


def test_two_equal_levels_add_3_db_or_6_db() -> None:
    assert agrees(one("G-29"), {"uncorrelated": level_sum([0, 0]), "coherent": coherent_sum([0, 0])})


def test_a_full_scale_square_wave_reads_3_db_above_a_sine() -> None:
    assert agrees(one("G-40"), dbfs(1.0))


def test_dbv_follows_the_stated_full_scale() -> None:
    assert dbv(-6.0, 2.0) == pytest.approx(0.0205999, abs=1e-6)


@pytest.mark.parametrize(
    "call",
    [lambda: dbfs(-1), lambda: dbv(0, 0), lambda: level_mean([1, 2], [0, 0]), lambda: level_sum([])],
    ids=["negative", "no full scale", "no weight", "none"],
)
def test_it_refuses_the_impossible(call: Any) -> None:
    with pytest.raises(SignalError):
        call()
