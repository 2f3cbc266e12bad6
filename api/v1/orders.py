"""``…/orders/``: what was decided before ordering a revision, and when it was ordered."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.schema import PAGED, described, paged
from api.shapes import Name, Shape, Text, Word, checked
from api.v1.changes import OfRevision
from logbook.planning.choices import OrderDecision, QuestionAnswer
from logbook.planning.commands import Answered, place_order, record_order
from logbook.planning.queries.orders import evidence_of_set, order_of, orders_of


class AnswerGiven(Shape):
    """What was answered to one question."""

    key = Name(help_text="Of the question; an order record lists them.")
    answer = Word(QuestionAnswer.choices, required=True)
    remark = Text(max_length=500)


class AnswerKept(serializers.Serializer[Any]):
    """One question as it was put, and its answer."""

    key = serializers.CharField()
    question = serializers.CharField()
    answer = serializers.ChoiceField(QuestionAnswer.choices)
    remark = serializers.CharField()


class FileOfSet(serializers.Serializer[Any]):
    """One file of the set."""

    name = serializers.CharField()
    sha256 = serializers.CharField()


class MissingThen(serializers.Serializer[Any]):
    """What was missing when it was decided."""

    what = serializers.CharField()
    reason = serializers.CharField()


class OrderNew(Shape):
    """A decision to order or not; ``name`` is the caller and ``decided_on`` today if left out."""

    decision = Word(OrderDecision.choices, required=True)
    name = Text(max_length=120)
    decided_on = serializers.DateField(required=False, allow_null=True)
    conditions = Text(max_length=2_000, help_text="Needed by 'go with conditions', and only there.")
    note = Text(max_length=2_000)
    answers = AnswerGiven(many=True, required=False)
    files = serializers.ListField(
        child=serializers.IntegerField(min_value=1),
        required=False,
        max_length=500,
        help_text="Numbers of evidence files: documents and Gerber files.",
    )
    files_sha256 = Text(max_length=64, help_text="Hash of a file set kept elsewhere.")
    ordered_on = serializers.DateField(required=False, allow_null=True)
    although_missing = serializers.BooleanField(
        required=False, help_text="Needed by 'go' while something is missing; else 409 names all of it."
    )


class OrderShown(serializers.Serializer[Any]):
    """An order record with how ready the revision was at that moment."""

    number = serializers.IntegerField(source="pk")
    revision = serializers.CharField(source="revision.label")
    decision = serializers.ChoiceField(OrderDecision.choices)
    name = serializers.CharField()
    decided_on = serializers.DateField()
    conditions = serializers.CharField()
    note = serializers.CharField()
    answers = AnswerKept(many=True)
    files = FileOfSet(many=True)
    files_sha256 = serializers.CharField()
    ready = serializers.BooleanField()
    missing = MissingThen(many=True)
    ordered_on = serializers.DateField(allow_null=True)
    recorded_at = serializers.DateTimeField()


class Placing(Shape):
    """The day it was ordered."""

    ordered_on = serializers.DateField()


class OrderList(OfRevision):
    """Order records of a revision."""

    @described("orders_list", paged(OrderShown), parameters=PAGED)
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return the order records in the order recorded."""
        refuse_unknown_parameters(request, PAGED)
        rows = orders_of(self.revision(slug, label))
        return Response(page_of(rows, request, key="id").shown(lambda row: OrderShown(row).data))

    @described("orders_create", OrderShown, sends=OrderNew, status=201)
    def post(self, request: Request, slug: str, label: str) -> Response:
        """Record go, go with conditions or no-go; with ``ordered_on`` the revision is ordered too.

        A go while readiness names something, a question has no answer or no hash of the files is given
        needs ``although_missing``.
        """
        revision = self.revision(slug, label)
        given = checked(OrderNew, request.data)
        answers = {
            one["key"]: Answered(one["answer"], one.get("remark", "")) for one in given.pop("answers", [])
        }
        files = evidence_of_set(revision.project, given.pop("files", []))
        order = record_order(actor=self.actor, revision=revision, answers=answers, files=files, **given)
        return Response(OrderShown(order).data, status=201)


class OrderPlaced(OfRevision):
    """Ordering after the decision."""

    @described("orders_placed", OrderShown, sends=Placing)
    def post(self, request: Request, slug: str, label: str, number: int) -> Response:
        """Note the day it was ordered, once."""
        order = order_of(self.revision(slug, label), number)
        day = checked(Placing, request.data)["ordered_on"]
        return Response(OrderShown(place_order(actor=self.actor, order=order, ordered_on=day)).data)
