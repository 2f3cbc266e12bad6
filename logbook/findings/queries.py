"""Reading findings. The state of each is that of its latest standing step."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypedDict

from django.db.models import Case, Count, F, IntegerField, OuterRef, Q, QuerySet, Subquery, Value, When

from logbook.bench.models import CurrentResult, Measurement, Target
from logbook.bench.queries.reworks import ReworkLine, rework_lines
from logbook.boards.models import Board, Rework
from logbook.boards.queries import reworks_of_project
from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.core.risk.findings import CLOSED, FindingState
from logbook.evidence.models import Evidence
from logbook.findings.choices import CONFIRMED, DONE, MOVES, PROVING
from logbook.findings.models import Finding, FindingEvent
from logbook.projects.models import Project, Revision

OPEN = "open"


class Derived(TypedDict):
    """What is derived of a finding: its state, and 1 where nothing more is to be done, else 0."""

    state: str
    done: int


if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

    Known = WithAnnotations[Finding, Derived]


def standing_events() -> QuerySet[FindingEvent]:
    """Return the steps that count: a proof falls with its reading when that is withdrawn."""
    return FindingEvent.objects.filter(measurement__withdrawn_at__isnull=True)


def with_state(findings: QuerySet[Finding]) -> QuerySet[Known]:
    """Add the state of each finding and whether it is done; no further query."""
    latest = standing_events().filter(finding=OuterRef("pk")).order_by("-at", "-id")
    done = Case(When(state__in=DONE, then=Value(1)), default=Value(0), output_field=IntegerField())
    return findings.annotate(state=Subquery(latest.values("state")[:1])).annotate(done=done)


def _shown(findings: QuerySet[Finding]) -> QuerySet[Known]:
    return (
        with_state(findings)
        .select_related("subsystem", "found_on__revision", "recorded_by")
        .prefetch_related("revisions", "boards__revision", "targets")
        .order_by("done", "severity", "key")
    )


def findings_of(project: Project, filters: Mapping[str, str] | None = None) -> QuerySet[Known]:
    """Return the findings of a project: what is open first, then by severity. Five queries.

    ``filters`` may hold text, state (a state, or *open*), subsystem, severity, board, revision and target.
    """
    asked = {name: text for name, text in (filters or {}).items() if text}
    found = _shown(Finding.objects.filter(project=project))
    if "text" in asked:
        text = asked["text"]
        found = found.filter(Q(key__icontains=text) | Q(title__icontains=text) | Q(what__icontains=text))
    if asked.get("state") == OPEN:
        found = found.filter(done=0)
    elif "state" in asked:
        found = found.filter(state=asked["state"])
    for name, path in _PATHS.items():
        if name in asked:
            found = found.filter(**{path: asked[name]})
    return found


_PATHS = {
    "subsystem": "subsystem__key",
    "severity": "severity",
    "board": "boards__serial",
    "revision": "revisions__label",
    "target": "targets__key",
}


def finding_of(project: Project, key: str) -> Known:
    """Return the finding with ``key`` and its state."""
    found = _shown(Finding.objects.filter(project=project, key=key)).first()
    if found is None:
        message = f"{project} has no finding {key!r}"
        raise NotFoundError(message)
    return found


def finding_named(project: Project, key: str, *, field: str = "finding") -> Finding:
    """Return the finding a write names; the error names the keys there are."""
    found = Finding.objects.filter(project=project, key=key).first()
    if found is None:
        keys = ", ".join(Finding.objects.filter(project=project).values_list("key", flat=True)[:30])
        raise InvalidInputError.of(field, f"no finding {key!r} here", given=key, allowed=keys or "none yet")
    return found


def next_key(project: Project) -> str:
    """Return the key a new finding may take: F-01, F-02, and so on. One query."""
    taken = set(Finding.objects.filter(project=project).values_list("key", flat=True))
    number = len(taken) + 1
    while f"F-{number:02d}" in taken:
        number += 1
    return f"F-{number:02d}"


def life_of(finding: Finding) -> list[FindingEvent]:
    """Return every step of a finding, oldest first, also a proof whose reading was withdrawn. One query."""
    return list(
        FindingEvent.objects.filter(finding=finding)
        .select_related("recorded_by", "measurement__board", "measurement__target", "duplicate_of")
        .order_by("at", "id")
    )


def state_of(finding: Finding) -> FindingState:
    """Return where a finding stands. One query."""
    latest = standing_events().filter(finding=finding).order_by("-at", "-id").first()
    return FindingState(latest.state) if latest else FindingState.SUSPECTED


def moves_from(state: str) -> tuple[FindingState, ...]:
    """Return the steps that may follow ``state``."""
    return MOVES[FindingState(state)]


def readings_that_may_prove(finding: Finding) -> QuerySet[Measurement]:
    """Return the readings a proof may name: passing, standing, of a target of it, since it was found."""
    return (
        Measurement.objects.filter(
            project=finding.project_id,
            target__in=finding.targets.all(),
            verdict__in=PROVING,
            withdrawn_at__isnull=True,
            taken_at__gte=finding.found_at,
        )
        .select_related("target", "board")
        .order_by("-taken_at", "-id")
    )


def results_of(finding: Finding) -> list[CurrentResult]:
    """Return what each board shows now for the targets of a finding. One query."""
    return list(
        CurrentResult.objects.filter(target__findings=finding, found__issue__isnull=False)
        .select_related("board", "found__issue")
        .order_by("board__serial", "point")
    )


def others_of(finding: Finding) -> QuerySet[Finding]:
    """Return the other findings of the project. One query."""
    return Finding.objects.filter(project=finding.project_id).exclude(pk=finding.pk).order_by("key")


def findings_of_board(board: Board) -> QuerySet[Known]:
    """Return what was found on a board or on its revision and was not closed. One query.

    Also what is proven on a later revision: its fix does not mend this board.
    """
    concerned = Finding.objects.filter(Q(boards=board) | Q(revisions=board.revision_id)).values("pk")
    found = Finding.objects.filter(project=board.project_id, pk__in=concerned)
    return with_state(found).exclude(state__in=CLOSED).order_by("done", "severity", "key")


def findings_here(board: Board, target: Target) -> list[Known]:
    """Return what to know of the target's subsystem on a board in hand. One query."""
    return list(findings_of_board(board).filter(subsystem=target.subsystem_id))


def findings_of_target(target: Target) -> QuerySet[Known]:
    """Return the findings that name a target, what is open first. One query."""
    return with_state(Finding.objects.filter(targets=target)).order_by("done", "severity", "key")


def findings_of_rework(rework: Rework) -> QuerySet[Known]:
    """Return the findings because of which a rework was done. One query."""
    return with_state(Finding.objects.filter(rework_links__rework=rework)).order_by("key")


def reworks_of_finding(finding: Finding) -> list[ReworkLine]:
    """Return the reworks done because of a finding, with their boards and re-checks. Eight queries."""
    rows = reworks_of_project(finding.project).filter(finding_links__finding=finding)
    return rework_lines(rows.order_by("in_force_from", "id"))


def errata_of(revision: Revision) -> QuerySet[Known]:
    """Return the confirmed findings of a revision, worst first. Five queries."""
    return (
        _shown(Finding.objects.filter(revisions=revision))
        .filter(state__in=CONFIRMED)
        .order_by("severity", "key")
    )


def suspected_count(revision: Revision) -> int:
    """Return how many findings of a revision are only suspected yet. One query."""
    concerned = with_state(Finding.objects.filter(revisions=revision))
    return concerned.filter(state=str(FindingState.SUSPECTED)).count()


@dataclass(frozen=True)
class Decisions:
    """The latest decision and the latest standing proof of some findings, by their id."""

    plans: dict[int, FindingEvent]
    proofs: dict[int, FindingEvent]


def decisions_of(findings: Iterable[Finding]) -> Decisions:
    """Return what was decided about some findings and what proves it. One query."""
    steps = (
        standing_events()
        .filter(finding__in=list(findings), state__in=[str(FindingState.DECIDED), str(FindingState.PROVEN)])
        .select_related("recorded_by", "measurement__board__revision", "measurement__target")
        .order_by("at", "id")
    )
    plans: dict[int, FindingEvent] = {}
    proofs: dict[int, FindingEvent] = {}
    for step in steps:
        (proofs if step.state == FindingState.PROVEN else plans)[step.finding_id] = step
    return Decisions(plans, proofs)


@dataclass(frozen=True)
class OpenCount:
    """How many findings of a subsystem are not done, and how many of these wait for a decision."""

    subsystem: str
    count: int
    undecided: int


def open_counts(project: Project) -> list[OpenCount]:
    """Return the open findings of each subsystem that has some. One query."""
    undone = with_state(Finding.objects.filter(project=project)).filter(done=0)
    decided = [str(FindingState.DECIDED), str(FindingState.IN_THE_FILES), str(FindingState.BUILT)]
    rows = (
        undone.values(at=F("subsystem__key"))
        .annotate(count=Count("pk"), decided=Count("pk", filter=Q(state__in=decided)))
        .order_by("subsystem__position", "subsystem__key")
    )
    return [OpenCount(row["at"], row["count"], row["count"] - row["decided"]) for row in rows]


def evidence_of_finding(finding: Finding) -> list[Evidence]:
    """Return the files that show a finding. One query."""
    return [link.evidence for link in finding.evidence_links.select_related("evidence").order_by("id")]


def finding_keys_with(evidence: Evidence) -> list[str]:
    """Return the keys of the findings a file stands with. One query."""
    rows = Finding.objects.filter(evidence_links__evidence=evidence).order_by("key")
    return list(rows.values_list("key", flat=True))
