"""Takes a finding along its life."""

from __future__ import annotations

from logbook.findings.choices import needs_note
from logbook.findings.commands import move_finding
from logbook.findings.models import Finding
from logbook.findings.queries import state_of
from tests.builders import Bench

WAY = ("reproduced", "understood", "decided", "in the files", "built")


def walk(bench: Bench, finding: Finding, until: str) -> None:
    """Move a finding step by step up to a state before it is proven."""
    for state in WAY[: WAY.index(until) + 1]:
        note = "68k over 15k" if needs_note(state_of(finding), state) else ""
        move_finding(actor=bench.actor, finding=finding, to=state, note=note)
