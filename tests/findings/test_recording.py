"""Recording findings and changing what they say."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from logbook.common.errors import InvalidInputError
from logbook.common.models import ChangeRecord
from logbook.findings.commands import change_finding, record_finding
from logbook.findings.models import Finding
from logbook.findings.queries import state_of
from tests.builders import Bench, build_bench


def record(bench: Bench, **given: Any) -> Finding:
    return record_finding(
        **{
            "actor": bench.actor,
            "project": bench.project,
            "key": "F-09",
            "title": "a spur",
            "subsystem": bench.subsystem,
        }
        | given
    )


def test_it_begins_as_suspected_on_the_board_and_its_revision(bench: Bench, finding: Finding) -> None:
    assert state_of(finding) == "suspected"
    assert [board.serial for board in finding.boards.all()] == ["0001"]
    assert [revision.label for revision in finding.revisions.all()] == ["A"]


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"key": "F 9"}, "key"),
        ({"values": {"severity": "S9"}}, "severity"),
        ({"values": {"cause_family": "gremlins"}}, "cause_family"),
        ({"values": {"harm": "some"}}, "harm"),
        ({"values": {"x": 0.5}}, "side"),
        ({"values": {"side": "top", "x": 0.5}}, "y"),
        ({"values": {"side": "top", "x": 0.5, "y": 1.5}}, "y"),
        ({"found_at": timezone.now() + timedelta(days=1)}, "found_at"),
        ({"title": ""}, "title"),
    ],
    ids=lambda given: str(given)[:40],
)
def test_it_names_what_is_wrong(bench: Bench, given: dict[str, Any], field: str) -> None:
    with pytest.raises(InvalidInputError) as refused:
        record(bench, **given)
    assert [problem.field for problem in refused.value.problems] == [field]
    assert not Finding.objects.exists()


def test_a_key_is_taken_once_in_a_project(bench: Bench, finding: Finding) -> None:
    with pytest.raises(InvalidInputError):
        record(bench, key="F-01")
    other = build_bench("gull")
    assert record(other, key="F-01").project == other.project


@pytest.mark.parametrize("field", ["subsystem", "found_on", "boards", "revisions", "targets"])
def test_nothing_of_another_project_is_named(bench: Bench, field: str) -> None:
    other = build_bench("gull")
    foreign = {
        "subsystem": other.subsystem,
        "found_on": other.board,
        "boards": [other.board],
        "revisions": [other.revision],
        "targets": [other.target()],
    }
    with pytest.raises(InvalidInputError, match="another project") as refused:
        record(bench, **{field: foreign[field]})
    assert refused.value.problems[0].field in {field, "boards"}


def test_a_change_is_on_record_with_old_and_new(bench: Bench, finding: Finding) -> None:
    second = bench.extra_board("0002")
    change_finding(
        actor=bench.actor,
        finding=finding,
        values={"workaround": "load it less", "severity": "S2"},
        lists={"boards": [bench.board, second]},
    )
    fields = [row.fields for row in ChangeRecord.objects.filter(kind="finding", action="changed")]
    assert {"workaround": ["", "load it less"]} in fields
    assert {"boards": ["0001", "0001, 0002"]} in fields
    assert len(fields) == 2


def test_a_refused_change_changes_nothing(bench: Bench, finding: Finding) -> None:
    other = build_bench("gull")
    with pytest.raises(InvalidInputError, match="another project"):
        change_finding(
            actor=bench.actor, finding=finding, values={"title": "new"}, lists={"boards": [other.board]}
        )
    finding.refresh_from_db()
    assert finding.title == "3.3 V reads low"
