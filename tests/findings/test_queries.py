"""Lists of findings: what they hold, and that their cost does not grow."""

from __future__ import annotations

import pytest
from pytest_django import DjangoAssertNumQueries

from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.findings.commands import move_finding, record_finding
from logbook.findings.models import Finding
from logbook.findings.queries import (
    errata_of,
    finding_named,
    finding_of,
    findings_here,
    findings_of,
    findings_of_board,
    findings_of_target,
    next_key,
    open_counts,
)
from logbook.projects.commands import add_revision, add_subsystem
from tests.builders import Bench, build_bench
from tests.findings.walking import walk


@pytest.fixture
def several(bench: Bench, finding: Finding) -> Bench:
    """Return the bench with F-01 reproduced, F-02 S1 suspected elsewhere, F-03 closed."""
    clocks = add_subsystem(actor=bench.actor, project=bench.project, key="CLK", name="clocks", kind="clocks")
    add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    common = {"actor": bench.actor, "project": bench.project}
    record_finding(**common, key="F-02", title="slow start", subsystem=clocks, values={"severity": "S1"})
    third = record_finding(
        **common, key="F-03", title="a hum", subsystem=bench.subsystem, found_on=bench.board
    )
    move_finding(actor=bench.actor, finding=third, to="not ours", note="the lamp")
    walk(bench, finding, "reproduced")
    return bench


@pytest.mark.parametrize(
    ("filters", "keys"),
    [
        ({}, ["F-02", "F-01", "F-03"]),
        ({"state": "open"}, ["F-02", "F-01"]),
        ({"state": "not ours"}, ["F-03"]),
        ({"subsystem": "CLK"}, ["F-02"]),
        ({"severity": "S2"}, ["F-01"]),
        ({"board": "0001"}, ["F-01", "F-03"]),
        ({"revision": "A"}, ["F-01", "F-03"]),
        ({"target": "RLD-2"}, ["F-01"]),
        ({"text": "hum"}, ["F-03"]),
        ({"text": "", "board": ""}, ["F-02", "F-01", "F-03"]),
    ],
    ids=str,
)
def test_what_is_open_comes_first_then_the_worst(
    several: Bench, filters: dict[str, str], keys: list[str]
) -> None:
    assert [one.key for one in findings_of(several.project, filters)] == keys


def test_a_board_shows_what_concerns_it_and_was_not_closed(several: Bench) -> None:
    second = several.extra_board("0002")
    assert [one.key for one in findings_of_board(several.board)] == ["F-01"]
    assert [one.key for one in findings_of_board(second)] == ["F-01"]


def test_the_bench_shows_those_of_the_subsystem(several: Bench) -> None:
    target = several.project.targets.get(key="RLD-3")
    assert [one.key for one in findings_here(several.board, target)] == ["F-01"]
    assert [one.key for one in findings_of_target(target)] == []


def test_a_revision_publishes_what_is_confirmed(several: Bench) -> None:
    assert [one.key for one in errata_of(several.revision)] == ["F-01"]
    assert list(errata_of(several.project.revisions.get(label="B"))) == []


def test_it_counts_what_is_open_in_each_subsystem(several: Bench) -> None:
    assert [(one.subsystem, one.count, one.undecided) for one in open_counts(several.project)] == [
        ("RLD", 1, 1),
        ("CLK", 1, 1),
    ]


def test_the_cost_does_not_grow(several: Bench, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    for number in range(10, 16):
        record_finding(
            actor=several.actor,
            project=several.project,
            key=f"F-{number}",
            title="another",
            subsystem=several.subsystem,
            found_on=several.board,
        )
    with django_assert_num_queries(5):
        rows = findings_of(several.project)
        assert (
            len([(one.subsystem.key, one.state, *one.boards.all(), *one.targets.all()) for one in rows]) == 9
        )


def test_keys_go_on_where_they_ended(several: Bench) -> None:
    assert next_key(several.project) == "F-04"


def test_projects_do_not_see_each_other(several: Bench) -> None:
    other = build_bench("gull")
    assert list(findings_of(other.project)) == []
    with pytest.raises(NotFoundError):
        finding_of(other.project, "F-01")
    with pytest.raises(InvalidInputError) as refused:
        finding_named(several.project, "F-99")
    assert refused.value.problems[0].allowed == "F-01, F-02, F-03"
