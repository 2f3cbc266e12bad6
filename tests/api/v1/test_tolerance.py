"""``/calculations/tolerance/``, calculations kept on a project, and limits taken from them."""

from __future__ import annotations

import time
from typing import Any

import pytest

from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench

pytestmark = pytest.mark.django_db
ANYBODY = Caller("")
DIVIDER = "vfb*(1 + rt/rb)"
PARTS = {
    "vfb": {"nominal": "0.6 V", "tolerance": "1 %"},
    "rt": {"nominal": "45.3k", "tolerance": "1 %"},
    "rb": {"nominal": "10 kΩ", "tolerance": "1 %"},
}
ASKED = {"formula": DIVIDER, "parts": PARTS, "unit": "V", "samples": 20_000}
LIST = "projects/tern/calculations/"
NEW = {**ASKED, "key": "VDIV-1", "name": "divider of +3V3_D"}


def answer(**asked: Any) -> dict[str, Any]:
    response = ANYBODY.post("calculations/tolerance/", {**ASKED, **asked})
    assert response.status_code == 200, response.content
    found: dict[str, Any] = response.json()
    return found


def ends(band: dict[str, float]) -> list[float]:
    return [band["low"], band["high"]]


def test_it_answers_with_the_three_bands_and_the_shares() -> None:
    found = answer(seed=1, samples=200_000)
    assert set(found) == {
        "unit", "units_checked", "units_reason", "nominal", "extreme", "root_sum_square", "monte_carlo",
        "shares",
    }  # fmt: skip
    assert found["unit"] == "V"
    assert found["extreme"]["exact"] is True
    # B-03, B-04, B-25 of the published check values: feedback-divider law, common practice; JCGM 101:2008.
    assert ends(found["extreme"]) == pytest.approx([3.23153643564, 3.40663818182], rel=1e-9)
    assert ends(found["root_sum_square"]) == pytest.approx([3.2672218827, 3.3687781173], rel=1e-6)
    assert ends(found["monte_carlo"]) == pytest.approx([3.26176219, 3.37511138], abs=1.5e-3)
    assert found["monte_carlo"]["coverage"] == 0.95
    assert sum(found["shares"].values()) == pytest.approx(1)


# B-18, B-19, B-20, B-26 of the check values: common practice; plain numbers and low with high.
@pytest.mark.parametrize(
    ("formula", "parts", "band"),
    [
        ("vs/rs", {"vs": [0.05, 0.045, 0.055], "rs": [0.01, 0.0099, 0.0101]}, [4.45544554455, 5.55555555556]),
        (
            "r*c*ln(v/(v - vth))",
            {"r": [1e5, 95e3, 105e3], "c": [1e-7, 9e-8, 1.1e-7], "v": 3.3, "vth": 2},
            [0.00796482264424, 0.0107594972563],
        ),
        (
            "(vcc - vf)/r",
            {"vcc": [5, 4.75, 5.25], "vf": [2, 1.8, 2.2], "r": [330, 313.5, 346.5]},
            [0.00735930735931, 0.011004784689],
        ),
        ("v**2*rl/(rs + rl)**2", {"v": 1, "rs": 50, "rl": [60, 40, 80]}, [0.00473372781065, 0.005]),
    ],
    ids=["current limit", "reset delay", "LED current", "extreme between the corners"],
)
def test_it_finds_the_extremes(formula: str, parts: dict[str, Any], band: list[float]) -> None:
    given = {
        name: dict(zip(("nominal", "low", "high"), part, strict=True)) if isinstance(part, list) else part
        for name, part in parts.items()
    }
    assert ends(answer(formula=formula, parts=given, unit="")["extreme"]) == pytest.approx(band, rel=1e-9)


def test_it_multiplies_tolerance_and_temperature() -> None:
    part = {
        "nominal": "10k",
        "tolerance": "1 %",
        "tempco": "100 ppm/K",
        "temperature": {"low": -40, "high": 85, "reference": 25},
    }
    # B-08: largest difference of temperature 65 K; 10165.65 and 9835.65 Ω.
    assert ends(answer(formula="r", parts={"r": part}, unit="Ω")["extreme"]) == pytest.approx(
        [9835.65, 10165.65], rel=1e-9
    )


def test_the_same_seed_gives_the_same_numbers() -> None:
    assert answer(seed=7)["monte_carlo"] == answer(seed=7)["monte_carlo"]
    assert answer(seed=7)["monte_carlo"] != answer(seed=8)["monte_carlo"]


@pytest.mark.parametrize(
    "formula",
    [
        "9**9**9",
        "vfb.__class__",
        "__import__('os')",
        "(" * 5_000 + "1" + ")" * 5_000,
        "vfb+" * 250_000 + "1",
        "vfb/0",
        "",
    ],
    ids=["tower", "attribute", "import", "deep", "1 MB", "division by zero", "empty"],
)
def test_it_refuses_a_hostile_formula_at_once(formula: str) -> None:
    answer()
    begun = time.perf_counter()
    problem = problem_of(ANYBODY.post("calculations/tolerance/", {**ASKED, "formula": formula}), 400)
    assert time.perf_counter() - begun < 0.25
    assert problem["problems"][0]["field"] == "formula"


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"samples": 2_000_001}, "samples"),
        ({"samples": 0}, "samples"),
        ({"seed": -1}, "seed"),
        ({"parts": {f"r{i}": 1 for i in range(51)}}, "parts"),
        ({"parts": {**PARTS, "rt": {"nominal": "45.3k", "tolerance": "much"}}}, "parts.rt"),
        ({"parts": {**PARTS, "rt": {"low": 1}}}, "parts.rt"),
        ({"parts": {**PARTS, "rt": [1, 2]}}, "parts.rt"),
        ({"parts": {**PARTS, "rt": True}}, "parts.rt"),
        ({"parts": [1]}, "parts"),
        ({"unit": "bananas"}, "unit"),
        ({"colour": "blue"}, "colour"),
    ],
)
def test_it_names_the_field_it_refuses(asked: dict[str, Any], field: str) -> None:
    problem = problem_of(ANYBODY.post("calculations/tolerance/", {**ASKED, **asked}), 400)
    assert problem["problems"][0]["field"] == field


def test_a_calculation_is_kept_listed_and_changed(owner: Caller) -> None:
    assert owner.post(LIST, NEW).status_code == 201
    (listed,) = owner.get(LIST).json()["results"]
    assert (listed["version"], listed["nominal"]) == (1, 3.318)
    changed = owner.patch(f"{LIST}VDIV-1/", {"parts": {**PARTS, "rt": "47k"}})
    assert changed.json()["version"] == 2
    assert changed.json()["nominal"] == pytest.approx(3.42)
    assert owner.get(f"{LIST}VDIV-1/").json() == changed.json()


@pytest.mark.parametrize(
    ("role", "read", "write"), [("owner", 200, 201), ("reader", 200, 403), ("stranger", 404, 404)]
)
def test_it_asks_for_the_role(bench: Bench, role: str, read: int, write: int) -> None:
    caller = caller_for(getattr(bench, role))
    assert caller.get(LIST).status_code == read
    assert caller.post(LIST, NEW).status_code == write


def test_a_target_takes_its_limits_from_a_band(owner: Caller, bench: Bench) -> None:
    owner.post(LIST, NEW)
    bench.target()
    body = {"calculation": "VDIV-1", "calculation_band": "extreme", "reason": "now calculated"}
    issue = owner.post("projects/tern/targets/RLD-2/issues/", body).json()
    assert (issue["low"], issue["high"], issue["nominal"]) == (3.2315, 3.4067, 3.318)
    assert (issue["calculation"], issue["calculation_band"], issue["basis"]) == (
        "VDIV-1",
        "extreme",
        "derived",
    )


def test_a_new_target_takes_its_limits_from_a_band(owner: Caller) -> None:
    owner.post(LIST, NEW)
    body = {"key": "RLD-9", "name": "rail", "subsystem": "RLD", "calculation": "VDIV-1"}
    added = owner.post("projects/tern/targets/", body)
    assert added.status_code == 201, added.content
    assert added.json()["issue"]["low"] == 3.2315


def test_an_issue_with_limits_of_its_own_leaves_the_calculation(owner: Caller, bench: Bench) -> None:
    owner.post(LIST, NEW)
    bench.target()
    issues = "projects/tern/targets/RLD-2/issues/"
    owner.post(issues, {"calculation": "VDIV-1", "reason": "now calculated"})
    kept = owner.post(issues, {"boards_needed": 2, "reason": "two boards"}).json()
    left = owner.post(issues, {"limits": "3.1..3.5 V", "reason": "required"}).json()
    assert (kept["calculation"], kept["high"], left["calculation"]) == ("VDIV-1", 3.4067, None)


@pytest.mark.parametrize(
    "body", [{"calculation": "NONE"}, {"calculation": "VDIV-1", "limits": "3..4 V"}], ids=["unknown", "both"]
)
def test_it_refuses_a_calculation_it_cannot_take(owner: Caller, bench: Bench, body: dict[str, Any]) -> None:
    owner.post(LIST, NEW)
    bench.target()
    problem_of(owner.post("projects/tern/targets/RLD-2/issues/", {**body, "reason": "because"}), 400)


OF_OHM = {**PARTS, "rt": {"nominal": "45.3 kΩ", "tolerance": "1 %"}}
CURVED = {
    "formula": "1/x",
    "parts": {"x": {"nominal": 1, "low": 0.5, "high": 1.5}},
    "unit": "",
    "samples": 1_000,
}


@pytest.mark.parametrize(
    ("parts", "unit", "checked", "reason"),
    [
        (OF_OHM, "V", True, ""),
        (PARTS, "V", False, "rt is a plain number, taken as it is"),
        (OF_OHM, "", False, "no unit is asked for; the formula gives V"),
    ],
    ids=["all fit", "a plain number", "no unit asked for"],
)
def test_it_says_whether_units_were_checked(
    parts: dict[str, Any], unit: str, *, checked: bool, reason: str
) -> None:
    found = answer(parts=parts, unit=unit)
    assert found["units_checked"] is checked
    assert found["units_reason"].startswith(reason)


@pytest.mark.parametrize(
    ("asked", "field", "message"),
    [
        ({"formula": "vfb + rt"}, "formula", "V (vfb) and Ω (rt) cannot be added."),
        ({"unit": "mA"}, "unit", "The formula gives V, which does not fit mA."),
    ],
    ids=["unlike units", "unit of the result"],
)
def test_it_refuses_units_that_do_not_fit(asked: dict[str, Any], field: str, message: str) -> None:
    body = {**ASKED, "parts": OF_OHM, **asked}
    (problem,) = problem_of(ANYBODY.post("calculations/tolerance/", body), 400)["problems"]
    assert (problem["field"], problem["message"]) == (field, message)


def test_a_root_sum_of_squares_that_does_not_hold_says_so() -> None:
    straight, curved = (answer(**asked)["root_sum_square"] for asked in ({}, CURVED))
    assert (straight["usable"], straight["reason"]) == (True, "")
    # 1/0.5 = 2, where the straight line says 1.5: a miss of its whole half-width.
    assert curved["usable"] is False
    assert "misses an extreme by 100 %" in curved["reason"]


def test_it_cannot_become_limits_but_the_extreme_can(owner: Caller, bench: Bench) -> None:
    owner.post(
        LIST, {**NEW, **CURVED, "formula": "v/x", "parts": {**CURVED["parts"], "v": "1 V"}, "unit": "V"}
    )
    bench.target()
    issues = "projects/tern/targets/RLD-2/issues/"
    body = {"calculation": "VDIV-1", "calculation_band": "root_sum_square", "reason": "now calculated"}
    (problem,) = problem_of(owner.post(issues, body), 400)["problems"]
    assert (problem["field"], problem["allowed"]) == ("calculation_band", "extreme, monte_carlo")
    assert owner.post(issues, {**body, "calculation_band": "extreme"}).json()["high"] == 2


def test_it_finds_pairs_for_a_divider_as_the_page_does() -> None:
    found = ANYBODY.post(
        "calculations/divider/", {"v_out": "3.3 V", "v_ref": 0.6, "series_top": "E96", "count": 3}
    )
    assert found.status_code == 200, found.content
    pairs = found.json()["pairs"]
    assert len(pairs) == 3
    for pair in pairs:
        # Feedback-divider law, common practice: Vout = Vref (1 + Rtop / Rbot).
        assert pair["output"] == pytest.approx(0.6 * (1 + pair["top"] / pair["bottom"]))
        assert pair["low"] < pair["output"] < pair["high"]
    assert pairs[0]["error_percent"] == pytest.approx(0.178, abs=1e-3)


@pytest.mark.parametrize(
    "asked",
    [
        {"v_out": 3.3, "v_ref": 0.6, "series_top": "E97"},
        {"v_out": 0.5, "v_ref": 0.6, "series_top": "E96"},
        {"v_out": 3.3, "v_ref": "0.6 A", "series_top": "E96"},
        {"v_out": 3.3, "v_ref": 0.6},
    ],
    ids=["series", "below the tap", "unit", "no series"],
)
def test_a_divider_that_makes_no_sense_is_refused(asked: dict[str, Any]) -> None:
    problem_of(ANYBODY.post("calculations/divider/", asked), 400)
