"""Which issue of a target is in force for a revision, and how a reading stands under it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from itertools import pairwise

from logbook.bench.models import Measurement, TargetIssue
from logbook.bench.translate import judgement_of
from logbook.common.prepared import Prepared, columns_of, ids_given, listed, row_of
from logbook.core.errors import CoreError
from logbook.core.quantities import unit_named


def changes_more_than_limits(before: TargetIssue, after: TargetIssue) -> bool:
    """Say whether more than limits, their basis and the number of boards changed."""
    return (
        before.kind != after.kind
        or unit_named(before.unit).base != unit_named(after.unit).base
        or before.points != after.points
        or before.conditions != after.conditions
        or before.method != after.method
    )


@dataclass(frozen=True)
class Yardstick:
    """The issues of some targets, and the line of ancestors of each revision."""

    issues: dict[int, list[TargetIssue]]
    lineages: Mapping[int, tuple[int, ...]]
    found: dict[tuple[int, int], TargetIssue | None] = field(default_factory=dict)

    def learn(self, target_ids: Iterable[int]) -> None:
        """Add the issues of targets not known yet. One query when there are any."""
        missing = set(target_ids) - self.issues.keys()
        if missing:
            self.issues.update(_issues_by_target(missing))
            self.found.clear()

    def _applying(self, target_id: int, revision_id: int) -> list[TargetIssue]:
        issues = self.issues.get(target_id, [])
        if all(issue.meant_for_id is None for issue in issues):
            return issues
        line = self.lineages.get(revision_id, (revision_id,))
        return [issue for issue in issues if issue.meant_for_id is None or issue.meant_for_id in line]

    def in_force(self, target_id: int, revision_id: int) -> TargetIssue | None:
        """Return the issue with the highest number meant for the revision; none when there is none."""
        place = (target_id, revision_id)
        if place not in self.found:
            applying = self._applying(target_id, revision_id)
            self.found[place] = applying[-1] if applying else None
        return self.found[place]

    def outdated_by(self, measurement: Measurement, revision_id: int) -> TargetIssue | None:
        """Return the issue that changed more than the limits since the reading was judged, if any.

        Each issue is held against the one it took over from on this revision, which need not be the
        one numbered before it. A reading judged by an issue that is not here yet is younger than all.
        """
        newest = self.in_force(measurement.target_id or 0, revision_id)
        if newest is None or newest.pk == measurement.issue_id:
            return None
        applying = self._applying(measurement.target_id or 0, revision_id)
        places = (place for place, issue in enumerate(applying) if issue.pk == measurement.issue_id)
        start = next(places, len(applying))
        for before, issue in pairwise(applying[start:]):
            if changes_more_than_limits(before, issue):
                return issue
        return None

    def judged(self, measurement: Measurement, revision_id: int) -> tuple[str, bool]:
        """Return the verdict word (empty for none) and the undecidable flag under the issue in force."""
        issue = self.in_force(measurement.target_id or 0, revision_id)
        if issue is None or issue.pk == measurement.issue_id:
            return measurement.verdict, measurement.undecidable
        try:
            judgement = judgement_of(issue, measurement)
        except CoreError:
            # The new issue asks for another kind of quantity; the reading keeps its own verdict
            # and no longer counts, because such an issue changes more than limits.
            return measurement.verdict, measurement.undecidable
        return judgement.verdict or "", not judgement.decidable


def yardstick_for(
    target_ids: Iterable[int], lineages: Mapping[int, tuple[int, ...]], until: datetime | None = None
) -> Yardstick:
    """Return the yardstick of some targets, as issued by ``until``. One query."""
    return Yardstick(_issues_by_target(target_ids, until), lineages)


def _issues_by_target(
    target_ids: Iterable[int], until: datetime | None = None
) -> dict[int, list[TargetIssue]]:
    by_target: dict[int, list[TargetIssue]] = {pk: [] for pk in target_ids}
    for values in _ISSUES.rows(listed(by_target)):
        issue = row_of(TargetIssue, values)
        if until is None or issue.issued_at <= until:
            by_target[issue.target_id].append(issue)
    return by_target


_ISSUES = Prepared(
    lambda: (
        TargetIssue.objects.filter(target_id__among=ids_given(0))
        .order_by("target_id", "number")
        .values_list(*columns_of(TargetIssue))
    )
)
