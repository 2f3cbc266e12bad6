"""Which readings came out of a capture, and what the capture says today."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from logbook.bench.choices import TargetKind
from logbook.bench.models import BenchSession, Measurement, MeasurementEvidence, Target, TargetIssue
from logbook.bench.queries.lists import targets_of
from logbook.common.errors import NotFoundError
from logbook.core.quantities import unit_named
from logbook.core.signals.waveform import LEVELS
from logbook.evidence.choices import AnalysisState
from logbook.evidence.models import Analysis, Evidence
from logbook.evidence.queries import FoundNumber, number_found
from logbook.projects.models import Project

# Numbers found anew from the same bytes agree to this share; libraries differ in the last digits.
AGREE_WITHIN = 1e-9
# A value half way between two digits, and what the conversion of a float leaves.
ROUNDING_SLACK = Decimal("1e-6")


# A target may carry the way of measuring in its unit, a capture in the name of the number.
SAID_WITH_UNIT = {"rms": ("rms",), "ac_rms": ("rms",), "peak_to_peak": ("pp",), "amplitude": ("pp",)}


@dataclass(frozen=True)
class ReadingFrom:
    """A reading with a capture behind it: the number it was recorded from, and that number found anew.

    ``recorded`` is the number exactly as it was found; the reading shows it rounded.
    """

    link: MeasurementEvidence
    recorded: FoundNumber | None
    anew: FoundNumber | None
    anew_from: Analysis | None

    @property
    def agrees(self) -> bool:
        """Say whether the number found anew is the one recorded, exactly and not only as rounded."""
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

    @property
    def exact(self) -> str:
        """Return the recorded number with every digit that was kept."""
        return "" if self.recorded is None else f"{self.recorded.value!r} {self.recorded.unit}".rstrip()

    @property
    def off_by(self) -> str:
        """Return how far the reading is from the number beyond its rounding; empty where it is not."""
        reading = self.link.measurement
        if self.recorded is None or not reading.value:
            return ""
        unit = unit_named(reading.unit)
        apart = Decimal(reading.value) * unit.factor - Decimal(str(self.recorded.value))
        step = Decimal(1).scaleb(_last_place(reading)) * unit.factor
        is_rounding = abs(apart) <= step / 2 * (1 + ROUNDING_SLACK)
        return "" if is_rounding else f"{apart:.3g} {self.recorded.unit}".rstrip()


def _last_place(reading: Measurement) -> int:
    """Return the power of ten of the last digit a reading was written with."""
    try:
        exponent = Decimal(reading.text).as_tuple().exponent
    except InvalidOperation:
        exponent = Decimal(reading.value).as_tuple().exponent
    return int(exponent)


def units_said(name: str, unit: str) -> set[str]:
    """Return the base units a number may be recorded in: its own, and that with the way of measuring."""
    return {unit, *(f"{unit}{way}" for way in SAID_WITH_UNIT.get(name, ()))}


def fits(issue: TargetIssue, number: FoundNumber) -> bool:
    """Say whether a number can be a reading of what an issue asks; one without a unit can be given any."""
    if issue.kind == TargetKind.COUNT:
        return isinstance(number.value, int)
    if issue.kind != TargetKind.NUMBER:
        return False
    if not number.unit and number.name in (*LEVELS, "mask_margin"):
        # The file names no unit, so that any may be given with the reading.
        return True
    return unit_named(issue.unit).base in units_said(number.name, number.unit)


def targets_for_number(project: Project, number: FoundNumber) -> list[Target]:
    """Return the targets a number can be a reading of, in their order. Three queries."""
    return [
        target for target in targets_of(project) if any(fits(issue, number) for issue in target.issues.all())
    ]


def targets_behind(evidence: Evidence) -> set[str]:
    """Return the keys of the targets whose readings a file stands behind. One query."""
    links = MeasurementEvidence.objects.filter(evidence=evidence, measurement__target__isnull=False)
    return set(links.values_list("measurement__target__key", flat=True))


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


def measurement_keyed(project: Project, key: str) -> Measurement:
    """Return the reading that was sent with a key.

    Raises
    ------
    NotFoundError
        There is none.
    """
    found = Measurement.objects.filter(project=project, key=key).first()
    if found is None:
        message = f"{project} has no measurement with the key {key!r}"
        raise NotFoundError(message)
    return found


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
