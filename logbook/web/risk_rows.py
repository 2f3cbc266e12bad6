"""Open risks as the page shows them: the factors beside the level, and the way to close each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.urls import reverse

from logbook.bench.choices import Severity
from logbook.core.risk import Level, RiskKind
from logbook.planning.queries import OpenRisks, RiskRow
from logbook.projects.models import Project

# What a further reading cannot close: the target's page shows what stands against it.
CLOSED_BY_DESIGN = frozenset({RiskKind.FAILING, RiskKind.MARGINAL})
CLOSED_BY_INSTRUMENT = frozenset({RiskKind.UNDECIDABLE, RiskKind.OUT_OF_CALIBRATION})
SEVERITY_WORDS = {str(value): label.partition(": ")[2] for value, label in Severity.choices}


@dataclass(frozen=True)
class ShownRisk:
    """One open risk with what its order is made of and a link to what would close it."""

    row: RiskRow
    percent: str
    severity_words: str
    hours: str
    link: str
    link_text: str


@dataclass(frozen=True)
class LevelCount:
    """How many open risks have a level."""

    level: str
    count: int


def shown_risks(
    project: Project, rows: Iterable[RiskRow], benches: Mapping[str, str], add_url: str
) -> tuple[ShownRisk, ...]:
    """Return the risks in the order given; ``benches`` are the bench pages of measurable boards."""
    hours = dict(zip(SEVERITY_WORDS, project.hours, strict=True))
    return tuple(_shown(project, row, hours[row.severity], benches, add_url) for row in rows)


def _shown(
    project: Project, row: RiskRow, hours: float, benches: Mapping[str, str], add_url: str
) -> ShownRisk:
    link, link_text = _closing(project, row, benches, add_url)
    return ShownRisk(
        row=row,
        percent=percent_text(row.probability),
        severity_words=SEVERITY_WORDS[row.severity],
        hours=f"{hours:g} h",
        link=link,
        link_text=link_text,
    )


def _closing(project: Project, row: RiskRow, benches: Mapping[str, str], add_url: str) -> tuple[str, str]:
    """Return address and words of the place where the risk can be closed; empty when there is none."""
    if row.kind in CLOSED_BY_INSTRUMENT:
        return reverse("instrument-list"), "instruments"
    if row.kind in CLOSED_BY_DESIGN:
        return reverse("target-detail", args=[project.slug, row.target.key]), f"readings of {row.target.key}"
    for serial, bench in benches.items():
        return f"{bench}?target={row.target.key}", f"bench {serial}"
    return add_url, "add a board" if add_url else ""


def percent_text(probability: float) -> str:
    """Return a probability in percent with the digits worth reading; never a bare 0 or 100."""
    percent = 100 * probability
    if 0 < percent < 0.1:
        return "below 0.1 %"
    if 99.9 < percent < 100:
        return "above 99.9 %"
    return f"{percent:.0f} %" if percent >= 10 or percent == 0 else f"{percent:.1f} %"


def level_counts(risks: OpenRisks) -> tuple[LevelCount, ...]:
    """Return how many risks each level has, the worst first, also where there is none."""
    counts = Counter(row.level for row in risks.rows)
    levels: Sequence[Level] = [level for level in Level if level != Level.ELIMINATED]
    return tuple(LevelCount(str(level), counts[level]) for level in levels)
