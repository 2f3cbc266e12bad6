"""The web processes are killed while a file comes in: it is there whole and once, or not at all."""

from __future__ import annotations

import random
import threading
import time
from collections.abc import Callable

import pytest

from tests.faults.conftest import FaultSite
from tests.faults.readings import Answer, upload

Survived = Callable[[str, str, str], None]
MEGABYTES, MOST_ATTEMPTS, CUTS = 24, 8, 2

pytestmark = [pytest.mark.xdist_group("faults"), pytest.mark.timeout(600), pytest.mark.postgres]


def a_log() -> bytes:
    """Return a text large enough to be cut."""
    digits = random.Random(1).randbytes(MEGABYTES << 19).hex(" ", 32)
    return b"console of an invented board\n" + digits.replace(" ", "\n").encode()


def test_the_web_processes_are_killed_while_a_file_comes_in(site: FaultSite, survived: Survived) -> None:
    content = a_log()
    moments, cut = random.Random(), 0
    answers: list[Answer] = []
    for _ in range(MOST_ATTEMPTS):
        site.start()
        sender = threading.Thread(
            target=lambda: answers.append(upload(site.address, site.token, "long.txt", content))
        )
        sender.start()
        time.sleep(moments.uniform(0.05, 0.6))
        site.break_down()
        sender.join(120)
        cut += answers[-1].status == 0
        if cut == CUTS:
            break
    assert cut
    held = int(site.asked("SELECT count(*) FROM evidence_evidence"))
    assert held in {0, 1}
    site.start()
    again = upload(site.address, site.token, "long.txt", content)
    assert (again.status, again.body["size"]) == (201, len(content))
    assert site.asked("SELECT count(*) FROM evidence_evidence") == 1
    kept = list((site.folder / "evidence").glob("[0-9a-f][0-9a-f]/??/*"))
    assert [one.stat().st_size for one in kept if "." not in one.name] == [len(content)]
    said = site.verified()
    fault = f"web processes killed in a file of {MEGABYTES} MB"
    survived(fault, site.vendor, f"held {held} when cut; then {said}")
