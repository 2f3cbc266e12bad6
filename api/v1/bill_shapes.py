"""Shapes of bills of materials: what is sent, what is answered."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from api.shapes import Name, Shape, Text
from api.uploads import File
from logbook.core.parts_list import MEANINGS, Kind
from logbook.projects.choices import ChangeKind
from logbook.projects.queries.bills import BillComparison


class BillFile(Shape):
    """A CSV file; ``columns`` is JSON such as {"designators": "Ref"} and is guessed when left out."""

    file = File()
    columns = Text(max_length=5_000)


class BillRow(Shape):
    """One row; designators may be grouped: R1, R2, R5-R8."""

    designators = Name(max_length=20_000)
    quantity = Text(max_length=20)
    value = Text(max_length=300)
    footprint = Text(max_length=300)
    part_number = Text(max_length=300)
    maker = Text(max_length=300)
    description = Text(max_length=300)
    fitted = Text(max_length=40)


class BillRows(Shape):
    """A bill as rows in JSON."""

    rows = BillRow(many=True)


class RowRemark(serializers.Serializer[Any]):
    """What is wrong or odd about one row."""

    line = serializers.IntegerField(help_text="Of the file, counted from 1; of the rows given as JSON.")
    says = serializers.CharField()
    given = serializers.CharField()


class BillShown(serializers.Serializer[Any]):
    """One import; the newest of a revision stands."""

    id = serializers.IntegerField()
    revision = serializers.CharField(source="revision.label")
    file_name = serializers.CharField()
    sha256 = serializers.CharField()
    encoding = serializers.CharField()
    delimiter = serializers.CharField(trim_whitespace=False)
    columns = serializers.DictField(
        child=serializers.CharField(), help_text=f"What each column holds, of {', '.join(MEANINGS)}."
    )
    unused_columns = serializers.ListField(child=serializers.CharField())
    refused = RowRemark(many=True)
    remarks = RowRemark(many=True)
    part_count = serializers.IntegerField()
    imported_at = serializers.DateTimeField()
    imported_by = serializers.CharField(source="imported_by.username", default=None, allow_null=True)


class PartShown(serializers.Serializer[Any]):
    """One part of a bill."""

    designator = serializers.CharField()
    value = serializers.CharField()
    footprint = serializers.CharField()
    part_number = serializers.CharField()
    maker = serializers.CharField()
    description = serializers.CharField()
    is_fitted = serializers.BooleanField()
    line = serializers.IntegerField()


class BillPreviewShown(serializers.Serializer[Any]):
    """What an import would store, before it is."""

    encoding = serializers.CharField()
    delimiter = serializers.CharField(trim_whitespace=False)
    header = serializers.ListField(child=serializers.CharField())
    columns = serializers.DictField(child=serializers.CharField())
    unused_columns = serializers.ListField(child=serializers.CharField())
    part_count = serializers.IntegerField()
    refused = RowRemark(many=True)
    remarks = RowRemark(many=True)


class DifferenceShown(serializers.Serializer[Any]):
    """One part differs in one respect."""

    designator = serializers.CharField()
    kind = serializers.ChoiceField([str(kind) for kind in Kind])
    before = serializers.CharField()
    after = serializers.CharField()
    subsystem = serializers.CharField(allow_null=True, help_text="By the designator rules; null where none.")


class BillComparisonShown(serializers.Serializer[Any]):
    """What a bill differs in from another; ``not_compared`` is what one of them has no column for."""

    bill = serializers.IntegerField(source="after.pk")
    other = serializers.IntegerField(source="before.pk")
    differences = serializers.SerializerMethodField()
    not_compared = serializers.ListField(child=serializers.CharField())

    @extend_schema_field(DifferenceShown(many=True))
    def get_differences(self, found: BillComparison) -> Any:
        """Return the differences, each with its subsystem."""
        return [
            {
                "designator": str(one.designator),
                "kind": str(one.kind),
                "before": one.before,
                "after": one.after,
                "subsystem": found.subsystems.get(one.designator),
            }
            for one in found.differences
        ]


class NamedByShown(serializers.Serializer[Any]):
    """A standing change that names some of the same designators."""

    change = serializers.CharField()
    designators = serializers.CharField()


class ProposedChangeShown(serializers.Serializer[Any]):
    """A change as ``changes/`` takes it; without a subsystem somebody has to say what it touches."""

    key = serializers.CharField()
    kind = serializers.ChoiceField(ChangeKind.choices)
    what = serializers.CharField()
    designators = serializers.CharField()
    subsystems = serializers.ListField(child=serializers.CharField())
    named_by = NamedByShown(many=True, help_text="Changes that name such parts already, which are left out.")
    is_needed = serializers.BooleanField(help_text="False where all these parts are named already.")


class ProposedChangesShown(serializers.Serializer[Any]):
    """The changes proposed from two bills."""

    results = ProposedChangeShown(many=True)
