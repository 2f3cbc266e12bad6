"""Which readings came out of a capture, and what the capture says today."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.bench.models import BenchSession, MeasurementEvidence
from logbook.evidence.choices import AnalysisState
from logbook.evidence.models import Analysis, Evidence
from logbook.evidence.queries import FoundNumber, number_found
from logbook.projects.models import Project

# Numbers found anew from the same bytes agree to this share; libraries differ in the last digits.
AGREE_WITHIN = 1e-9


@dataclass(frozen=True)
class ReadingFrom:
    """A reading with a capture behind it: the number it was recorded from, and that number found anew."""

    link: MeasurementEvidence
    recorded: FoundNumber | None
    anew: FoundNumber | None
    anew_from: Analysis | None

    @property
    def agrees(self) -> bool:
        """Say whether the number found anew is the one recorded."""
        if self.recorded is None or self.anew is None:
            return False
        size = max(abs(self.recorded.value), abs(self.anew.value))
        return abs(self.recorded.value - self.anew.value) <= AGREE_WITHIN * size

    @property
    def difference(self) -> str:
        """Return how far the two are apart, in words."""
        if self.recorded is None or self.anew is None or self.agrees:
            return "none"
        return f"{self.anew.value - self.recorded.value:.3g} {self.anew.unit}".rstrip()


def readings_from(evidence: Evidence) -> list[ReadingFrom]:
    """Return the readings behind which a file stands, oldest first. Two queries."""
    links = (
        MeasurementEvidence.objects.filter(evidence=evidence)
        .select_related("measurement__board", "measurement__target", "analysis")
        .order_by("id")
    )
    analyses = list(Analysis.objects.filter(evidence=evidence).order_by("-id"))
    return [_reading_from(link, analyses) for link in links]


def _reading_from(link: MeasurementEvidence, analyses: list[Analysis]) -> ReadingFrom:
    """Find the newest analysis that asked the same as the one the reading came from."""
    if link.analysis is None:
        return ReadingFrom(link, None, None, None)
    recorded = number_found(link.analysis, link.number)
    for later in analyses:
        is_same = later.parameters == link.analysis.parameters and later.pk > link.analysis.pk
        if is_same and later.state == AnalysisState.DONE and link.number in later.numbers:
            return ReadingFrom(link, recorded, number_found(later, link.number), later)
    return ReadingFrom(link, recorded, None, None)


def link_numbered(evidence: Evidence, number: int) -> MeasurementEvidence | None:
    """Return one reading's link to a file, with its analysis; none when there is no such link."""
    return MeasurementEvidence.objects.filter(evidence=evidence, pk=number).select_related("analysis").first()


def evidence_of_session(session: BenchSession) -> list[Evidence]:
    """Return the files that belong to a sitting. One query."""
    return [link.evidence for link in session.evidence_links.select_related("evidence").order_by("id")]


def sessions_with(evidence: Evidence) -> list[BenchSession]:
    """Return the sittings a file belongs to. One query."""
    return list(BenchSession.objects.filter(evidence_links__evidence=evidence).order_by("id"))


def session_choices(project: Project) -> list[BenchSession]:
    """Return the newest sittings of a project, for choosing one. One query."""
    return list(BenchSession.objects.filter(project=project).order_by("-started_at", "-id")[:50])
