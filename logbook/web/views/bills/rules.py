"""Which designators belong to which subsystem."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from logbook.common.errors import InvalidInputError
from logbook.projects.commands.bills import add_designator_rule, remove_designator_rule
from logbook.projects.models import DesignatorRule
from logbook.projects.queries.bills import designator_rule_of, designator_rules_of
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.bills import DesignatorRuleForm
from logbook.web.forms.fields import add_problems, sent
from logbook.web.rendering import show


@dataclass(frozen=True)
class DesignatorRulesPage:
    """What the page of the rules shows."""

    page: ProjectPage
    rules: list[DesignatorRule]
    form: DesignatorRuleForm
    has_subsystems: bool


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def designator_rules(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the rules, and add one."""
    is_sent = request.method == "POST"
    page = project_page(request, slug, may="edit" if is_sent else "read")
    subsystems = page.project.subsystems.order_by("position", "key")
    initial = {"rule": request.GET.get("rule", "")[:500]}
    form = DesignatorRuleForm(sent(request), initial=initial, subsystems=subsystems)
    if is_sent and form.is_valid():
        try:
            rule = add_designator_rule(actor=actor_of(request), project=page.project, **form.cleaned_data)
        except InvalidInputError as error:
            add_problems(form, error)
        else:
            messages.success(request, f"{rule} belong to {rule.subsystem} from now on.")
            return redirect("designator-rules", slug)
    context = DesignatorRulesPage(
        page=page,
        rules=list(designator_rules_of(page.project)),
        form=form,
        has_subsystems=subsystems.exists(),
    )
    return show(request, "bills/rules.html", context, status=400 if form.errors else 200)


@signed_in
@require_POST
def designator_rule_remove(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Remove a rule."""
    page = project_page(request, slug, may="edit")
    rule = designator_rule_of(page.project, number)
    remove_designator_rule(actor=actor_of(request), rule=rule)
    messages.success(request, f"The rule {rule} is removed.")
    return redirect("designator-rules", slug)
