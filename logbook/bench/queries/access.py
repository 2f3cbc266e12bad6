"""One reading by its number, for somebody who may see it."""

from __future__ import annotations

from logbook.accounts.models import User
from logbook.bench.models import Measurement
from logbook.bench.queries.lists import SHOWN_WITH
from logbook.common.errors import NotFoundError
from logbook.projects.queries import check_role, role_of


def measurement_for(user: User, number: int, *, may: str = "read") -> Measurement:
    """Return a reading of any project of ``user`` who may do ``may`` there; to a stranger it is not there."""
    found = (
        Measurement.objects.select_related(*SHOWN_WITH, "instrument_range", "withdrawn_by")
        .filter(pk=number, project__memberships__user=user)
        .first()
    )
    if found is None:
        message = f"no measurement {number} on a project that you are a member of"
        raise NotFoundError(message)
    check_role(role_of(user, found.project), may=may)
    return found
