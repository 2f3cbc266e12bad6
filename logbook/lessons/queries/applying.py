"""To which revisions a lesson applies, and why, in a line."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from logbook.lessons.models import Lesson
from logbook.projects.models import Characteristic, Project, Subsystem


@dataclass(frozen=True)
class Design:
    """What a project has in it: its characteristics, and its subsystems by their kind."""

    characteristics: Collection[str]
    subsystems: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True)
class Match:
    """Why a lesson applies, and the subsystems it is about; none where it is about the whole board."""

    why: str
    subsystems: tuple[str, ...]


def design_of(project: Project) -> Design:
    """Return what a project has in it, as it stands today. Two queries."""
    names = Characteristic.objects.filter(project=project).values_list("name", flat=True)
    kinds: dict[str, tuple[str, ...]] = {}
    rows = Subsystem.objects.filter(project=project).order_by("position", "key")
    for kind, key in rows.values_list("kind", "key"):
        kinds[kind] = (*kinds.get(kind, ()), key)
    return Design(tuple(names), kinds)


def match_of(lesson: Lesson, design: Design) -> Match | None:
    """Return why a lesson applies to a design; None where nothing of it matches."""
    tags = [name for name in lesson.characteristics if name in design.characteristics]
    kinds = [kind for kind in lesson.subsystem_kinds if kind in design.subsystems]
    subsystems = tuple(key for kind in kinds for key in design.subsystems[kind])
    reasons = []
    if tags:
        reasons.append(f"the project has {' and '.join(tags)}")
    if kinds:
        reasons.append(f"{', '.join(subsystems)} {'is' if len(subsystems) == 1 else 'are'} {_kinds(kinds)}")
    if reasons:
        return Match("; ".join(reasons), subsystems)
    return Match("it applies always", ()) if lesson.always else None


def _kinds(kinds: list[str]) -> str:
    return f"of the kind {' or '.join(kinds)}"
