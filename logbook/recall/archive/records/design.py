"""The project and what its design is made of."""

from __future__ import annotations

from django.db.models import Q, QuerySet

from logbook.projects.models import (
    BillLine,
    BillOfMaterials,
    Change,
    Characteristic,
    Connector,
    ConnectorPin,
    DesignatorRule,
    DesignedPosition,
    Membership,
    Option,
    OptionDecision,
    OptionPosition,
    OrderedPosition,
    Project,
    ProjectStateEvent,
    Revision,
    ShelvingNote,
    Subsystem,
    SubsystemDependency,
)
from logbook.recall.archive.records.record import Record
from logbook.recall.archive.records.told_elsewhere import lessons_in


def related_projects(project: Project) -> QuerySet[Project]:
    """Return the other projects this one names: by descent, as a part, or as home of a lesson."""
    named = Q(descendants=project) | Q(parts=project) | Q(lessons__in=lessons_in(project))
    return Project.objects.filter(named).exclude(pk=project.pk).distinct()


def _itself(project: Project) -> QuerySet[Project]:
    return Project.objects.filter(pk=project.pk)


RECORDS = (
    Record(
        "related-projects",
        Project,
        rows=related_projects,
        key=("slug",),
        only=("slug", "code", "name", "opened_at"),
        order=("slug",),
        shared=True,
    ),
    Record("projects", Project, rows=_itself, key=("slug",)),
    Record("characteristics", Characteristic, "project", order=("name",)),
    Record("memberships", Membership, "project", order=("user__username",)),
    Record("project-states", ProjectStateEvent, "project"),
    Record("shelving-notes", ShelvingNote, "event__project"),
    Record("revisions", Revision, "project", key=("label",)),
    Record("subsystems", Subsystem, "project", key=("key",)),
    Record("subsystem-dependencies", SubsystemDependency, "subsystem__project"),
    Record("changes", Change, "revision__project"),
    Record("options", Option, "project", key=("key",)),
    Record("option-positions", OptionPosition, "option__project", key=("option", "name")),
    Record("designed-positions", DesignedPosition, "revision__project"),
    Record("option-decisions", OptionDecision, "revision__project"),
    Record("ordered-positions", OrderedPosition, "revision__project"),
    Record("connectors", Connector, "project", key=("key",)),
    Record("connector-pins", ConnectorPin, "connector__project"),
    Record("designator-rules", DesignatorRule, "project"),
    Record("bills-of-materials", BillOfMaterials, "revision__project"),
    Record("bill-lines", BillLine, "bill__revision__project"),
)
