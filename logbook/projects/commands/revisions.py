"""Adding and changing revisions."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from logbook.common.changes import Actor, store_changes, store_new
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.models import Project, Revision


@transaction.atomic
def add_revision(
    *,
    actor: Actor,
    project: Project,
    label: str,
    parent: Revision | None = None,
    values: dict[str, Any] | None = None,
) -> Revision:
    """Add a revision; ``values`` are its descriptive fields, power-up facts among them."""
    check_belongs("parent", parent, project)
    revision = Revision(project=project, label=label, parent=parent, **(values or {}))
    store_new(revision, actor=actor)
    return revision


@transaction.atomic
def change_revision(*, actor: Actor, revision: Revision, values: dict[str, Any]) -> Revision:
    """Change descriptive fields. Label and parent stay: evidence hangs on them."""
    store_changes(revision, values, actor=actor)
    return revision
