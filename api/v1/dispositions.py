"""``…/dispositions/`` and ``…/not-applicable/``: what was decided about the open risks of a revision."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.schema import PAGED, described, paged
from api.shapes import Name, Shape, Text, Word, checked
from api.v1.changes import OfRevision, Withdrawal
from logbook.bench.queries.lists import target_named
from logbook.core.risk import SubjectKind
from logbook.planning.choices import DECISIONS
from logbook.planning.commands import (
    RiskSubject,
    decide_not_applicable,
    decide_risks,
    withdraw_disposition,
    withdraw_not_applicable,
)
from logbook.planning.queries import HeldDisposition, disposition_of, dispositions_of
from logbook.planning.queries.applicability import not_applicable_of, not_applicable_on
from logbook.planning.queries.changes_ahead import change_ahead

FILTERS = ("subject_kind", "subject", "decision")


class RowNamed(Shape):
    """One row of the open-risk list: exactly one of target, finding, lesson, option and rework."""

    target = Text(help_text="Key of the target.")
    finding = Text(help_text="Key of the finding; its targets are decided with it.")
    lesson = Text()
    option = Text()
    rework = Text(help_text="Key and board, such as RW-05 of 0004.")
    kind = Text(help_text="Only where the subject has two rows: the kind of the one meant.")

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return the row, having checked that it names one subject."""
        named = [(word, attrs[word]) for word in map(str, SubjectKind) if attrs.get(word)]
        if len(named) != 1:
            message = f"name one of {', '.join(SubjectKind)}"
            raise serializers.ValidationError(message)
        return {"row": RiskSubject(*named[0], attrs.get("kind", ""))}


class DispositionNew(Shape):
    """One decision on one or several rows."""

    rows = RowNamed(many=True, allow_empty=False)
    decision = Word(DECISIONS, required=True)
    owner = Text(max_length=120)
    reason = Text(max_length=2_000)
    expires_on = serializers.DateField(required=False, allow_null=True)
    expires_with = Text(max_length=20, help_text="Label of the revision it ends with; it need not exist yet.")
    reopens_with = Text(max_length=20, help_text="Label of the revision that brings a deferred row back.")
    change = Text(max_length=30, help_text="Key of the change that fixes it; without one the row stays open.")


class DispositionShown(serializers.Serializer[Any]):
    """A decision with the facts it was made on."""

    number = serializers.IntegerField(source="pk")
    revision = serializers.CharField(source="revision.label")
    subject_kind = serializers.CharField()
    subject = serializers.CharField()
    kind = serializers.CharField()
    decision = serializers.CharField()
    owner = serializers.CharField()
    reason = serializers.CharField()
    expires_on = serializers.DateField(allow_null=True)
    expires_with = serializers.CharField()
    reopens_with = serializers.CharField()
    change = serializers.CharField(source="change.key", default=None, allow_null=True)
    told = serializers.CharField(help_text="The reason of the row as it read then.")
    facts = serializers.DictField(source="fingerprint", child=serializers.CharField())
    by = serializers.CharField()
    recorded_at = serializers.DateTimeField()
    withdrawn_at = serializers.DateTimeField(allow_null=True)
    withdrawn_because = serializers.CharField()


class DispositionsMade(serializers.Serializer[Any]):
    """What was recorded, in the order of the rows."""

    dispositions = DispositionShown(many=True)


class NotApplicableNew(Shape):
    """A target that does not apply to the revision, and why."""

    target = Name()
    reason = Name(max_length=2_000)


class NotApplicableShown(serializers.Serializer[Any]):
    """Who decided that a target does not apply, and why."""

    number = serializers.IntegerField(source="pk")
    target = serializers.CharField(source="target.key")
    reason = serializers.CharField()
    by = serializers.CharField()
    recorded_at = serializers.DateTimeField()
    withdrawn_at = serializers.DateTimeField(allow_null=True)
    withdrawn_because = serializers.CharField()


class DispositionList(OfRevision):
    """Decisions on the open risks of a revision."""

    @described("dispositions_list", paged(DispositionShown), parameters=(*PAGED, *FILTERS))
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return every decision in the order recorded, also superseded and withdrawn ones."""
        refuse_unknown_parameters(request, (*PAGED, *FILTERS))
        asked = {name: request.query_params.get(name, "") for name in FILTERS}
        rows = dispositions_of(self.revision(slug, label), asked)
        return Response(page_of(rows, request, key="id").shown(lambda row: DispositionShown(row).data))

    @described("dispositions_create", DispositionsMade, sends=DispositionNew, status=201)
    def post(self, request: Request, slug: str, label: str) -> Response:
        """Decide rows. An acceptance needs owner, reason and an end; a deferral ``reopens_with``.

        A change without ``change`` is kept, but decides nothing: the row stays open until one is named.
        """
        revision = self.revision(slug, label)
        given = checked(DispositionNew, request.data)
        rows = [one["row"] for one in given.pop("rows")]
        key = given.pop("change", "")
        change = change_ahead(revision, key) if key else None
        made = decide_risks(actor=self.actor, revision=revision, rows=rows, change=change, **given)
        return Response({"dispositions": DispositionShown(made, many=True).data}, status=201)


class DispositionWithdraw(OfRevision):
    """Withdrawing a decision."""

    @described("dispositions_withdraw", DispositionShown, sends=Withdrawal)
    def post(self, request: Request, slug: str, label: str, number: int) -> Response:
        """Withdraw the decision with a reason; its row is undecided again."""
        disposition = disposition_of(self.revision(slug, label), number)
        because = checked(Withdrawal, request.data)["because"]
        done = withdraw_disposition(actor=self.actor, disposition=disposition, because=because)
        return Response(DispositionShown(done).data)


class NotApplicableList(OfRevision):
    """Targets that do not apply to a revision by decision."""

    @described("not_applicable_list", paged(NotApplicableShown), parameters=PAGED)
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return the standing decisions in the order recorded."""
        refuse_unknown_parameters(request, PAGED)
        rows = not_applicable_on(self.revision(slug, label))
        return Response(page_of(rows, request, key="id").shown(lambda row: NotApplicableShown(row).data))

    @described("not_applicable_create", NotApplicableShown, sends=NotApplicableNew, status=201)
    def post(self, request: Request, slug: str, label: str) -> Response:
        """Decide that a target does not apply here, in your name and with a reason."""
        revision = self.revision(slug, label)
        given = checked(NotApplicableNew, request.data)
        target = target_named(revision.project, given.pop("target"))
        decided = decide_not_applicable(actor=self.actor, revision=revision, target=target, **given)
        return Response(NotApplicableShown(decided).data, status=201)


class NotApplicableWithdraw(OfRevision):
    """Withdrawing such a decision."""

    @described("not_applicable_withdraw", NotApplicableShown, sends=Withdrawal)
    def post(self, request: Request, slug: str, label: str, key: str) -> Response:
        """Withdraw the decision on the target with ``key``, with a reason; it is asked again."""
        decided = not_applicable_of(self.revision(slug, label), key)
        because = checked(Withdrawal, request.data)["because"]
        done = withdraw_not_applicable(actor=self.actor, decided=decided, because=because)
        return Response(NotApplicableShown(done).data)


class StandingDisposition(serializers.Serializer[Any]):
    """The decision on a row, and whether it holds."""

    number = serializers.IntegerField()
    decision = serializers.CharField()
    owner = serializers.CharField()
    reason = serializers.CharField()
    expires_on = serializers.DateField(allow_null=True)
    expires_with = serializers.CharField()
    reopens_with = serializers.CharField()
    change = serializers.CharField(allow_null=True)
    revision = serializers.CharField(help_text="The one it was made on; an ancestor's may hold here.")
    by = serializers.CharField()
    recorded_at = serializers.DateTimeField()
    hold = serializers.CharField(
        help_text="stands, waiting for its reading, lapsed, open again or no change named yet."
    )
    because = serializers.CharField(help_text="What it no longer holds for; empty where it stands.")


def standing_disposition(held: HeldDisposition | None) -> dict[str, Any] | None:
    """Return what the answer says of the decision on a row."""
    if held is None:
        return None
    row = held.record
    plain = ("decision", "owner", "reason", "expires_on", "expires_with", "reopens_with", "by", "recorded_at")
    return {
        "number": row.pk,
        **{name: getattr(row, name) for name in plain},
        "change": row.change.key if row.change else None,
        "revision": row.revision.label,
        "hold": str(held.held.hold),
        "because": held.held.because,
    }
