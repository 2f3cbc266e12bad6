"""States with valid acceptances laid over them."""

from __future__ import annotations

from collections.abc import Mapping

from logbook.core.risk import Decision
from logbook.core.state import State, StateOfTarget, waived
from logbook.planning.models import Disposition
from logbook.planning.queries.risks import risks_in
from logbook.planning.queries.standing import Standing

SETTLED = frozenset({State.VERIFIED, State.NOT_APPLICABLE})


def states_with_waived(standing: Standing) -> Mapping[str, StateOfTarget]:
    """Return the state of each target, waived where its risk is accepted. One query without an acceptance."""
    accepted = Disposition.objects.filter(revision_id__in=standing.line, decision=Decision.ACCEPT)
    if not accepted.exists():
        return standing.states
    states = dict(standing.states)
    for row in risks_in(standing):
        decided = row.disposition
        if decided is None or not decided.is_valid or decided.record.decision != Decision.ACCEPT:
            continue
        for key in row.targets:
            if not row.matter.about_instruments and states[key].state not in SETTLED:
                states[key] = waived(standing.states[key], decided.says)
    return states
