"""Targets and their issues: what an issue changes, and for which readings."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.bench.commands import add_target, change_target, issue_target
from logbook.bench.commands.targets import Asked
from logbook.bench.models import CurrentResult, Measurement, Target, TargetIssue
from logbook.bench.queries.verification import discrepancies_of
from logbook.common.errors import InvalidInputError
from logbook.projects.commands import add_revision, add_subsystem
from tests.builders import Bench, build_bench

FIRST = {"limits": "3.234..3.366 V", "conditions": "no load", "method": "meter at TP4"}


def issue(bench: Bench, target: Target, **asked: Any) -> TargetIssue:
    return issue_target(
        actor=bench.actor, target=target, asked=Asked(**(FIRST | asked)), reason="thought again"
    )


def designed(board: str = "0001") -> str:
    """Return the designed verdict of the one target on a board, or why it does not count."""
    row = CurrentResult.objects.get(board__serial=board)
    return row.designed_verdict or row.not_counted


@pytest.mark.parametrize(
    ("asked", "more"),
    [
        ({"limits": "3.2..3.4 V"}, False),
        ({"limits": "3200..3400 mV"}, False),
        ({"limits": "± 5 %", "nominal": "3.3 V"}, False),
        ({"rule": "simple"}, False),
        ({"boards_needed": 3}, False),
        ({"basis": "standard", "basis_note": "clause 4"}, False),
        ({"points": ()}, False),
        ({"conditions": "full load"}, True),
        ({"method": "oscilloscope"}, True),
        ({"points": ("CH1", "CH2")}, True),
        ({"limits": "1..2 A"}, True),
        ({"limits": "yes", "kind": "yes/no"}, True),
        ({"limits": "0 errors", "kind": "count"}, True),
        ({"limits": "", "kind": "seen working"}, True),
    ],
    ids=str,
)
def test_an_issue_says_whether_it_changes_more_than_limits(
    bench: Bench, asked: dict[str, Any], more: bool
) -> None:
    target = bench.target(**FIRST)
    assert issue(bench, target, **asked).changes_more_than_limits is more


def test_limits_around_a_nominal_can_be_issued_again(bench: Bench) -> None:
    target = bench.target(limits="± 5 %", nominal="3.3 V")
    again = issue_target(
        actor=bench.actor, target=target, asked=Asked(limits="± 6 %", nominal="3.3 V"), reason="wider"
    )
    assert (again.low, again.high, again.changes_more_than_limits) == ("3.102", "3.498", False)


def test_spaces_around_a_point_change_nothing(bench: Bench) -> None:
    target = bench.target(**FIRST, points=("CH1", "CH2"))
    assert issue(bench, target, points=(" CH1", "CH2 ")).changes_more_than_limits is False


def test_new_limits_judge_old_readings_and_keep_their_verdict(bench: Bench) -> None:
    target = bench.target(**FIRST)
    reading = bench.read("3.30")
    issue(bench, target, limits="3.31..3.366 V")
    reading.refresh_from_db()
    assert (reading.verdict, designed()) == ("pass", "fail")
    assert reading.issue is not None
    assert reading.issue.number == 1


def test_other_conditions_stop_old_readings_counting(bench: Bench) -> None:
    target = bench.target(**FIRST)
    bench.read("3.30")
    issue(bench, target, conditions="full load")
    assert designed() == "issue 2 of the target changed more than its limits"


def test_going_back_to_old_conditions_does_not_revive_old_readings(bench: Bench) -> None:
    target = bench.target(**FIRST)
    bench.read("3.30")
    issue(bench, target, conditions="full load")
    issue(bench, target)
    assert designed() == "issue 2 of the target changed more than its limits"


def test_a_reading_under_the_new_conditions_counts(bench: Bench) -> None:
    target = bench.target(**FIRST)
    bench.read("3.30")
    issue(bench, target, conditions="full load")
    bench.read("3.31")
    assert designed() == "pass"


@pytest.fixture
def family(bench: Bench) -> Bench:
    """Return the bench with revision B after A, C after B, and D after A; a board of each."""
    revisions = {"A": bench.revision}
    for label, parent in [("B", "A"), ("C", "B"), ("D", "A")]:
        revisions[label] = add_revision(
            actor=bench.actor, project=bench.project, label=label, parent=revisions[parent]
        )
        bench.extra_board(label, revisions[label])
    return bench


def test_an_issue_is_meant_for_a_revision_and_its_descendants(family: Bench) -> None:
    target = family.target(**FIRST)
    issue(family, target, limits="1..2 V", meant_for=family.project.revisions.get(label="B"))
    words = {board: family.read("3.3", board=board).verdict for board in ("0001", "B", "C", "D")}
    assert words == {"0001": "pass", "B": "fail", "C": "fail", "D": "pass"}


def test_a_later_issue_for_all_wins_over_one_for_a_revision(family: Bench) -> None:
    target = family.target(**FIRST)
    issue(family, target, limits="1..2 V", meant_for=family.project.revisions.get(label="B"))
    issue(family, target)
    assert family.read("3.3", board="C").verdict == "pass"


def test_each_revision_compares_an_issue_with_the_one_it_takes_over_from(family: Bench) -> None:
    """On B only limits change; on A the conditions change too, though not against the issue before."""
    target = family.target(**FIRST)
    family.read("3.3")
    issue(family, target, conditions="warm", meant_for=family.project.revisions.get(label="B"))
    family.read("3.3", board="B")
    issue(family, target, conditions="warm", limits="3.2..3.4 V")
    assert designed("B") == "pass"
    assert designed("0001") == "issue 3 of the target changed more than its limits"
    assert list(discrepancies_of(family.project)) == []


def test_a_detour_of_another_revision_does_not_outdate_readings(family: Bench) -> None:
    target = family.target(**FIRST)
    family.read("3.3")
    issue(family, target, conditions="warm", meant_for=family.project.revisions.get(label="B"))
    issue(family, target, limits="3.2..3.4 V")
    assert designed("0001") == "pass"


def test_a_target_meant_for_another_revision_takes_no_reading(family: Bench) -> None:
    family.target(**FIRST, meant_for=family.project.revisions.get(label="B"))
    with pytest.raises(InvalidInputError, match="no issue meant for"):
        family.read("3.3")


def test_an_issue_is_never_edited(bench: Bench) -> None:
    target = bench.target(**FIRST)
    before = TargetIssue.objects.filter(target=target, number=1).values().get()
    issue(bench, target, limits="1..2 V", conditions="warm")
    assert TargetIssue.objects.filter(target=target, number=1).values().get() == before


@pytest.mark.parametrize("reason", ["", "   "])
def test_an_issue_needs_a_reason(bench: Bench, reason: str) -> None:
    target = bench.target(**FIRST)
    with pytest.raises(InvalidInputError, match="why"):
        issue_target(actor=bench.actor, target=target, asked=Asked(**FIRST), reason=reason)
    assert target.issues.count() == 1


@pytest.mark.parametrize(
    ("kind", "limits"),
    [
        ("number", "yes"),
        ("number", "0 errors"),
        ("number", ""),
        ("number", "3.4..3.2 V"),
        ("number", "3,3 V ± 5 %"),
        ("yes/no", "3.3 V ± 5 %"),
        ("count", "yes"),
        ("count", "3.3 V ± 5 %"),
        ("seen working", "yes"),
        ("number", "<script>"),
    ],
)
def test_limits_must_fit_the_kind(bench: Bench, kind: str, limits: str) -> None:
    with pytest.raises(InvalidInputError):
        bench.target(limits=limits, kind=kind)
    assert not Target.objects.exists()


def test_yes_is_what_a_yes_no_target_asks_without_limits(bench: Bench) -> None:
    bench.target("Y", limits="", kind="yes/no")
    assert [bench.read(word, "Y").verdict for word in ("yes", "no")] == ["pass", "fail"]


@pytest.mark.parametrize(
    "points",
    [("CH1", "CH1"), ("CH1", ""), ("CH1", " CH1"), ("x" * 61,)],
    ids=["twice", "unnamed", "spaces", "long"],
)
def test_each_point_has_a_name_of_its_own(bench: Bench, points: tuple[str, ...]) -> None:
    with pytest.raises(InvalidInputError) as caught:
        bench.target(points=points)
    assert caught.value.problems[0].field == "points"


@pytest.mark.parametrize("boards", [0, -1])
def test_a_target_asks_for_a_board(bench: Bench, boards: int) -> None:
    with pytest.raises(InvalidInputError):
        bench.target(boards_needed=boards)


def test_prerequisites_must_not_run_in_a_circle(bench: Bench) -> None:
    first, _ = bench.target("T1"), bench.target("T2", needs=["T1"])
    bench.target("T3", needs=["T2"])
    with pytest.raises(InvalidInputError, match="circle") as caught:
        change_target(actor=bench.actor, target=first, values={}, prerequisites=["T3"])
    assert caught.value.problems[0].code == "circle"
    assert not first.prerequisites.exists()


@pytest.mark.parametrize("key", ["T1", "NO-1"], ids=["itself", "unknown"])
def test_a_prerequisite_is_another_target(bench: Bench, key: str) -> None:
    target = bench.target("T1")
    with pytest.raises(InvalidInputError):
        change_target(actor=bench.actor, target=target, values={}, prerequisites=[key])


def test_a_prerequisite_of_another_project_is_unknown(bench: Bench) -> None:
    build_bench("heron").target("H1")
    with pytest.raises(InvalidInputError, match="no target"):
        bench.target("T1", needs=["H1"])


def test_everything_about_a_target_belongs_to_its_project(bench: Bench) -> None:
    other = build_bench("heron")
    with pytest.raises(InvalidInputError, match="another project"):
        bench.target("T1", subsystem=other.subsystem)
    with pytest.raises(InvalidInputError, match="another project"):
        bench.target("T1", meant_for=other.revision)


def test_moving_a_target_to_another_project_is_refused(bench: Bench) -> None:
    other, target = build_bench("heron"), bench.target()
    with pytest.raises(InvalidInputError, match="another project"):
        change_target(actor=bench.actor, target=target, values={"subsystem": other.subsystem})


def test_a_key_serves_one_target(bench: Bench) -> None:
    bench.target()
    with pytest.raises(InvalidInputError):
        bench.target()


@pytest.mark.parametrize("key", ["", "a b", "../x", "x\n", "ß", "<b>", "-x", "x" * 31], ids=ascii)
def test_a_key_is_plain(bench: Bench, key: str) -> None:
    with pytest.raises(InvalidInputError):
        bench.target(key)


def test_unknown_caution_letters_are_refused(bench: Bench) -> None:
    with pytest.raises(InvalidInputError, match="caution"):
        add_target(
            actor=bench.actor, project=bench.project, subsystem=bench.subsystem, key="T", name="t",
            asked=Asked(**FIRST), values={"cautions": "EZ"},
        )  # fmt: skip


def test_moving_a_target_to_another_subsystem_derives_it_anew(bench: Bench) -> None:
    target = bench.target(**FIRST)
    bench.read("3.3")
    clocks = add_subsystem(actor=bench.actor, project=bench.project, key="CLK", name="clocks", kind="clocks")
    change_target(actor=bench.actor, target=target, values={"subsystem": clocks})
    assert Measurement.objects.get().verdict == "pass"
    assert list(discrepancies_of(bench.project)) == []


def test_a_point_that_is_no_longer_asked_for_stops_nothing(bench: Bench) -> None:
    """A failing reading without a point must not stand for ever once the target has named points."""
    first, _ = bench.target("T1", **FIRST), bench.target("T2", needs=["T1"], **FIRST)
    bench.read("9", "T1")
    issue(bench, first, points=("CH1", "CH2"))
    for point in ("CH1", "CH2"):
        bench.read("3.3", "T1", point=point)
    bench.read("3.3", "T2")
    assert CurrentResult.objects.get(target__key="T2").designed_verdict == "pass"
    assert list(discrepancies_of(bench.project)) == []
