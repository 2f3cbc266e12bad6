"""Finding and listing what is on the bench."""

from __future__ import annotations

from collections.abc import Sequence

from django.db.models import Prefetch, QuerySet

from logbook.bench.models import BenchSession, Instrument, Measurement, Target, TargetIssue
from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.projects.models import Project

SHOWN_WITH = ("project", "board", "board__revision", "target", "issue", "instrument", "recorded_by")


def targets_of(project: Project) -> QuerySet[Target]:
    """Return the targets with subsystem, issues and direct prerequisites. Three queries."""
    return (
        Target.objects.filter(project=project)
        .select_related("subsystem", "needs_option")
        .prefetch_related(
            Prefetch(
                "issues", TargetIssue.objects.select_related("meant_for", "calculation").order_by("number")
            ),
            "prerequisites__needs",
        )
        .order_by("position", "key")
    )


def target_of(project: Project, key: str) -> Target:
    """Return the target with ``key``."""
    found = targets_of(project).filter(key=key).first()
    if found is None:
        message = f"{project} has no target {key!r}"
        raise NotFoundError(message)
    return found


def target_named(project: Project, key: str, *, field: str = "target") -> Target:
    """Return the target a write names."""
    found = Target.objects.filter(project=project, key=key).first()
    if found is None:
        raise InvalidInputError.of(field, f"no target {key!r} here", given=key, allowed="keys of targets")
    return found


def measurements_of(project: Project) -> QuerySet[Measurement]:
    """Return the readings of a project, newest record first; page by ``id``."""
    return Measurement.objects.filter(project=project).select_related(*SHOWN_WITH).order_by("-id")


def measurements_of_target(target: Target) -> QuerySet[Measurement]:
    """Return the readings of a target, newest first on the boards' time line."""
    return (
        Measurement.objects.filter(target=target)
        .select_related(*SHOWN_WITH, "withdrawn_by")
        .order_by("-taken_at", "-recorded_at", "-id")
    )


def measurement_of(project: Project, number: int) -> Measurement:
    """Return one reading of a project."""
    found = (
        Measurement.objects.filter(project=project, pk=number)
        .select_related(*SHOWN_WITH, "target__subsystem", "bench_session", "instrument_range", "withdrawn_by")
        .first()
    )
    if found is None:
        message = f"{project} has no measurement {number}"
        raise NotFoundError(message)
    return found


def instruments() -> QuerySet[Instrument]:
    """Return the instruments with ranges and calibrations. Three queries."""
    return Instrument.objects.prefetch_related("ranges", "calibrations").order_by("name")


def instrument_of(name: str) -> Instrument:
    """Return the instrument with ``name``."""
    found = instruments().filter(name=name).first()
    if found is None:
        message = f"no instrument {name!r}"
        raise NotFoundError(message)
    return found


def instruments_named(names: Sequence[str]) -> list[Instrument]:
    """Return the instruments a write names; the error names the first one that is not there."""
    found = {row.name: row for row in Instrument.objects.filter(name__in=names)}
    for name in names:
        if name not in found:
            known = ", ".join(Instrument.objects.values_list("name", flat=True)[:20]) or "none yet"
            raise InvalidInputError.of("instruments", f"no instrument {name!r}", given=name, allowed=known)
    return [found[name] for name in names]


def bench_sessions_of(project: Project) -> QuerySet[BenchSession]:
    """Return the sittings of a project, newest first. Four queries."""
    return (
        BenchSession.objects.filter(project=project)
        .prefetch_related("people", "boards", "instruments")
        .order_by("-started_at", "-id")
    )


def bench_session_of(project: Project, number: int) -> BenchSession:
    """Return one sitting of a project."""
    found = bench_sessions_of(project).filter(pk=number).first()
    if found is None:
        message = f"{project} has no bench session {number}"
        raise NotFoundError(message)
    return found


def targets_named(project: Project, keys: Sequence[str], *, field: str = "targets") -> list[Target]:
    """Return the targets a write names; the error names the first one that is not there. One query."""
    found = {row.key: row for row in Target.objects.filter(project=project, key__in=keys)}
    for key in keys:
        if key not in found:
            raise InvalidInputError.of(field, f"no target {key!r} here", given=key, allowed="keys of targets")
    return [found[key] for key in keys]


def measurement_named(project: Project, number: int, *, field: str = "measurement") -> Measurement:
    """Return the reading a write names by its number."""
    found = Measurement.objects.filter(project=project, pk=number).first()
    if found is None:
        raise InvalidInputError.of(
            field, f"no reading {number} here", given=number, allowed="numbers of readings"
        )
    return found
