"""``/projects/{slug}/archives/``: a project as one file; ``/archives/``: reading such a file in."""

from __future__ import annotations

from typing import Any, ClassVar

from django.http import FileResponse
from drf_spectacular.types import OpenApiTypes
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.permissions import EDIT
from api.schema import PAGED, described, paged
from api.shapes import Shape, Text, checked
from api.uploads import MULTIPART, PARSERS, File, fields_of, too_large
from api.views import LogbookView
from logbook.common.errors import InvalidInputError
from logbook.recall.archive.importing import import_archive
from logbook.recall.archive.people import check_may_import, mapping_of
from logbook.recall.choices import ExportState
from logbook.recall.commands import ask_export
from logbook.recall.queries.archives import export_numbered, exports_of, file_name_of, file_of


class ArchiveShown(serializers.Serializer[Any]):
    """One archive asked for: how far it is, and what it holds. Only the newest file is kept."""

    id = serializers.IntegerField()
    state = serializers.ChoiceField(ExportState.choices)
    progress = serializers.IntegerField(help_text="Percent.")
    records = serializers.IntegerField()
    files = serializers.IntegerField()
    size = serializers.IntegerField(help_text="Bytes.")
    content_sha256 = serializers.CharField(help_text="Equal where two archives have the same content.")
    problem = serializers.CharField()
    is_kept = serializers.BooleanField()
    asked_at = serializers.DateTimeField()
    asked_by = serializers.CharField(source="asked_by.username", default=None, allow_null=True)
    finished_at = serializers.DateTimeField(allow_null=True)


class ArchiveGiven(Shape):
    """An archive; ``people`` says who its people are here, such as ``iv=iv``, separated by spaces."""

    file = File()
    people = Text()


class ArchiveTaken(serializers.Serializer[Any]):
    """What came in; ``remarks`` say what this site has or judges otherwise."""

    project = serializers.CharField()
    records = serializers.IntegerField()
    people = serializers.ListField(child=serializers.CharField())
    remarks = serializers.ListField(child=serializers.CharField())


class ArchiveList(LogbookView):
    """The archives of a project; for its owners."""

    scopes: ClassVar = {"GET": EDIT}

    @described("archives_list", paged(ArchiveShown), parameters=PAGED)
    def get(self, request: Request, slug: str) -> Response:
        """Return the archives in the order they were asked for."""
        refuse_unknown_parameters(request, PAGED)
        rows = exports_of(self.project(slug, may="manage"))
        return Response(page_of(rows, request, key="id").shown(lambda row: ArchiveShown(row).data))

    @described("archives_ask", ArchiveShown, status=202)
    def post(self, request: Request, slug: str) -> Response:
        """Ask for an archive; it is written in the background, ask for it by its number."""
        project = self.project(slug, may="manage")
        export = ask_export(actor=self.actor, project=project)
        return Response(ArchiveShown(export_numbered(project, export.pk)).data, status=202)


class ArchiveDetail(LogbookView):
    """One archive."""

    scopes: ClassVar = {"GET": EDIT}

    @described("archives_read", ArchiveShown)
    def get(self, request: Request, slug: str, number: int) -> Response:
        """Return how far it is."""
        return Response(ArchiveShown(export_numbered(self.project(slug, may="manage"), number)).data)


class ArchiveContent(LogbookView):
    """The file of an archive."""

    scopes: ClassVar = {"GET": EDIT}

    @described("archives_content", OpenApiTypes.BINARY)
    def get(self, request: Request, slug: str, number: int) -> FileResponse:
        """Return the zip file; only the newest of a project is kept."""
        export = export_numbered(self.project(slug, may="manage"), number)
        return FileResponse(
            file_of(export).open("rb"),
            as_attachment=True,
            filename=file_name_of(export),
            content_type="application/zip",
        )


class ArchiveImport(LogbookView):
    """Reading an archive into the site."""

    parser_classes = PARSERS

    @described("archives_import", ArchiveTaken, sends={MULTIPART: ArchiveGiven}, status=201)
    def post(self, request: Request) -> Response:
        """Read an archive, whole or not at all; for owners of the site, who become owners of the project."""
        check_may_import(self.person)
        given = checked(ArchiveGiven, fields_of(request))
        try:
            done = import_archive(
                actor=self.actor,
                path=given["file"].file,
                people=mapping_of(given.get("people", "").split()),
                owner=self.person,
            )
        except InvalidInputError as error:
            raise too_large(error) from error
        says = {
            "project": done.project.slug,
            "records": sum(done.counts.values()),
            "people": done.people,
            "remarks": done.remarks,
        }
        return Response(ArchiveTaken(says).data, status=201)
