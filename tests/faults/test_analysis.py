"""A worker that is killed while it analyses a capture: the numbers are found once, by whoever comes next."""

from __future__ import annotations

import uuid
from collections.abc import Callable

import pytest

from tests.common.sites import is_listening
from tests.common.test_workers import BROKERS
from tests.faults.conftest import FaultSite, wait_until

Survived = Callable[[str, str, str], None]
# Half a minute of a tone on two channels: seconds of work.
UPLOAD = """
import io, wave
import numpy as np
from logbook.accounts.models import User
from logbook.common.changes import Actor
from logbook.evidence.commands import add_evidence
from logbook.projects.models import Project
tone = (20000 * np.sin(2 * np.pi * 997 / 48000 * np.arange(48000 * 30))).astype("<i2")
stream = io.BytesIO()
with wave.open(stream, "wb") as file:
    file.setnchannels(2); file.setsampwidth(2); file.setframerate(48000)
    file.writeframes(np.column_stack([tone, tone]).tobytes())
stream.seek(0)
actor = Actor(User.objects.get(username="owner-tern"), "command")
add_evidence(actor=actor, project=Project.objects.get(), name="tone.wav", stream=stream)
"""
STATE = "SELECT state FROM evidence_analysis"

pytestmark = [pytest.mark.xdist_group("faults"), pytest.mark.timeout(600), pytest.mark.postgres]


@pytest.mark.parametrize("broker", sorted(BROKERS))
def test_a_worker_is_killed_in_the_middle_of_an_analysis(
    site: FaultSite, survived: Survived, broker: str
) -> None:
    port, address = BROKERS[broker]
    if not is_listening(port):
        pytest.skip(f"no {broker} answers on 127.0.0.1:{port}")
    site.broker, site.queue = address, f"logbook-test-{uuid.uuid4().hex[:12]}"
    site.script(UPLOAD)
    site.worker()
    wait_until(lambda: site.asked(STATE) == "running")
    site.break_down()
    assert site.asked(STATE) == "running"
    # The message waits for another worker, with Redis for an hour; the sweep from cron does not.
    site.manage("run_jobs")
    wait_until(lambda: site.manage("run_jobs") is not None and site.asked(STATE) == "done")
    assert site.asked("SELECT count(*) FROM evidence_analysis") == 1
    assert site.asked("SELECT attempt FROM evidence_analysis") == 2
    said = site.verified()
    survived(f"the worker of {broker} is killed in an analysis", site.vendor, f"second attempt done; {said}")
