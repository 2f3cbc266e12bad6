"""The change list of a revision: what, why, which subsystems, and what it makes stale."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from logbook.boards.commands import record_change
from logbook.boards.queries import changes_and_reworks_of
from logbook.core.state import State
from logbook.planning.commands import carry_over, withdraw_carry_over
from logbook.planning.models import CarriedOver
from logbook.planning.queries import CoverageRow, coverage_of
from logbook.planning.queries.carried import carry_over_of, carry_overs_of
from logbook.projects.commands import describe_change, withdraw_change
from logbook.projects.models import Change, Revision
from logbook.projects.queries import change_of, revision_of, revisions_of
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.changes import CarryOverForm, ChangeForm, WithdrawalForm
from logbook.web.forms.fields import sent
from logbook.web.rendering import csv_answer, show
from logbook.web.reviewing import opened_revision
from logbook.web.views.structure.form_page import FormPage, Saved, answer_form

FORM = require_http_methods(["GET", "HEAD", "POST"])
DESCRIBED = ("kind", "what", "why", "designators", "cause_kind", "cause", "state")
CHANGES_HEADER = (
    "change", "kind", "what", "why", "state", "subsystems", "designators", "cause_kind", "cause",
    "folds_in", "makes_stale", "minutes", "recorded_at",
)  # fmt: skip


@dataclass(frozen=True)
class ShownChange:
    """One change, and the targets whose older evidence it makes stale."""

    change: Change
    touches: tuple[str, ...]
    folds_in: tuple[str, ...]
    stale: tuple[CoverageRow, ...]
    minutes: int


@dataclass(frozen=True)
class StaleBefore:
    """Targets that were stale before this revision changed anything: through an ancestor's changes.

    Without ``label`` no change made them stale: their only readings do not count.
    """

    label: str
    changes: tuple[str, ...]
    stale: tuple[CoverageRow, ...]
    minutes: int


@dataclass(frozen=True)
class ChangesPage:
    """What the change list shows; ``minutes`` reads everything stale again, each target once.

    ``twice`` are the keys of targets that stand in the rows of more than one change.
    """

    page: ProjectPage
    revision: Revision
    revisions: list[Revision]
    changes: tuple[ShownChange, ...]
    before: tuple[StaleBefore, ...]
    twice: tuple[str, ...]
    stale: int
    minutes: int
    carried_over: int
    carry_overs: tuple[tuple[CarriedOver, CoverageRow | None], ...]


@require_safe
@signed_in
def change_list(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Show the changes of a revision against its parent, and what they make stale."""
    page, revision = opened_revision(request, slug, label)
    rows = coverage_of(revision).rows
    stale = [row for row in rows if row.state == State.STALE and row.path]
    context = ChangesPage(
        page=page,
        revision=revision,
        revisions=list(revisions_of(page.project)),
        changes=(changes := _shown(revision, stale)),
        before=_before(changes, stale),
        twice=_twice(changes),
        stale=len(stale),
        minutes=sum(row.target.minutes for row in stale),
        carried_over=sum(row.state == State.CARRIED_OVER for row in rows),
        carry_overs=_with_state(carry_overs_of(revision), rows),
    )
    return show(request, "revisions/changes.html", context)


def _with_state(
    carried: Iterable[CarriedOver], rows: Iterable[CoverageRow]
) -> tuple[tuple[CarriedOver, CoverageRow | None], ...]:
    """Return each carry-over with its target's row where another state came of it."""
    others = {row.target.key: row for row in rows if row.state != State.CARRIED_OVER}
    return tuple((one, others.get(one.target.key)) for one in carried)


@require_safe
@signed_in
def changes_csv(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Return the changes, one a line."""
    page, revision = opened_revision(request, slug, label)
    stale = [row for row in coverage_of(revision).rows if row.state == State.STALE]
    lines = (
        (
            one.change.key,
            one.change.kind,
            one.change.what,
            one.change.why,
            one.change.state,
            " ".join(one.touches),
            one.change.designators,
            one.change.cause_kind,
            one.change.cause,
            ", ".join(one.folds_in),
            " ".join(row.target.key for row in one.stale),
            one.minutes,
            one.change.recorded_at.isoformat(),
        )
        for one in _shown(revision, stale)
    )
    return csv_answer(f"{page.project.slug}-{revision.label}-changes.csv", CHANGES_HEADER, lines)


def _shown(revision: Revision, stale: list[CoverageRow]) -> tuple[ShownChange, ...]:
    shown = []
    for change in changes_and_reworks_of(revision):
        behind = tuple(row for row in stale if row.path and change.key in row.path[0].changes)
        shown.append(
            ShownChange(
                change=change,
                touches=tuple(subsystem.key for subsystem in change.subsystems.all()),
                folds_in=tuple(f"{one.rework} of {one.rework.board}" for one in change.folded_in.all()),
                stale=behind,
                minutes=sum(row.target.minutes for row in behind),
            )
        )
    return tuple(shown)


def _before(changes: tuple[ShownChange, ...], stale: list[CoverageRow]) -> tuple[StaleBefore, ...]:
    """Return what is stale through none of the changes shown, by the revision that changed it last."""
    told = {row.target.key for one in changes for row in one.stale}
    groups: dict[str, list[CoverageRow]] = {}
    keys: dict[str, set[str]] = {}
    for row in stale:
        if row.target.key in told:
            continue
        step = next((step for step in row.path if step.changes), None)
        label = step.revision if step else ""
        groups.setdefault(label, []).append(row)
        keys.setdefault(label, set()).update(step.changes if step else ())
    return tuple(
        StaleBefore(label, tuple(sorted(keys[label])), tuple(rows), sum(row.target.minutes for row in rows))
        for label, rows in groups.items()
    )


def _twice(changes: tuple[ShownChange, ...]) -> tuple[str, ...]:
    counts = Counter(row.target.key for one in changes for row in one.stale)
    return tuple(key for key, count in counts.items() if count > 1)


def _opened(request: HttpRequest, slug: str, label: str) -> tuple[ProjectPage, Revision, str]:
    """Return frame and revision for an editor, and the address of the list."""
    page = project_page(request, slug, may="edit", door="next-spin")
    return page, revision_of(page.project, label), reverse("revision-changes", args=[slug, label])


@signed_in
@FORM
def change_create(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Record a change."""
    page, revision, back = _opened(request, slug, label)
    form = ChangeForm(sent(request), project=page.project, is_new=True)

    def save(given: dict[str, Any]) -> Saved:
        own = {name: given.pop(name) for name in ("key", "kind", "what", "subsystems", "folds_in")}
        own |= {name: list(own[name]) for name in ("subsystems", "folds_in")}
        change = record_change(actor=actor_of(request), revision=revision, values=given, **own)
        return Saved(f"Change {change} is recorded.", back)

    lead = f"What {label} does differently from {revision.parent or 'nothing: it has no parent'}."
    shown = FormPage(page, form, f"New change of revision {label}", lead, "Record it", back)
    return answer_form(request, shown, save)


@signed_in
@FORM
def change_edit(request: HttpRequest, slug: str, label: str, key: str) -> HttpResponse:
    """Change what is said of a change, and how far it is."""
    page, revision, back = _opened(request, slug, label)
    change = change_of(revision, key)
    initial = {name: getattr(change, name) for name in DESCRIBED}
    form = ChangeForm(sent(request), initial=initial, project=page.project, is_new=False)

    def save(given: dict[str, Any]) -> Saved:
        describe_change(actor=actor_of(request), change=change, values=given)
        return Saved(f"Change {change} is saved.", back)

    lead = "What it touches stays: withdraw it and record it anew where that was wrong."
    return answer_form(request, FormPage(page, form, f"Change {key} of {label}", lead, "Save", back), save)


@signed_in
@FORM
def change_withdraw(request: HttpRequest, slug: str, label: str, key: str) -> HttpResponse:
    """Withdraw a change."""
    page, revision, back = _opened(request, slug, label)
    change = change_of(revision, key)
    form = WithdrawalForm(sent(request))

    def save(given: dict[str, Any]) -> Saved:
        withdraw_change(actor=actor_of(request), change=change, because=given["because"])
        return Saved(f"Change {change} is withdrawn.", back)

    lead = "From now on it touches nothing. Past days keep it."
    shown = FormPage(page, form, f"Withdraw change {key} of {label}", lead, "Withdraw it", back)
    return answer_form(request, shown, save)


@signed_in
@FORM
def carry_over_create(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Carry evidence over by hand."""
    page, revision, back = _opened(request, slug, label)
    form = CarryOverForm(sent(request), project=page.project)

    def save(given: dict[str, Any]) -> Saved:
        carried = carry_over(actor=actor_of(request), revision=revision, **given)
        return Saved(f"{carried.target} is carried over to {label}, in your name.", back)

    lead = "Your name stands beside it. A failing reading cannot be argued away; measure again soon."
    shown = FormPage(page, form, f"Carry evidence over to {label}", lead, "Carry it over", back)
    return answer_form(request, shown, save)


@signed_in
@FORM
def carry_over_withdraw(request: HttpRequest, slug: str, label: str, key: str) -> HttpResponse:
    """Withdraw a carry-over."""
    page, revision, back = _opened(request, slug, label)
    carried = carry_over_of(revision, key)
    form = WithdrawalForm(sent(request))

    def save(given: dict[str, Any]) -> Saved:
        withdraw_carry_over(actor=actor_of(request), carried=carried, because=given["because"])
        return Saved(f"{key} is no longer carried over by hand.", back)

    shown = FormPage(page, form, f"Withdraw the carry-over of {key}", "", "Withdraw it", back)
    return answer_form(request, shown, save)
