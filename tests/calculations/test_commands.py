"""Saving and changing calculations."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.calculations.commands import change_calculation, save_calculation
from logbook.calculations.models import Calculation
from logbook.calculations.queries import changes_of_calculation
from logbook.calculations.translate import StackAsked
from logbook.common.errors import InvalidInputError
from tests.builders import Bench

FORMULA = "vref*(1 + rtop/rbot)"
# B-03 of the check values: feedback-divider law, 0.600 V 1 %, 45.3 k 1 %, 10.0 k 1 %; exact corners.
PARTS = {
    "vref": {"nominal": "0.6 V", "tolerance": "1 %"},
    "rtop": {"nominal": "45.3k", "tolerance": "1 %"},
    "rbot": {"nominal": "10k", "tolerance": "1 %"},
}


def saved(bench: Bench, **more: Any) -> Calculation:
    asked = StackAsked(**{"formula": FORMULA, "parts": PARTS, "unit": "V", "samples": 10_000, **more})
    return save_calculation(
        actor=bench.actor, project=bench.project, key="VDIV-1", name="divider of +3V3", asked=asked
    )


def test_it_keeps_the_bands_with_the_calculation(bench: Bench) -> None:
    bands = saved(bench).bands
    assert float(bands["nominal"]) == pytest.approx(3.318, rel=1e-9)
    assert float(bands["extreme"]["low"]) == pytest.approx(3.23153643564, rel=1e-9)
    assert float(bands["extreme"]["high"]) == pytest.approx(3.40663818182, rel=1e-9)


def test_a_changed_part_makes_a_new_version_and_new_bands(bench: Bench) -> None:
    parts = {**PARTS, "rtop": {"nominal": "68k", "tolerance": "0.1 %"}}
    changed = change_calculation(actor=bench.actor, calculation=saved(bench), values={"parts": parts})
    assert changed.version == 2
    assert changed.bands["nominal"] == "4.68"


def test_the_record_says_which_part_changed(bench: Bench) -> None:
    calculation = saved(bench)
    parts = {**PARTS, "rtop": {"nominal": "47k", "tolerance": "1 %"}}
    change_calculation(actor=bench.actor, calculation=calculation, values={"parts": parts})
    told = changes_of_calculation(calculation)[0].fields
    assert told["rtop"] == ["45.3k ± 1 %", "47k ± 1 %"]
    assert "rbot" not in told
    assert told["version"] == ["1", "2"]


@pytest.mark.parametrize("values", [{"name": "another name"}, {"note": "checked by hand"}], ids=str)
def test_words_alone_make_no_new_version(bench: Bench, values: dict[str, str]) -> None:
    changed = change_calculation(actor=bench.actor, calculation=saved(bench), values=values)
    assert changed.version == 1


def test_the_same_again_changes_nothing(bench: Bench) -> None:
    calculation = saved(bench)
    change_calculation(actor=bench.actor, calculation=calculation, values={"parts": PARTS})
    assert changes_of_calculation(calculation).count() == 1


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"formula": "9**9**9"}, "formula"),
        ({"formula": "().__class__"}, "formula"),
        ({"formula": "vref*" * 200_000 + "1"}, "formula"),
        ({"formula": "(" * 400 + "1" + ")" * 400}, "formula"),
        ({"formula": "vref*rx"}, "formula"),
        ({"unit": "bananas"}, "unit"),
        ({"samples": 2_000_001}, "samples"),
        ({"parts": {**PARTS, "rtop": {"nominal": "10k", "tolerance": "lots"}}}, "parts.rtop"),
        ({"parts": {f"r{i}": "1" for i in range(51)}}, "parts"),
        ({"parts": {"sqrt": "1"}, "formula": "2"}, "parts"),
    ],
    ids=[
        "tower",
        "attribute",
        "1MB",
        "deep",
        "missing-part",
        "unit",
        "samples",
        "tolerance",
        "51-parts",
        "name",
    ],
)
def test_it_refuses_naming_the_field(bench: Bench, more: dict[str, Any], field: str) -> None:
    with pytest.raises(InvalidInputError) as refused:
        saved(bench, **more)
    assert refused.value.problems[0].field == field
    assert not Calculation.objects.exists()


def test_a_key_is_there_once(bench: Bench) -> None:
    saved(bench)
    with pytest.raises(InvalidInputError):
        saved(bench)
