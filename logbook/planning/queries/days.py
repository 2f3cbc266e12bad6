"""The end of a day, and what was entered only after it."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime, time

from django.utils import timezone

from logbook.bench.models import Measurement
from logbook.boards.models import OptionSetting, Rework
from logbook.common import clock
from logbook.common.errors import InvalidInputError


def end_of(day: date) -> datetime:
    """Return the last moment of ``day`` in the time zone of the site; a future day is refused."""
    today = timezone.localtime(clock.now()).date()
    if day > today:
        raise InvalidInputError.of(
            "as_of", "this day lies in the future", given=day, allowed=f"up to {today}", code="future"
        )
    return timezone.make_aware(datetime.combine(day, time.max))


def entered_later(revision_ids: Collection[int], until: datetime) -> int:
    """Return how many entries on boards of some revisions, dated up to ``until``, were recorded after it.

    Three queries.
    """
    readings = Measurement.objects.filter(
        board__revision_id__in=revision_ids, taken_at__lte=until, recorded_at__gt=until
    ).count()
    reworks = Rework.objects.filter(
        board__revision_id__in=revision_ids, in_force_from__lte=until, recorded_at__gt=until
    ).count()
    settings = OptionSetting.objects.filter(
        board__revision_id__in=revision_ids, in_force_from__lte=until, recorded_at__gt=until
    ).count()
    return readings + reworks + settings
