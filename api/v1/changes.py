"""``/projects/{slug}/revisions/{label}/changes/`` and ``…/carry-overs/``: what makes evidence hold or not."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.schema import PAGED, described, paged
from api.shapes import KeysOf, Name, Names, Shape, Text, Word, checked
from api.views import LogbookView
from logbook.bench.queries.lists import target_named
from logbook.boards.commands import record_change
from logbook.boards.queries import board_named, changes_and_reworks_of, rework_named
from logbook.planning.commands import carry_over, withdraw_carry_over
from logbook.planning.queries.carried import carry_over_of, carry_overs_of
from logbook.projects.choices import CauseKind, ChangeKind, ChangeState
from logbook.projects.commands import describe_change, withdraw_change
from logbook.projects.models import Change, Revision
from logbook.projects.queries import change_of, revision_of, subsystem_named


class FoldedIn(Shape):
    """A rework of one board that the change makes part of the drawing."""

    board = Name()
    rework = Name()


class FoldedInShown(serializers.Serializer[Any]):
    """A rework of one board that the change makes part of the drawing."""

    board = serializers.CharField(source="rework.board.serial")
    rework = serializers.CharField(source="rework.key")


class ChangeChange(Shape):
    """What is said of a change; its key and what it touches stay."""

    kind = Word(ChangeKind.choices)
    what = Text(allow_blank=False)
    why = Text()
    state = Word(ChangeState.choices)
    designators = Text()
    cause_kind = Word(CauseKind.choices)
    cause = Text()


class ChangeNew(ChangeChange):
    """A change of the revision against its parent; without subsystems it touches nothing."""

    key = Name()
    kind = Word(ChangeKind.choices, required=True)
    what = Name()
    subsystems = Names()
    folds_in = FoldedIn(many=True, required=False)


class ChangeShown(serializers.Serializer[Any]):
    """A change of the revision against its parent."""

    key = serializers.CharField()
    kind = serializers.ChoiceField(ChangeKind.choices)
    what = serializers.CharField()
    why = serializers.CharField()
    state = serializers.ChoiceField(ChangeState.choices)
    designators = serializers.CharField()
    cause_kind = serializers.ChoiceField(CauseKind.choices)
    cause = serializers.CharField()
    subsystems = KeysOf("key")
    folds_in = FoldedInShown(many=True, source="folded_in.all")
    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField(source="recorded_by.username", default=None, allow_null=True)
    withdrawn_at = serializers.DateTimeField(allow_null=True)
    withdrawn_because = serializers.CharField()


class Withdrawal(Shape):
    """Why it is withdrawn."""

    because = Name()


class CarryOverNew(Shape):
    """A target whose evidence is carried over, and why it holds; ``by`` is the caller if left out."""

    target = Name()
    argument = Name()
    by = Text()


class CarryOverShown(serializers.Serializer[Any]):
    """A target whose evidence is carried over by hand."""

    target = serializers.CharField(source="target.key")
    argument = serializers.CharField()
    by = serializers.CharField()
    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField(source="recorded_by.username", default=None, allow_null=True)
    withdrawn_at = serializers.DateTimeField(allow_null=True)
    withdrawn_because = serializers.CharField()


class OfRevision(LogbookView):
    """Finds the revision the address names."""

    def revision(self, slug: str, label: str) -> Revision:
        """Return the revision, having checked that the caller may do this on its project."""
        return revision_of(self.project(slug), label)


class ChangeList(OfRevision):
    """The changes of a revision against its parent."""

    @described("changes_list", paged(ChangeShown), parameters=PAGED)
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return the standing changes by key."""
        refuse_unknown_parameters(request, PAGED)
        rows = changes_and_reworks_of(self.revision(slug, label))
        return Response(page_of(rows, request, key="key").shown(lambda row: ChangeShown(row).data))

    @described("changes_create", ChangeShown, sends=ChangeNew, status=201)
    def post(self, request: Request, slug: str, label: str) -> Response:
        """Record a change. One that touches nothing says that all evidence still holds."""
        revision = self.revision(slug, label)
        given = checked(ChangeNew, request.data)
        change = record_change(
            actor=self.actor,
            revision=revision,
            key=given.pop("key"),
            kind=given.pop("kind"),
            what=given.pop("what"),
            subsystems=[
                subsystem_named(revision.project, key, field="subsystems")
                for key in dict.fromkeys(given.pop("subsystems", ()))
            ],
            folds_in=[
                rework_named(board_named(revision.project, one["board"], field="folds_in"), one["rework"])
                for one in given.pop("folds_in", ())
            ],
            values=given,
        )
        return Response(ChangeShown(change).data, status=201)


class ChangeDetail(OfRevision):
    """One change."""

    @described("changes_read", ChangeShown)
    def get(self, request: Request, slug: str, label: str, key: str) -> Response:
        """Return the change."""
        return Response(ChangeShown(self._change(slug, label, key)).data)

    @described("changes_change", ChangeShown, sends=ChangeChange)
    def patch(self, request: Request, slug: str, label: str, key: str) -> Response:
        """Change what is said of it; a wrong subsystem is mended by withdrawing and recording anew."""
        change = self._change(slug, label, key)
        given = checked(ChangeChange, request.data, partial=True)
        return Response(ChangeShown(describe_change(actor=self.actor, change=change, values=given)).data)

    def _change(self, slug: str, label: str, key: str) -> Change:
        return change_of(self.revision(slug, label), key)


class ChangeWithdraw(OfRevision):
    """Withdrawing a change."""

    @described("changes_withdraw", ChangeShown, sends=Withdrawal)
    def post(self, request: Request, slug: str, label: str, key: str) -> Response:
        """Withdraw the change with a reason; from now on it touches nothing."""
        change = change_of(self.revision(slug, label), key)
        because = checked(Withdrawal, request.data)["because"]
        return Response(ChangeShown(withdraw_change(actor=self.actor, change=change, because=because)).data)


class CarryOverList(OfRevision):
    """Evidence carried over to a revision by hand."""

    @described("carry_overs_list", paged(CarryOverShown), parameters=PAGED)
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return the standing carry-overs in the order they were recorded."""
        refuse_unknown_parameters(request, PAGED)
        rows = carry_overs_of(self.revision(slug, label))
        return Response(page_of(rows, request, key="id").shown(lambda row: CarryOverShown(row).data))

    @described("carry_overs_create", CarryOverShown, sends=CarryOverNew, status=201)
    def post(self, request: Request, slug: str, label: str) -> Response:
        """Carry an ancestor's evidence for a target over, with an argument and a name."""
        revision = self.revision(slug, label)
        given = checked(CarryOverNew, request.data)
        target = target_named(revision.project, given.pop("target"))
        carried = carry_over(actor=self.actor, revision=revision, target=target, **given)
        return Response(CarryOverShown(carried).data, status=201)


class CarryOverWithdraw(OfRevision):
    """Withdrawing a carry-over."""

    @described("carry_overs_withdraw", CarryOverShown, sends=Withdrawal)
    def post(self, request: Request, slug: str, label: str, key: str) -> Response:
        """Withdraw the carry-over of the target with ``key``, with a reason."""
        carried = carry_over_of(self.revision(slug, label), key)
        because = checked(Withdrawal, request.data)["because"]
        done = withdraw_carry_over(actor=self.actor, carried=carried, because=because)
        return Response(CarryOverShown(done).data)
