"""A finding on the small bench."""

from __future__ import annotations

import pytest

from logbook.findings.commands import record_finding
from logbook.findings.models import Finding
from tests.builders import Bench


@pytest.fixture
def finding(bench: Bench) -> Finding:
    """Return F-01 on the 3.3 V rail, just suspected."""
    target = bench.target()
    bench.target("RLD-3", "1.176..1.224 V")
    return record_finding(
        actor=bench.actor,
        project=bench.project,
        key="F-01",
        title="3.3 V reads low",
        subsystem=bench.subsystem,
        found_on=bench.board,
        targets=[target],
        values={"severity": "S2", "cause_family": "schematic"},
    )
