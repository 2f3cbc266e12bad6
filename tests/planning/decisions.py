"""What the tests of decisions on open risks share."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

from logbook.bench.commands import (
    record_rework,
)
from logbook.boards.commands import record_change
from logbook.boards.models import Rework
from logbook.findings.commands import record_finding
from logbook.findings.models import Finding
from logbook.planning.commands import (
    RiskSubject,
    decide_risks,
)
from logbook.planning.models import Disposition
from logbook.planning.queries import RiskRow, open_risks_of
from logbook.projects.commands import (
    add_revision,
)
from logbook.projects.models import Change, Revision
from tests.builders import Bench

NOON = datetime(2024, 3, 1, 12, 0, tzinfo=UTC)
DAY = timedelta(days=1)
ACCEPT: dict[str, Any] = {"decision": "accept", "owner": "wh", "reason": "runs cool", "expires_with": "D"}


def rows(revision: Revision, as_of: date | None = None) -> list[RiskRow]:
    return list(open_risks_of(revision, as_of=as_of).rows)


def only(revision: Revision, as_of: date | None = None) -> RiskRow:
    (row,) = rows(revision, as_of)
    return row


def decide(bench: Bench, *names: RiskSubject, revision: Revision | None = None, **given: Any) -> Disposition:
    named = names or (RiskSubject("target", "RLD-2"),)
    return decide_risks(actor=bench.actor, revision=revision or bench.revision, rows=named, **given)[0]


def hold(row: RiskRow) -> tuple[str, str]:
    assert row.disposition is not None
    return str(row.disposition.held.hold), row.disposition.held.because


def finding(bench: Bench, key: str = "F-01", *targets: str, **values: Any) -> Finding:
    return record_finding(
        actor=bench.actor, project=bench.project, key=key, title="LDO too warm", subsystem=bench.subsystem,
        found_on=bench.board, targets=list(bench.project.targets.filter(key__in=targets)), values=values,
    )  # fmt: skip


def rework(bench: Bench, key: str = "RW-01", intent: str = "repair", **given: Any) -> Rework:
    return record_rework(
        actor=bench.actor, board=bench.board, key=key, kind="part swap", intent=intent,
        what="R21 to 68k", subsystems=[bench.subsystem], **given,
    )  # fmt: skip


def planned(bench: Bench, revision: Revision, key: str = "F-01") -> Change:
    return record_change(
        actor=bench.actor, revision=revision, key=key, kind="schematic", what="R21 to 68k", subsystems=[]
    )


def child(bench: Bench, label: str = "B", parent: Revision | None = None) -> Revision:
    return add_revision(
        actor=bench.actor, project=bench.project, label=label, parent=parent or bench.revision
    )


def nothing_changed(bench: Bench, revision: Revision) -> None:
    record_change(actor=bench.actor, revision=revision, key="LABEL", kind="layout", what="label only")
