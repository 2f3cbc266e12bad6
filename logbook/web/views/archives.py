"""Archives: asking for one of a project, saving it, and reading one into the site."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from logbook.common.errors import DomainError
from logbook.recall.archive.importing import import_archive
from logbook.recall.archive.people import check_may_import, mapping_of
from logbook.recall.commands import ask_export
from logbook.recall.models import Export
from logbook.recall.queries.archives import (
    export_numbered,
    exports_of,
    file_name_of,
    file_of,
    is_at_work,
)
from logbook.web.access import ProjectPage, actor_of, person, project_page, signed_in
from logbook.web.forms.archives import ArchiveForm
from logbook.web.forms.fields import add_problems
from logbook.web.rendering import show

SHOWN = 20


@dataclass(frozen=True)
class ArchivePage:
    """The archives of a project; ``at_work`` is the one being written."""

    page: ProjectPage
    exports: Sequence[Export]
    at_work: Export | None
    may_import: bool


@dataclass(frozen=True)
class ArchiveImportPage:
    """Reading an archive into the site."""

    form: ArchiveForm


@signed_in
@require_safe
def archive_list(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the archives of a project to its owners."""
    page = project_page(request, slug, may="manage")
    exports = list(exports_of(page.project)[:SHOWN])
    at_work = next((one for one in exports if is_at_work(one)), None)
    context = ArchivePage(page, exports, at_work, person(request).is_superuser)
    answer = show(request, "archive/list.html", context)
    if at_work is not None:
        # The page looks again by itself, with and without JavaScript.
        answer["Refresh"] = "3"
    return answer


@signed_in
@require_POST
def archive_ask(request: HttpRequest, slug: str) -> HttpResponse:
    """Ask for an archive."""
    page = project_page(request, slug, may="manage")
    ask_export(actor=actor_of(request), project=page.project)
    messages.success(request, "The archive is being written. You may leave this page.")
    return redirect("archive-list", slug)


@signed_in
@require_safe
def archive_file(request: HttpRequest, slug: str, number: int) -> HttpResponseBase:
    """Hand over an archive for saving."""
    page = project_page(request, slug, may="manage")
    export = export_numbered(page.project, number)
    return FileResponse(
        file_of(export).open("rb"),
        as_attachment=True,
        filename=file_name_of(export),
        content_type="application/zip",
        headers={"X-Content-Type-Options": "nosniff", "Cache-Control": "private, no-store"},
    )


@signed_in
def archive_import(request: HttpRequest) -> HttpResponse:
    """Read an archive; the owner of the site only, who becomes an owner of the project."""
    user = person(request)
    check_may_import(user)
    form = ArchiveForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        try:
            done = import_archive(
                actor=actor_of(request),
                path=form.cleaned_data["file"].file,
                people=mapping_of(form.pairs()),
                owner=user,
            )
        except DomainError as error:
            add_problems(form, error)
        else:
            for remark in done.remarks:
                messages.warning(request, remark)
            messages.success(request, f"{sum(done.counts.values())} records came in.")
            return redirect("project-detail", done.project.slug)
    return show(request, "archive/import.html", ArchiveImportPage(form), status=400 if form.errors else 200)
