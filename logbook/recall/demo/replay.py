"""Replays the story, each entry at its own moment."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from django.db import transaction

from logbook.accounts.models import User
from logbook.bench.models import Instrument, Measurement, Target
from logbook.common import clock, jobs
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.lessons.models import Lesson
from logbook.projects.models import Project
from logbook.recall.demo import (
    DEMO_PROJECTS,
    bench,
    bills,
    calculations,
    connectors,
    decisions,
    design,
    files,
    findings,
    lessons,
    orders,
    pictures,
    workshop,
)
from logbook.recall.demo.cast import Cast
from logbook.recall.demo.story import Entry, story

PAUSE_S = 0.1
HANDLERS: dict[str, Callable[[Cast, Entry], None]] = {
    "add people": design.people,
    "open project": design.project,
    "set project state": design.project_state,
    "add subsystems": design.subsystems,
    "add revision": design.revision,
    "change revision": design.changed_revision,
    "add options": design.options,
    "set designed positions": design.designed_positions,
    "add targets": design.targets,
    "add changes": decisions.changes,
    "describe changes": decisions.described_changes,
    "add designator rules": bills.rules,
    "import bill": bills.bill,
    "carry over": decisions.carried_over,
    "decide risks": decisions.decided_risks,
    "decide order": orders.decided,
    "place order": orders.placed,
    "add board": workshop.board,
    "record board event": workshop.board_event,
    "change board": workshop.changed_board,
    "record rework": workshop.rework,
    "record option settings": workshop.option_settings,
    "add connectors": connectors.connectors,
    "change connector": connectors.changed_connector,
    "set pins": connectors.pins,
    "decide option": connectors.decided_option,
    "leave option open": connectors.option_left_open,
    "record ordered positions": connectors.ordered_positions,
    "re-check rework": connectors.recheck,
    "link rework": connectors.rework_links,
    "add instruments": bench.instruments,
    "record calibration": bench.calibration,
    "open bench session": bench.opened_session,
    "change bench session": bench.changed_session,
    "record readings": bench.readings,
    "withdraw reading": bench.withdrawal,
    "add evidence": files.evidence,
    "draw board": pictures.drawn,
    "place on picture": pictures.placed,
    "record finding": findings.finding,
    "change finding": findings.changed_finding,
    "move findings": findings.moves,
    "prove finding": findings.proof,
    "record lesson": lessons.lesson,
    "answer lessons": lessons.answers,
    "save calculation": calculations.saved,
    "change calculation": calculations.changed,
    "take band": calculations.taken,
}


@dataclass(frozen=True)
class Loaded:
    """What the demo brought in."""

    projects: int
    targets: int
    readings: int


def demo_is_loaded() -> bool:
    """Say whether both projects of the demo are there."""
    return Project.objects.filter(slug__in=DEMO_PROJECTS).count() == len(DEMO_PROJECTS)


def load_demo() -> Loaded:
    """Replay the whole demo and wait for its pictures and analyses, so that its first page shows them.

    Raises
    ------
    ConflictError
        When the site already uses one of the demo's names.
    """
    loaded = _replayed()
    # Whoever else works on the jobs, the thread of this process or a worker, may hold the last one.
    while jobs.run_waiting() is not None:
        time.sleep(PAUSE_S)
    return loaded


@transaction.atomic
def _replayed() -> Loaded:
    """Replay in one transaction, so that a site holds all of it or nothing."""
    entries = story()
    _refuse_taken_names(entries)
    cast = Cast()
    for entry in entries:
        if entry.do not in HANDLERS:
            raise InvalidInputError.of(
                "do", "the demo has no such entry", given=entry.do, allowed=", ".join(HANDLERS)
            )
        with clock.standing_at(entry.at):
            HANDLERS[entry.do](cast, entry)
    projects = list(cast.projects.values())
    return Loaded(
        projects=len(projects),
        targets=Target.objects.filter(project__in=projects).count(),
        readings=Measurement.objects.filter(project__in=projects).count(),
    )


def _refuse_taken_names(entries: list[Entry]) -> None:
    """Look for names the demo would clash with, before anything is written."""
    names = [name for entry in entries if entry.do == "add people" for name in entry.says["people"]]
    tags = [
        row["name"] for entry in entries if entry.do == "add instruments" for row in entry.says["instruments"]
    ]
    lesson_keys = [entry.says["key"] for entry in entries if entry.do == "record lesson"]
    taken = [
        *Project.objects.filter(slug__in=DEMO_PROJECTS).values_list("slug", flat=True),
        *User.objects.filter(username__in=names).values_list("username", flat=True),
        *Instrument.objects.filter(name__in=tags).values_list("name", flat=True),
        *Lesson.objects.filter(key__in=lesson_keys).values_list("key", flat=True),
    ]
    if taken:
        message = f"the site already uses names of the demo: {', '.join(taken)}; load it into an empty site"
        raise ConflictError(message)
