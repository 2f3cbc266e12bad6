"""Changes proposed from two bills of materials: pick, word, record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from logbook.common.errors import DomainError, FieldProblem
from logbook.core.parts_list import group_designators
from logbook.projects.commands.bills import record_proposed_changes
from logbook.projects.models import Change, Revision
from logbook.projects.queries import revision_named, revision_of, subsystems_of
from logbook.projects.queries.bills import compared_bills, proposed_changes_of
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.bills import ProposalForm, shortened
from logbook.web.forms.fields import problem_text, sent
from logbook.web.rendering import show

MARKED = "Nothing was recorded yet. The marked fields say what is wrong."


@dataclass(frozen=True)
class ShownProposal:
    """One proposed change, and the standing changes that name some of its parts already."""

    form: ProposalForm
    subsystem: str
    count: int
    named_by: Sequence[tuple[str, str]]
    is_needed: bool


@dataclass(frozen=True)
class BillProposePage:
    """What the page of proposed changes shows."""

    page: ProjectPage
    revision: Revision
    other: Revision
    proposals: Sequence[ShownProposal]
    problems: Sequence[str]


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def bill_propose(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Propose one change for each subsystem whose parts differ, and record those picked."""
    page = project_page(request, slug, may="edit", door="next-spin")
    revision = revision_of(page.project, label)
    other = revision_named(page.project, request.GET.get("with", ""), field="with")
    proposed = proposed_changes_of(revision, compared_bills(revision, other))
    subsystems = list(subsystems_of(page.project))
    forms = [ProposalForm(sent(request), proposed=one, subsystems=subsystems) for one in proposed]
    recorded, problems = _record(request, revision, forms) if request.method == "POST" else ([], [])
    if recorded:
        keys = ", ".join(change.key for change in recorded)
        messages.success(request, f"Recorded as changes of {label}: {keys}.{_still_unnamed(revision, other)}")
        return redirect("revision-changes", slug, label)
    context = BillProposePage(
        page=page,
        revision=revision,
        other=other,
        proposals=[_shown(form) for form in forms],
        problems=problems,
    )
    return show(request, "bills/propose.html", context, status=400 if problems else 200)


def _still_unnamed(revision: Revision, other: Revision) -> str:
    """Say which differences no change names."""
    proposed = proposed_changes_of(revision, compared_bills(revision, other))
    left = [one.proposal for one in proposed if one.is_needed]
    if not left:
        return f" Every part that differs from {other.label} is named by a change."
    told = "; ".join(f"{one.subsystem or 'no subsystem'}: {one.what}" for one in left)
    return f" Still differs from {other.label} without a change: {shortened(told, 1_000)}."


def _shown(form: ProposalForm) -> ShownProposal:
    proposed = form.proposed
    named_by = [(key, group_designators(names)) for key, names in proposed.named_by.items()]
    proposal = proposed.proposal
    count = len({one.designator for one in proposal.differences})
    return ShownProposal(form, proposal.subsystem, count, named_by, proposed.is_needed)


def _record(
    request: HttpRequest, revision: Revision, forms: Sequence[ProposalForm]
) -> tuple[list[Change], list[str]]:
    """Record the picked ones; problems that belong to no field come back."""
    picked = [form for form in forms if form.is_picked]
    # Every form is checked, so that all faults are shown at once.
    if sum(form.is_valid() for form in picked) < len(picked):
        return [], [MARKED]
    try:
        picks = [form.pick() for form in picked]
        return record_proposed_changes(actor=actor_of(request), revision=revision, picked=picks), []
    except DomainError as error:
        left = [problem_text(one) for one in error.problems if not _placed(one, picked)]
        return [], left or [MARKED]


def _placed(problem: FieldProblem, picked: Sequence[ProposalForm]) -> bool:
    """Put a problem named as ``changes.0.key`` at its field, and say whether there is one."""
    _, _, rest = problem.field.partition(".")
    place, _, name = rest.partition(".")
    if not place.isdigit() or name not in ProposalForm.base_fields:
        return False
    picked[int(place)].add_error(name, problem_text(problem))
    return True
