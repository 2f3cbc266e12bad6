"""Which targets are from which check template."""

from __future__ import annotations

import re

from logbook.bench.models import Target, TargetIssue
from logbook.projects.models import Project

# The first issue of a target is never edited, so its note tells for good where the target came from.
ORIGIN = re.compile(r"from template ([A-Za-z0-9]+)\Z")


def origin_note(text: str, template: str) -> str:
    """Return the note of a first issue that says which template the target is from."""
    return f"{text}, from template {template}"


def targets_by_template(project: Project) -> dict[str, list[Target]]:
    """Return the targets from each check template, in their order. One query."""
    found: dict[str, list[Target]] = {}
    issues = TargetIssue.objects.filter(
        target__project=project, number=1, basis_note__contains="from template "
    )
    for issue in issues.select_related("target").order_by("target__position", "target_id"):
        origin = ORIGIN.search(issue.basis_note)
        if origin:
            found.setdefault(origin[1], []).append(issue.target)
    return found
