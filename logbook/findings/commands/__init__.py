"""Every write to findings."""

from logbook.findings.commands.moving import move_finding, prove_finding
from logbook.findings.commands.recording import (
    attach_to_finding,
    change_finding,
    link_rework,
    record_finding,
)

__all__ = [
    "attach_to_finding",
    "change_finding",
    "link_rework",
    "move_finding",
    "prove_finding",
    "record_finding",
]
