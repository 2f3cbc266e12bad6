"""Open risks as the page shows them: the factors beside the level, and the way to close each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.http import urlencode

from logbook.bench.choices import Severity
from logbook.core.risk import (
    FUNCTION_BANDS,
    HARM_BANDS,
    RISK_MATRIX,
    Harm,
    Level,
    RiskKind,
    SubjectKind,
)
from logbook.core.risk import Severity as CoreSeverity
from logbook.planning.commands import RiskSubject
from logbook.planning.queries import RiskRow
from logbook.projects.models import Project, Revision
from logbook.web.addresses import target_page
from logbook.web.coverage_rows import OlderBoard

# What a further reading cannot close: the target's page shows what stands against it.
CLOSED_BY_DESIGN = frozenset({RiskKind.FAILING, RiskKind.MARGINAL})
CLOSED_BY_INSTRUMENT = frozenset({RiskKind.UNDECIDABLE, RiskKind.OUT_OF_CALIBRATION})
SEVERITY_WORDS = {str(value): label.partition(": ")[2] for value, label in Severity.choices}


@dataclass(frozen=True)
class ShownRisk:
    """One open risk with what its order is made of, its pages, and the name a form sends for it.

    ``says`` is its reason without the title that stands before it.
    """

    row: RiskRow
    name: str
    says: str
    percent: str
    severity_words: str
    hours: str
    weight: str
    boards: str
    page: str
    link: str
    link_text: str


@dataclass(frozen=True)
class LevelCount:
    """How many open risks have a level, and how many of them no decision holds for."""

    level: str
    count: int
    undecided: int


@dataclass(frozen=True)
class MatrixCell:
    """One cell of the matrix: its level, and how many risks lie there by function and by harm."""

    level: str
    function: int
    harm: int


@dataclass(frozen=True)
class ClosingPlaces:
    """Where a risk of a revision can be closed."""

    project: Project
    revision: Revision
    benches: Mapping[str, str]
    add_url: str
    older: OlderBoard | None = None

    def of(self, row: RiskRow) -> tuple[str, str]:
        """Return address and words of the place; empty when there is none."""
        if row.target is None:
            return self._of_other(row)
        if row.kind in CLOSED_BY_INSTRUMENT:
            return reverse("instrument-list"), "instruments"
        if row.kind in CLOSED_BY_DESIGN:
            return target_page(self.project.slug, row.target.key), f"readings of {row.target.key}"
        for serial, bench in self.benches.items():
            return f"{bench}?target={row.target.key}", f"bench {serial}"
        counts = self.older.counts(row.target.subsystem.key) if self.older else ""
        if self.older and counts:
            address = f"{self.older.bench}?target={row.target.key}"
            return address, f"bench {self.older.serial} of {self.older.label}: {counts}"
        return self.add_url, "add a board" if self.add_url else ""

    def _of_other(self, row: RiskRow) -> tuple[str, str]:
        slug, label = self.project.slug, self.revision.label
        if row.subject_kind == SubjectKind.REWORK:
            return reverse("revision-changes", args=[slug, label]), "changes"
        if row.subject_kind == SubjectKind.LESSON:
            return f"{reverse('lesson-review', args=[slug, label])}?lesson={row.subject}", "answer it"
        page = page_of(self.project, row, label)
        return page, f"{row.subject_kind} {row.subject}" if page else ""


def page_of(project: Project, row: RiskRow, label: str) -> str:
    """Return the address of what a risk is about; empty where it has no page of its own."""
    slug = project.slug
    if row.subject_kind == SubjectKind.TARGET:
        return target_page(slug, row.subject)
    if row.subject_kind == SubjectKind.FINDING:
        return reverse("finding-detail", args=[slug, row.subject])
    if row.subject_kind == SubjectKind.REWORK:
        return reverse("board-detail", args=[slug, row.subject.rpartition(" of ")[2]])
    if row.subject_kind == SubjectKind.LESSON:
        return reverse("lesson-detail", args=[row.subject])
    if row.subject_kind == SubjectKind.OPTION:
        return f"{reverse('option-list', args=[slug])}?{urlencode({'revision': label})}#{row.subject}"
    return ""


def name_of(row: RiskRow) -> str:
    """Return what a form sends for a row."""
    return "/".join((row.subject_kind, row.subject, row.kind))


def subject_named(name: str) -> RiskSubject:
    """Return the row a form named."""
    kind, _, rest = name.partition("/")
    subject, _, row_kind = rest.rpartition("/")
    return RiskSubject(kind, subject, row_kind)


def shown_risks(rows: Iterable[RiskRow], places: ClosingPlaces) -> tuple[ShownRisk, ...]:
    """Return the risks in the order given."""
    return tuple(_shown(row, places) for row in rows)


def _shown(row: RiskRow, places: ClosingPlaces) -> ShownRisk:
    link, link_text = places.of(row)
    return ShownRisk(
        row=row,
        name=name_of(row),
        says=without_title(row.title, row.reason),
        percent=percent_text(row.probability),
        severity_words=SEVERITY_WORDS[row.severity],
        hours=f"{row.hours:g} h",
        weight=f"{row.weight:.3g}",
        boards=_boards(row),
        page=page_of(places.project, row, places.revision.label),
        link=link,
        link_text=link_text,
    )


def without_title(title: str, reason: str) -> str:
    """Return what a reason says beyond the title that stands before it."""
    return reason.removeprefix(title).lstrip(" ;,")


def _boards(row: RiskRow) -> str:
    if not row.targets:
        return ""
    return {0: "measured on no board here", 1: "measured on 1 board here"}.get(
        row.boards, f"measured on {row.boards} boards here"
    )


def matrix_of(rows: Iterable[RiskRow]) -> tuple[tuple[str, tuple[MatrixCell, ...]], ...]:
    """Return the matrix with the number of risks in each cell."""
    function: Counter[tuple[str, int]] = Counter()
    harm: Counter[tuple[str, int]] = Counter()
    for row in rows:
        function[FUNCTION_BANDS.row(row.probability), CoreSeverity(row.severity).column] += 1
        if row.harm:
            harm[HARM_BANDS.row(row.probability), Harm(row.harm).column] += 1
    return tuple(
        (
            letter,
            tuple(
                MatrixCell(str(level), function[letter, column], harm[letter, column])
                for column, level in enumerate(levels, start=1)
            ),
        )
        for letter, levels in RISK_MATRIX.items()
        if letter != "F"
    )


def percent_text(probability: float) -> str:
    """Return a probability in percent with the digits worth reading; never a bare 0 or 100."""
    percent = 100 * probability
    if 0 < percent < 0.1:
        return "below 0.1 %"
    if 99.9 < percent < 100:
        return "above 99.9 %"
    return f"{percent:.0f} %" if percent >= 10 or percent == 0 else f"{percent:.1f} %"


def level_counts(rows: Iterable[RiskRow]) -> tuple[LevelCount, ...]:
    """Return how many risks each level has, the worst first, also where there is none."""
    listed = list(rows)
    counts = Counter(row.level for row in listed)
    undecided = Counter(row.level for row in listed if not row.is_decided)
    levels: Sequence[Level] = [level for level in Level if level != Level.ELIMINATED]
    return tuple(LevelCount(str(level), counts[level], undecided[level]) for level in levels)
