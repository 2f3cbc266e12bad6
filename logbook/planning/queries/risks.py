"""The open-risk list of a revision: every open reason, with the decision that was made on it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from django.utils import timezone

from logbook.bench.models import Target
from logbook.common import clock
from logbook.core.risk import Risk, RiskKind, Subject, SubjectKind, holds, risk_of_lapsed
from logbook.core.risk.findings import probability_of_finding
from logbook.core.risk.probability import base_probability, probability_of_failure
from logbook.core.state import State
from logbook.planning.models import Disposition
from logbook.planning.queries.days import entered_later
from logbook.planning.queries.decided import (
    HeldDisposition,
    Matter,
    day_of,
    decided_of,
    dispositions_on,
)
from logbook.planning.queries.fingerprints import Fingerprints, fingerprints_in
from logbook.planning.queries.open_findings import (
    KnownFinding,
    finding_rows,
    findings_concerning,
    stakes_of_finding,
)
from logbook.planning.queries.open_row import OpenRow
from logbook.planning.queries.other_rows import other_rows
from logbook.planning.queries.standing import Standing, standing_of
from logbook.planning.queries.target_risks import TargetRisks, target_risks_in
from logbook.planning.translate import CellResult
from logbook.projects.models import Revision


@dataclass(frozen=True)
class RiskRow:
    """One open risk with its subject, the facts a decision is made on, and the decision there is.

    ``targets`` are the keys one decision covers; ``target`` only where the row is about one. ``boards`` is
    how many boards of the revision have readings of them that count.
    """

    subject_kind: str
    subject: str
    title: str
    subsystems: tuple[str, ...]
    targets: tuple[str, ...]
    target: Target | None
    level: str
    kind: str
    reason: str
    probability: float
    probability_basis: str
    severity: str
    function_level: str
    harm: str
    harm_level: str
    fan_out: int
    hours: float
    boards: int
    closes: str
    weight: float
    is_grave: bool
    disposition: HeldDisposition | None
    facts: Callable[[], dict[str, str]] = field(repr=False, compare=False)

    @cached_property
    def fingerprint(self) -> dict[str, str]:
        """Return the facts a decision on the row is made on."""
        return self.facts()

    @property
    def is_decided(self) -> bool:
        """Say whether a decision on it holds."""
        return self.disposition is not None and self.disposition.is_valid

    @property
    def matter(self) -> Matter:
        """Return what a decision on the row is about."""
        return Matter(self.subject_kind, self.subject, RiskKind(self.kind).is_about_instruments)


@dataclass(frozen=True)
class OpenRisks:
    """The open risks of a revision: those without a valid decision first, then worst first."""

    revision: Revision
    as_of: date | None
    entered_later: int
    rows: tuple[RiskRow, ...]


def open_risks_of(revision: Revision, *, as_of: date | None = None) -> OpenRisks:
    """Return the open risks of a revision, today or as they stood at the end of a day."""
    standing = standing_of(revision, as_of)
    later = entered_later(standing.line, standing.until) if standing.until else 0
    return OpenRisks(revision, as_of, later, risks_in(standing))


def risks_in(
    standing: Standing,
    found: TargetRisks | None = None,
    known: Sequence[KnownFinding] | None = None,
    decided: dict[Matter, Disposition] | None = None,
) -> tuple[RiskRow, ...]:
    """Return the open risks that follow from where a revision stands. Thirteen queries at most.

    What was read before, rows of targets, findings and decisions, is not read once more.
    """
    found = found or target_risks_in(standing)
    if known is None:
        known = findings_concerning(standing.revision, standing.line, standing.until)
    if decided is None:
        decided = dispositions_on(standing.line, standing.until)
    work = _Work(found, known, decided)
    rows = [work.row(one) for one in _open_rows(found, known)]
    rows += work.lapsed({row.matter for row in rows})
    rows.sort(key=lambda row: (row.is_decided, *work.orders[row.matter]))
    return tuple(rows)


def _open_rows(found: TargetRisks, known: Sequence[KnownFinding]) -> list[OpenRow]:
    """Return every open row; the state of a target that an open finding names is part of the finding's."""
    findings = finding_rows(known, found)
    taken_in = {key for row in findings for key in row.targets}
    alone = [risk for risk in found.rows if risk.kind.is_about_instruments or risk.subject not in taken_in]
    return [*(_of_target(found, risk) for risk in alone), *findings, *other_rows(found)]


def _of_target(found: TargetRisks, risk: Risk) -> OpenRow:
    target = found.standing.targets[risk.subject]
    return OpenRow(risk, target.name, (target.subsystem.key,), (target.key,))


class _Work:
    """Lays decisions over rows."""

    def __init__(
        self, found: TargetRisks, known: Sequence[KnownFinding], decided: dict[Matter, Disposition]
    ) -> None:
        standing = found.standing
        self.found, self.known, self.decided = found, known, decided
        self.day = day_of(standing.until, timezone.localtime(clock.now()).date())
        self.orders: dict[Matter, tuple[int, float, str, str]] = {}

    @cached_property
    def prints(self) -> Fingerprints:
        """Return the way to say the facts of rows. One query, once."""
        return fingerprints_in(self.found.standing)

    @cached_property
    def line(self) -> tuple[str, ...]:
        """Return the labels of the revision and its ancestors, nearest first."""
        standing = self.found.standing
        return standing.descent.line_in_words(standing.revision.pk)

    def row(self, one: OpenRow) -> RiskRow:
        """Return a row with the decision on it."""
        risk, standing = one.risk, self.found.standing
        matter = Matter(str(risk.subject_kind), risk.subject, risk.kind.is_about_instruments)
        self.orders[matter] = risk.order
        return RiskRow(
            subject_kind=str(risk.subject_kind),
            subject=risk.subject,
            title=one.title,
            subsystems=one.subsystems,
            targets=one.targets,
            target=standing.targets[risk.subject] if risk.subject_kind is SubjectKind.TARGET else None,
            level=str(risk.level),
            kind=str(risk.kind),
            reason=risk.reason,
            probability=risk.probability,
            probability_basis=risk.probability_basis,
            severity=str(risk.severity),
            function_level=str(risk.function_level),
            harm=str(risk.harm or ""),
            harm_level=str(risk.harm_level or ""),
            fan_out=risk.fan_out,
            hours=self.found.hours[risk.severity],
            boards=len({cell.board for key in one.targets for cell in _counting(standing, key)}),
            closes=risk.closes,
            weight=risk.weight,
            is_grave=risk.is_grave,
            disposition=self._held(matter, one),
            facts=lambda: self.prints.of(one),
        )

    def _held(self, matter: Matter, one: OpenRow) -> HeldDisposition | None:
        record = self.decided.get(matter)
        if record is None:
            return None
        decided = decided_of(record, record.revision.label, self.found.standing.until)
        facts = self.prints.of(one)
        held = holds(decided, facts, is_grave=one.risk.is_grave, line=self.line, day=self.day)
        return HeldDisposition(record, held)

    def lapsed(self, open_matters: Iterable[Matter]) -> list[RiskRow]:
        """Return a row for each acceptance that has ended where nothing else is open any more."""
        covered = set(open_matters)
        rows = []
        for matter, record in self.decided.items():
            if matter in covered or matter.about_instruments or record.decision != "accept":
                continue
            decided = decided_of(record, record.revision.label, self.found.standing.until)
            held = holds(decided, None, is_grave=False, line=self.line, day=self.day)
            row = None if held.is_valid else self._of_lapsed(matter, held.because)
            if row is not None:
                rows.append(self.row(row))
        return rows

    def _of_lapsed(self, matter: Matter, because: str) -> OpenRow | None:
        if matter.subject_kind == SubjectKind.TARGET:
            return self._target_lapsed(matter.subject, because)
        if matter.subject_kind == SubjectKind.FINDING:
            return self._finding_lapsed(matter.subject, because)
        # A rework that was folded in, an option or a lesson that was answered has been decided since.
        return None

    def _target_lapsed(self, key: str, because: str) -> OpenRow | None:
        target, state = self.found.standing.targets.get(key), self.found.standing.states.get(key)
        is_in_finding = any(one.is_open and key in one.targets for one in self.known)
        if target is None or state is None or state.state == State.NOT_APPLICABLE or is_in_finding:
            return None
        facts = next(one for one in self.found.standing.facts if one.key == key)
        chance = probability_of_failure(state, facts, self.found.counts.without(target))
        risk = risk_of_lapsed(
            Subject(SubjectKind.TARGET, key), because, chance, self.found.stakes_of([target])
        )
        return _of_target(self.found, risk)

    def _finding_lapsed(self, key: str, because: str) -> OpenRow | None:
        one = next((one for one in self.known if one.finding.key == key), None)
        if one is None:
            return None
        stakes = stakes_of_finding(one, self.found)
        chance = probability_of_finding(one.state, base_probability(*stakes.base))
        risk = risk_of_lapsed(Subject(SubjectKind.FINDING, key), because, chance, stakes)
        asked = tuple(key for key in one.targets if key in self.found.standing.targets)
        return OpenRow(risk, one.finding.title, (one.finding.subsystem.key,), asked, str(one.state))


def _counting(standing: Standing, key: str) -> Iterable[CellResult]:
    return (cell for cell in standing.cells.get(key, ()) if cell.designed is not None)
