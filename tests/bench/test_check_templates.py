"""Check templates: the library holds together, and picks become targets that need each other."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from logbook.bench.check_templates import CheckTemplate, library
from logbook.bench.check_templates.library import library_of
from logbook.bench.choices import CAUTION_LETTERS
from logbook.bench.commands import AddedTarget, Pick, add_targets_from_templates, issue_target
from logbook.bench.commands.targets import Asked
from logbook.bench.models import Prerequisite, Target
from logbook.common.errors import InvalidInputError
from logbook.core.errors import GraphError
from logbook.projects.choices import SubsystemKind
from logbook.projects.commands import add_subsystem
from logbook.web.cautions import CAUTIONS
from tests.builders import Bench, build_bench

CHECKS = list(library())
RAIL = {"template": "R01", "key": "RLD-2", "nominal": "3.3 V"}


def pick(bench: Bench, template: str, **given: Any) -> Pick:
    return Pick(**({"template": template, "subsystem": bench.subsystem} | given))


def added(bench: Bench, *picks: Pick) -> list[AddedTarget]:
    return add_targets_from_templates(actor=bench.actor, project=bench.project, picks=picks)


def needs(key: str) -> list[str]:
    return sorted(Prerequisite.objects.filter(target__key=key).values_list("needs__key", flat=True))


def problems(bench: Bench, *picks: Pick) -> list[str]:
    with pytest.raises(InvalidInputError) as caught:
        added(bench, *picks)
    assert not Target.objects.exists()
    return [one.field for one in caught.value.problems]


def test_there_are_checks_for_every_kind_of_subsystem_with_a_job() -> None:
    assert len(library()) > 100
    assert set(library().counts()) == set(SubsystemKind.values) - {SubsystemKind.OTHER}
    assert sum(library().counts().values()) == len(library())


def test_each_check_comes_after_all_it_needs() -> None:
    seen: set[str] = set()
    for check in CHECKS:
        assert set(check.needs) <= seen, check.key
        seen.add(check.key)


def test_only_a_standard_is_a_basis_other_than_judgement() -> None:
    assert {check.basis for check in CHECKS} == {"standard", "judgement"}
    assert all(check.standard in check.basis_text for check in CHECKS if check.basis == "standard")
    assert all(
        "common practice" in check.basis_text for check in CHECKS if not check.standard and check.limits
    )


def test_what_is_quoted_from_memory_says_so() -> None:
    doubtful = {check.key for check in CHECKS if "not confirmed" in check.basis_text}
    assert doubtful == {"U07c", "S04", "S06", "D08"}


def test_limits_of_data_sheets_are_left_open() -> None:
    assert {check.key for check in CHECKS if not check.limits} == {"R06b", "M06b", "A04", "D11"}


def test_every_letter_has_its_caution_and_first_power_its_own() -> None:
    assert set(CAUTIONS) == CAUTION_LETTERS
    assert library().checks["P01"].cautions.startswith("P")
    assert CAUTIONS["P"].title == "First power"


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"limits": "< 1 %"}, "strict"),
        ({"limits": "0 errors"}, "count"),
        ({"limits": ""}, "to be filled in"),
        ({"limits_from": "data sheet"}, "to be filled in"),
        ({"cautions": "Q"}, "caution"),
        ({"kind": "plumbing"}, "kind of subsystem"),
        ({"severity": "S9"}, "severity"),
        ({"confirmed": False}, "confirm"),
        ({"needs": ("R04",)}, "needs itself"),
        ({"minutes": 0}, "minutes"),
    ],
    ids=str,
)
def test_a_template_cannot_contradict_itself(changed: dict[str, Any], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        replace(library().checks["R04"], **changed)


def test_a_library_has_each_key_once_and_no_circle() -> None:
    one, two = library().checks["R03"], library().checks["R04"]
    with pytest.raises(ValueError, match="same key"):
        library_of([one, one])
    with pytest.raises(GraphError):
        library_of([replace(one, needs=("R04",)), replace(two, needs=("R03",))])
    with pytest.raises(GraphError):
        library_of([replace(one, needs=("R99",))])


def test_the_library_is_searched_by_kind_and_text() -> None:
    assert {check.kind for check in library().matching(kind="memory")} == {"memory"}
    assert [check.key for check in library().matching(kind="power", text="RIPPLE")] == ["R04"]


@pytest.mark.parametrize("check", CHECKS, ids=[check.key for check in CHECKS])
def test_every_check_becomes_a_target(bench: Bench, check: CheckTemplate) -> None:
    given = {"limits": "" if check.limits else f"<= 1 {check.unit}"}
    nominal = f"1 {check.unit}" if check.needs_nominal else ""
    (one,) = added(bench, pick(bench, check.key, nominal=nominal, **given))
    issue = one.target.issues.get()
    assert (issue.kind, issue.basis) == (check.result, check.basis)
    assert issue.basis_note.endswith(f"from template {check.key}")
    assert one.missing == check.needs


def test_several_at_once_are_wired_whatever_their_order(bench: Bench) -> None:
    done = added(
        bench, pick(bench, "R04", key="RLD-5"), pick(bench, **RAIL), pick(bench, "P02", nominal="78 mA")
    )
    assert [one.target.key for one in done] == ["RLD-P02", "RLD-2", "RLD-5"]
    assert (needs("RLD-5"), needs("RLD-2")) == (["RLD-2"], ["RLD-P02"])
    assert done[0].missing == ("P01",)


def test_later_picks_are_wired_to_targets_from_earlier_ones(bench: Bench) -> None:
    added(bench, pick(bench, **RAIL))
    target = Target.objects.get()
    issue_target(actor=bench.actor, target=target, asked=Asked(limits="3.2..3.4 V"), reason="own limits")
    (one,) = added(bench, pick(bench, "R04"))
    assert (one.wired, one.missing) == (("RLD-2",), ())


def test_the_same_template_serves_several_rails_each_in_its_subsystem(bench: Bench) -> None:
    other = add_subsystem(
        actor=bench.actor, project=bench.project, key="RLA", name="analogue rails", kind="power"
    )
    added(bench, pick(bench, **RAIL), pick(bench, **RAIL | {"key": "RLD-3"}))
    added(bench, pick(bench, "R01", subsystem=other, nominal="5 V"), pick(bench, "R04", subsystem=other))
    added(bench, pick(bench, "R04"))
    assert needs("RLA-R04") == ["RLA-R01"]
    assert needs("RLD-R04") == ["RLD-2", "RLD-3"]


def test_targets_of_another_project_are_not_wired(bench: Bench) -> None:
    heron = build_bench("heron")
    added(heron, pick(heron, **RAIL))
    (one,) = added(bench, pick(bench, "R04"))
    assert (one.wired, one.missing) == ((), ("R01",))


def test_planning_comes_from_the_template(bench: Bench) -> None:
    added(bench, pick(bench, "P03", minutes=9), pick(bench, "M05"))
    reverse, soak = Target.objects.get(key="RLD-P03"), Target.objects.get(key="RLD-M05")
    assert (reverse.cautions, reverse.stresses_board, reverse.minutes) == ("P", True, 9)
    assert (soak.waiting_minutes, soak.depends_on_firmware) == (480, True)


@pytest.mark.parametrize(
    ("template", "given", "basis", "note"),
    [
        ("R04", {}, "judgement", "common practice, from template R04"),
        ("D04", {}, "judgement", "common practice; method after AES17, from template D04"),
        ("S01", {}, "standard", "USB 2.0; check the edition in force, from template S01"),
        (
            "S04",
            {},
            "standard",
            "USB 2.0 as amended, not confirmed; check the edition in force, from template S04",
        ),
        (
            "S01",
            {"limits": "<= 90 mA"},
            "judgement",
            "own limits in place of <= 100 mA (USB 2.0; check the edition in force), from template S01",
        ),
        (
            "R06b",
            {"limits": "1..5 ms"},
            "judgement",
            "filled in by hand for the data sheet, from template R06b",
        ),
    ],
)
def test_limits_say_where_they_come_from(
    bench: Bench, template: str, given: dict[str, Any], basis: str, note: str
) -> None:
    (one,) = added(bench, pick(bench, template, **given))
    issue = one.target.issues.get()
    assert (issue.basis, issue.basis_note) == (basis, note)


@pytest.mark.parametrize(
    ("given", "low", "high", "unit"),
    [
        ({"nominal": "3.3 V"}, "3.234", "3.366", "V"),
        ({"nominal": "3.3"}, "3.234", "3.366", "V"),
        ({"limits": "± 1 %", "nominal": "3.3 V"}, "3.267", "3.333", "V"),
        ({"limits": "3.3 V ± 1 %"}, "3.267", "3.333", "V"),
        ({"limits": "3.2 to 3.4"}, "3.2", "3.4", "V"),
    ],
    ids=str,
)
def test_a_tolerance_lies_around_the_nominal(
    bench: Bench, given: dict[str, Any], low: str, high: str, unit: str
) -> None:
    (one,) = added(bench, pick(bench, "R01", **given))
    issue = one.target.issues.get()
    assert (issue.low, issue.high, issue.unit) == (low, high, unit)


@pytest.mark.parametrize(("limits", "unit"), [("<= 30 mVpp", "mVpp"), ("<= 2", "%")])
def test_own_limits_may_have_another_unit(bench: Bench, limits: str, unit: str) -> None:
    (one,) = added(bench, pick(bench, "R04", limits=limits))
    assert one.target.issues.get().unit == unit


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"template": "R99"}, "picks.1.template"),
        ({"template": "R01"}, "picks.1.nominal"),
        ({"template": "R06b"}, "picks.1.limits"),
        ({"template": "R04", "limits": "< 1 %"}, "picks.1.limits"),
        ({"template": "R04", "limits": "yes"}, "picks.1.limits"),
        ({"template": "R04", "key": "no spaces"}, "picks.1.key"),
        ({"template": "R04", "key": "RLD-U01"}, "picks.1.key"),
        ({"template": "R04", "points": ("CH1", "CH1")}, "picks.1.points"),
    ],
    ids=str,
)
def test_one_wrong_pick_adds_nothing_and_names_its_field(
    bench: Bench, given: dict[str, Any], field: str
) -> None:
    assert problems(bench, pick(bench, "U01"), pick(bench, **given)) == [field]


def test_every_wrong_pick_is_named_at_once(bench: Bench) -> None:
    wrong = [pick(bench, "R04", limits="< 1 %"), pick(bench, "U01"), pick(bench, "R01")]
    assert problems(bench, *wrong) == ["picks.0.limits", "picks.2.nominal"]


def test_a_subsystem_of_another_project_is_refused(bench: Bench) -> None:
    other = build_bench("heron").subsystem
    assert problems(bench, pick(bench, "U01", subsystem=other)) == ["picks.0.subsystem"]


def test_the_same_picks_again_are_refused_and_nothing_is_added_twice(bench: Bench) -> None:
    picks = [pick(bench, **RAIL), pick(bench, "R04")]
    added(bench, *picks)
    with pytest.raises(InvalidInputError) as caught:
        added(bench, *picks)
    assert [(one.field, one.code) for one in caught.value.problems] == [
        ("picks.0.key", "taken"),
        ("picks.1.key", "taken"),
    ]
    assert Target.objects.count() == 2


@pytest.mark.parametrize("number", [0, 201])
def test_one_to_two_hundred_are_picked_at_once(bench: Bench, number: int) -> None:
    assert problems(bench, *[pick(bench, "U01", key=f"K-{place}") for place in range(number)]) == ["picks"]
