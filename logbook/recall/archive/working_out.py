"""What follows from the lines of an archive: results, circles, and work in the background."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import islice

from logbook.bench.commands.current import recompute
from logbook.bench.models import Measurement, Prerequisite
from logbook.bench.queries.evaluation import Cell, Pair
from logbook.bench.queries.verification import discrepancies_of
from logbook.common import jobs
from logbook.core.errors import CoreError
from logbook.core.graph import find_cycle
from logbook.evidence.choices import (
    ANALYSE,
    DRAW_GERBER,
    PREPARE_PICTURE,
    AnalysisState,
    DrawingState,
    EvidenceKind,
)
from logbook.evidence.models import Analysis, Drawing, Evidence
from logbook.lessons.models import Lesson, LessonEvent
from logbook.projects.models import Project, Revision, SubsystemDependency
from logbook.recall.archive.format import refused
from logbook.recall.archive.loading import Loader
from logbook.recall.archive.reading import lines_of
from logbook.recall.archive.records import BY_NAME
from logbook.recall.choices import LAY_LEVELS

MOST_DIFFERENCES = 20
UNJUDGED = (CoreError, ArithmeticError, LookupError, TypeError, ValueError)


def derive(project: Project) -> Iterator[str]:
    """Work out what is kept of the readings, and yield where it is not what they say."""
    places = Measurement.objects.filter(project=project, target__isnull=False).order_by("board_id")
    boards: dict[int, set[Cell]] = defaultdict(set)
    for target_id, board_id, point in places.values_list("target_id", "board_id", "point").distinct():
        boards[board_id].add(Cell(target_id, board_id, point))
    try:
        for cells in boards.values():
            recompute(project, cells=cells, pairs={Pair(cell.board_id, cell.target_id) for cell in cells})
        differing = list(islice(discrepancies_of(project), MOST_DIFFERENCES + 1))
    except UNJUDGED as error:
        message = f"its readings cannot be judged ({type(error).__name__}: {error})"
        raise refused(message, where="data/measurements.jsonl") from error
    yield from map(str, differing[:MOST_DIFFERENCES])
    if len(differing) > MOST_DIFFERENCES:
        yield "and more; `manage.py verify` names all of them"


def check_circles(project: Project) -> None:
    """Refuse what runs in a circle: a page that follows it would never end."""
    needs = Prerequisite.objects.filter(target__project=project)
    depends = SubsystemDependency.objects.filter(subsystem__project=project)
    parents = Revision.objects.filter(project=project, parent__isnull=False)
    newer = LessonEvent.objects.filter(superseded_by__isnull=False)
    _refuse_circle("prerequisites", needs.values_list("target_id", "needs_id"))
    _refuse_circle("subsystem-dependencies", depends.values_list("subsystem_id", "depends_on_id"))
    _refuse_circle("revisions", parents.values_list("pk", "parent_id"))
    _refuse_circle("lesson-events", newer.values_list("lesson_id", "superseded_by_id"))
    for column in ("descends_from_id", "part_of_id"):
        related = Project.objects.filter(**{f"{column}__isnull": False})
        _refuse_circle("projects", related.values_list("pk", column))


def _refuse_circle(record: str, links: Iterable[tuple[int, int | None]]) -> None:
    graph: dict[int, set[int]] = defaultdict(set)
    for one, other in links:
        if other is not None:
            graph[one].add(other)
            graph.setdefault(other, set())
    if find_cycle(graph):
        raise refused("what needs or follows what runs in a circle", where=f"data/{record}.jsonl")


def fill_lessons(loader: Loader) -> None:
    """Give lessons that were here before their project the finding they were learned from."""
    record = BY_NAME["lessons"]
    for _, line in lines_of(loader.found, record.name, record.names):
        if line["finding"] is None:
            continue
        pk = loader.key(record.model, line["key"])
        finding = loader.key(record.model._meta.get_field("finding").related_model, line["finding"])  # type: ignore[arg-type]
        open_ones = Lesson.objects.filter(pk__in=[pk], project=loader.own, finding__isnull=True)
        open_ones.update(finding_id=finding)


def ask_work(project: Project) -> None:
    """Ask for what is made from the files: pictures to show, levels of captures, drawings not finished."""
    files = Evidence.objects.filter(project=project).order_by("pk")
    for pk in files.filter(kind=EvidenceKind.PHOTO).values_list("pk", flat=True):
        jobs.enqueue(name=PREPARE_PICTURE, subject_id=pk)
    latest: dict[int, int] = {}
    analyses = Analysis.objects.filter(evidence__project=project).order_by("pk")
    for pk, evidence_id, state in analyses.values_list("pk", "evidence_id", "state"):
        if state == AnalysisState.DONE:
            latest[evidence_id] = pk
        elif state != AnalysisState.REFUSED:
            jobs.enqueue(name=ANALYSE, subject_id=pk)
    for pk in latest.values():
        jobs.enqueue(name=LAY_LEVELS, subject_id=pk)
    drawings = Drawing.objects.filter(project=project, state=DrawingState.WAITING).order_by("pk")
    for pk in drawings.values_list("pk", flat=True):
        jobs.enqueue(name=DRAW_GERBER, subject_id=pk)
