"""The picture of bands, and what is said beside it."""

from __future__ import annotations

import pytest

from logbook.core.limits import parse_limits
from logbook.web.band_picture import picture_of
from logbook.web.stack_answers import answer_stack

BANDS = {"extreme": (3.2, 3.4), "monte_carlo": (3.25, 3.36)}
ASKED = {"formula": "r*c", "unit": "", "samples": 10_000, "seed": 1, "limits": ""}


@pytest.mark.parametrize("limits", ["", "3.3 V ± 5 %"])
def test_the_axis_has_a_few_round_numbers_in_their_places(limits: str) -> None:
    picture = picture_of(3.3, BANDS, "V", parse_limits(limits) if limits else None)
    values = [float(tick.text) for tick in picture.ticks]
    assert 2 <= len(values) <= 9
    assert values == sorted(values)
    slopes = [
        (right.x - left.x) / (float(right.text) - float(left.text))
        for left, right in zip(picture.ticks, picture.ticks[1:], strict=False)
    ]
    assert slopes == pytest.approx([slopes[0]] * len(slopes), rel=1e-3)
    assert picture.tick_y < picture.height


def test_monte_carlo_says_its_coverage() -> None:
    rows = {row.label: row.covers for row in picture_of(3.3, BANDS, "V").rows}
    # JCGM 101:2008, 7.7: the probabilistically symmetric interval leaves as much beyond either end.
    assert "95 %" in rows["Monte Carlo"]
    assert rows["extreme"] == ""


@pytest.mark.parametrize(("c", "count"), [("10kF 5 %", 1), ("10nF 5 %", 0), ("1 F 5 %", 0)])
def test_a_capacitor_of_kilofarads_is_questioned(c: str, count: int) -> None:
    answer = answer_stack(ASKED | {"parts": f"r = 10 kΩ 1 %\nc = {c}"})
    assert len(answer.remarks) == count
    assert all("Check the prefix" in remark for remark in answer.remarks)
