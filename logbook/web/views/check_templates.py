"""The library of check templates, and making targets from it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.bench.check_templates import CheckTemplate, library
from logbook.bench.commands import AddedTarget, add_targets_from_templates
from logbook.bench.models import Target
from logbook.bench.queries.from_templates import targets_by_template
from logbook.common.errors import DomainError, FieldProblem
from logbook.projects.models import Project, Subsystem
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.cautions import Caution, cautions_for
from logbook.web.forms.check_templates import IntoSubsystemForm, PickForm
from logbook.web.forms.fields import problem_text, sent
from logbook.web.rendering import csv_answer, show

ALL = "all"
HEADER = (
    "template", "name", "kind", "result", "limits", "nominal_needed", "unit", "conditions", "basis",
    "basis_note", "method", "minutes", "waiting_minutes", "needs", "cautions", "needs_power",
    "stresses_board", "depends_on_firmware", "severity",
)  # fmt: skip


@dataclass(frozen=True)
class Need:
    """A prerequisite by its template, with the targets there are from it."""

    template: str
    name: str
    targets: Sequence[Target]


@dataclass(frozen=True)
class CheckRow:
    """One line of the table."""

    check: CheckTemplate
    form: PickForm
    needs: Sequence[Need]
    targets: Sequence[Target]


@dataclass(frozen=True)
class KindChoice:
    """One kind of subsystem, how many checks there are for it, and which subsystems are of it."""

    kind: str
    checks: int
    subsystems: Sequence[Subsystem]


@dataclass(frozen=True)
class CheckTemplatesPage:
    """What the page of the check templates shows; ``added`` once targets were made."""

    page: ProjectPage
    kinds: Sequence[KindChoice]
    kind: str
    text: str
    rows: Sequence[CheckRow]
    cautions: Sequence[Caution]
    into: IntoSubsystemForm
    has_subsystems: bool
    added: Sequence[AddedTarget]
    problems: Sequence[str]


@signed_in
def targets_from_templates(request: HttpRequest, slug: str) -> HttpResponse:
    """Show check templates, and add targets from those picked."""
    is_sent = request.method == "POST"
    page = project_page(request, slug, may="edit" if is_sent else "read")
    kind, text = _asked(request)
    checks = _checks(kind, text)
    subsystems = list(page.project.subsystems.all())
    first = next((one for one in subsystems if one.kind == kind), None)
    into = IntoSubsystemForm(sent(request), project=page.project, initial={"subsystem": first})
    usual = first.key if first else "…"
    forms = [PickForm(check, sent(request), subsystem=usual) for check in checks]
    added, problems = _add(request, page.project, into, forms) if is_sent else ([], [])
    if added:
        forms = [PickForm(check, subsystem=usual) for check in checks]
    context = CheckTemplatesPage(
        page=page,
        kinds=[_choice(one, number, subsystems) for one, number in library().counts().items()],
        kind=kind,
        text=text,
        rows=_rows(forms, targets_by_template(page.project)),
        cautions=cautions_for("".join(check.cautions for check in checks)),
        into=into,
        has_subsystems=bool(subsystems),
        added=added,
        problems=problems,
    )
    status = 400 if is_sent and not added else 200
    return show(request, "targets/check_templates.html", context, status=status)


@signed_in
@require_safe
def check_templates_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Return the library as CSV, filtered as the page."""
    project_page(request, slug)
    kind, text = _asked(request)
    checks = _checks(kind or ALL, text)
    return csv_answer("check-templates.csv", HEADER, [_csv(check) for check in checks])


def _asked(request: HttpRequest) -> tuple[str, str]:
    kind, text = (request.GET.get(name, "").replace("\0", "").strip() for name in ("kind", "text"))
    return kind, text


def _checks(kind: str, text: str) -> list[CheckTemplate]:
    """Return the checks asked for, by kind; none before anything is asked."""
    if not kind and not text:
        return []
    found = library().matching(kind="" if kind == ALL else kind, text=text)
    kinds = list(library().counts())
    return sorted(found, key=lambda check: kinds.index(check.kind))


def _choice(kind: str, number: int, subsystems: Sequence[Subsystem]) -> KindChoice:
    return KindChoice(kind, number, [one for one in subsystems if one.kind == kind])


def _rows(forms: Sequence[PickForm], existing: Mapping[str, Sequence[Target]]) -> list[CheckRow]:
    checks = library().checks
    return [
        CheckRow(
            check=form.check,
            form=form,
            needs=[Need(key, checks[key].name, existing.get(key, ())) for key in form.check.needs],
            targets=existing.get(form.check.key, ()),
        )
        for form in forms
    ]


def _add(
    request: HttpRequest, project: Project, into: IntoSubsystemForm, forms: Sequence[PickForm]
) -> tuple[list[AddedTarget], list[str]]:
    """Add targets from the ticked lines; problems that belong to no line come back."""
    picked = [form for form in forms if form.is_picked]
    if not all([into.is_valid(), *(form.is_valid() for form in picked)]):
        return [], ["Nothing was added yet. The marked fields say what is wrong."]
    picks = [form.pick(into.cleaned_data["subsystem"]) for form in picked]
    try:
        return add_targets_from_templates(actor=actor_of(request), project=project, picks=picks), []
    except DomainError as error:
        left = [one for one in error.problems if not _placed(one, picked)]
        told = [problem_text(one) for one in left]
        return [], told or ["Nothing was added yet. The marked fields say what is wrong."]


def _placed(problem: FieldProblem, picked: Sequence[PickForm]) -> bool:
    """Put a problem named as ``picks.0.limits`` at its field, and say whether there is one."""
    _, _, rest = problem.field.partition(".")
    place, _, name = rest.partition(".")
    if not place.isdigit() or name not in PickForm.base_fields:
        return False
    picked[int(place)].add_error(name, problem_text(problem))
    return True


def _csv(check: CheckTemplate) -> tuple[object, ...]:
    return (
        check.key,
        check.name,
        check.kind,
        check.result,
        check.limits,
        check.needs_nominal,
        check.unit,
        check.conditions,
        check.basis,
        check.basis_text,
        check.method,
        check.minutes,
        check.waiting_minutes,
        " ".join(check.needs),
        check.cautions,
        check.needs_power,
        check.stresses_board,
        check.depends_on_firmware,
        check.severity,
    )
