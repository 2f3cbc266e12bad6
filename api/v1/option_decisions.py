"""What became of options: decided or left open, ordered, and as each board has them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.schema import PAGED, described, paged
from api.shapes import Name, Shape, Text, Word, checked
from api.views import LogbookView
from logbook.boards.queries import OptionRow, option_table
from logbook.boards.queries.option_table import SettingRun
from logbook.common.errors import InvalidInputError
from logbook.projects.choices import DecisionWord
from logbook.projects.commands import decide_option, leave_option_open, record_ordered_position
from logbook.projects.commands.options import position_named
from logbook.projects.models import Option, OptionDecision, OrderedPosition, Revision
from logbook.projects.queries import decisions_of, option_of, revision_named, revision_of
from logbook.projects.queries.option_standing import orders_of


class OptionDecisionNew(Shape):
    """An option is decided for a revision (``position``; null is not fitted) or left open on purpose."""

    revision = Name()
    decision = Word(DecisionWord.choices, required=True)
    position = Text(allow_null=True)
    until = Name(required=False, help_text="The revision by which an option left open is to be decided.")
    because = Name()


class OptionDecisionShown(serializers.Serializer[Any]):
    """A decision on an option; of a revision's decisions the newest counts."""

    id = serializers.IntegerField()
    revision = serializers.CharField(source="revision.label")
    decision = serializers.ChoiceField(DecisionWord.choices, source="word")
    position = serializers.CharField(source="position.name", default=None, allow_null=True)
    until = serializers.CharField(source="open_until.label", default=None, allow_null=True)
    because = serializers.CharField()
    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField(source="recorded_by.username", default=None, allow_null=True)


class OrderedPositionNew(Shape):
    """The position a revision was ordered with; null where it was ordered not fitted."""

    revision = Name()
    position = Text(required=True, allow_null=True)
    note = Text()


class OrderedPositionShown(serializers.Serializer[Any]):
    """The position a revision was ordered with; of a revision's orders the newest counts."""

    id = serializers.IntegerField()
    revision = serializers.CharField(source="revision.label")
    position = serializers.CharField(source="position.name", default=None, allow_null=True)
    note = serializers.CharField()
    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField(source="recorded_by.username", default=None, allow_null=True)


class BoardOptionShown(serializers.Serializer[Any]):
    """How one board has an option: as it came, as it was found last, and since when without a break."""

    board = serializers.CharField(source="board.serial")
    is_built_known = serializers.SerializerMethodField(
        help_text="False where readings were taken before anybody looked."
    )
    built = serializers.CharField(source="built.position.name", default=None, allow_null=True)
    found = serializers.CharField(source="found.position.name", default=None, allow_null=True)
    since = serializers.DateTimeField()

    def get_is_built_known(self, run: SettingRun) -> bool:
        """Say whether somebody looked before the first reading."""
        return run.built is not None


class OptionRowShown(serializers.Serializer[Any]):
    """One option of a revision: designed, ordered, decided or open, and on each board."""

    option = serializers.CharField()
    is_designed = serializers.BooleanField(help_text="False where nobody recorded a designed position.")
    designed = serializers.CharField(allow_null=True)
    is_ordered = serializers.BooleanField()
    ordered = serializers.CharField(allow_null=True)
    is_open = serializers.BooleanField()
    decision = serializers.CharField(help_text="What was decided, in words.")
    boards = BoardOptionShown(many=True)
    unseen = serializers.ListField(child=serializers.CharField(), help_text="Boards where nobody looked.")
    differences = serializers.ListField(child=serializers.CharField())


class OptionTableShown(serializers.Serializer[Any]):
    """Every option of a revision."""

    revision = serializers.CharField()
    rows = OptionRowShown(many=True)


class OptionDecisionList(LogbookView):
    """The decisions on one option."""

    @described("option_decisions_list", paged(OptionDecisionShown), parameters=PAGED)
    def get(self, request: Request, slug: str, key: str) -> Response:
        """Return the decisions on every revision in the order they were recorded."""
        refuse_unknown_parameters(request, PAGED)
        project = self.project(slug)
        rows = decisions_of(project).filter(option=option_of(project, key))
        return Response(page_of(rows, request, key="id").shown(lambda row: OptionDecisionShown(row).data))

    @described("option_decisions_create", OptionDecisionShown, sends=OptionDecisionNew, status=201)
    def post(self, request: Request, slug: str, key: str) -> Response:
        """Decide the option for a revision, or leave it open on purpose."""
        project = self.project(slug)
        option = option_of(project, key)
        given = checked(OptionDecisionNew, request.data)
        revision = revision_named(project, given["revision"])
        decision = self._decide(option, revision, given)
        return Response(OptionDecisionShown(decision).data, status=201)

    def _decide(self, option: Option, revision: Revision, given: dict[str, Any]) -> OptionDecision:
        is_open = given["decision"] == DecisionWord.LEFT_OPEN
        _check_fits(given, needed="" if is_open else "position", stranger="position" if is_open else "until")
        if not is_open:
            position = position_named(option, given["position"])
            return decide_option(
                actor=self.actor,
                revision=revision,
                option=option,
                position=position,
                because=given["because"],
            )
        until = given.get("until")
        return leave_option_open(
            actor=self.actor,
            revision=revision,
            option=option,
            because=given["because"],
            until=revision_named(option.project, until, field="until") if until else None,
        )


def _check_fits(given: dict[str, Any], *, needed: str, stranger: str) -> None:
    """Refuse a decision without its position, or with a field that belongs to the other word."""
    if needed and needed not in given:
        raise InvalidInputError.of(
            needed, "say the position decided on", allowed="a position, or null for not fitted"
        )
    if given.get(stranger) is not None:
        message = f"an option {given['decision']} has no {stranger}"
        raise InvalidInputError.of(stranger, message, given=given[stranger], allowed="leave it out")


class OrderedPositionList(LogbookView):
    """What was ordered of one option."""

    @described("ordered_positions_list", paged(OrderedPositionShown), parameters=PAGED)
    def get(self, request: Request, slug: str, key: str) -> Response:
        """Return what was ordered for every revision in the order it was recorded."""
        refuse_unknown_parameters(request, PAGED)
        rows = orders_of(option_of(self.project(slug), key))
        return Response(page_of(rows, request, key="id").shown(lambda row: OrderedPositionShown(row).data))

    @described("ordered_positions_create", OrderedPositionShown, sends=OrderedPositionNew, status=201)
    def post(self, request: Request, slug: str, key: str) -> Response:
        """Record the position a revision was ordered with."""
        project = self.project(slug)
        option = option_of(project, key)
        given = checked(OrderedPositionNew, request.data)
        ordered: OrderedPosition = record_ordered_position(
            actor=self.actor,
            revision=revision_named(project, given.pop("revision")),
            option=option,
            position=position_named(option, given.pop("position")),
            **given,
        )
        return Response(OrderedPositionShown(ordered).data, status=201)


class OptionTable(LogbookView):
    """The options of one revision with every board built to it."""

    @described("option_table_read", OptionTableShown)
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return each option as designed, ordered, decided, built and found."""
        refuse_unknown_parameters(request, ())
        revision = revision_of(self.project(slug), label)
        rows = [_row(row) for row in option_table(revision)]
        return Response({"revision": revision.label, "rows": rows})


def _row(row: OptionRow) -> dict[str, Any]:
    standing = row.standing
    runs: list[SettingRun] = list(row.runs)
    return {
        "option": standing.option.key,
        "is_designed": standing.drawn is not None,
        "designed": _name(standing.drawn),
        "is_ordered": standing.ordered is not None,
        "ordered": _name(standing.ordered),
        "is_open": standing.is_open,
        "decision": standing.says,
        "boards": BoardOptionShown(runs, many=True).data,
        "unseen": [board.serial for board in row.unseen],
        "differences": list(row.differences),
    }


def _name(row: Any) -> str | None:
    return row.position.name if row is not None and row.position is not None else None
