"""A backup and a restore are killed: the older backup stays, and the site is the old one or the new one."""

from __future__ import annotations

import random
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable

import pytest

from tests.common.sites import ROOT
from tests.faults.conftest import FaultSite
from tests.faults.readings import some_readings

Survived = Callable[[str, str, str], None]
FIRST, SECOND, CUTS = 3_000, 500, 2

pytestmark = [pytest.mark.xdist_group("faults"), pytest.mark.timeout(600), pytest.mark.postgres]


def seconds_of(site: FaultSite, *arguments: str) -> float:
    begun = time.monotonic()
    site.manage(*arguments)
    return time.monotonic() - begun


def killed(site: FaultSite, *arguments: str, after_s: float) -> bool:
    """Run a management command and kill it after a while; say whether it had not ended yet."""
    process = subprocess.Popen(
        [sys.executable, "manage.py", *arguments], cwd=ROOT, env=site.environment(),
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
    )  # fmt: skip
    site.processes.append(process)
    time.sleep(after_s)
    was_running = process.poll() is None
    site.break_down()
    return was_running


def test_a_backup_and_a_restore_are_killed(site: FaultSite, survived: Survived) -> None:
    moments = random.Random()
    site.script(some_readings("first", FIRST))
    backup = site.folder.parent / f"{site.folder.name}.zip"
    backs_up_s = seconds_of(site, "backup_site", str(backup))
    kept = backup.read_bytes()
    site.script(some_readings("second", SECOND))
    cut = 0
    for _ in range(CUTS):
        cut += killed(site, "backup_site", str(backup), after_s=moments.uniform(0.5, 0.95) * backs_up_s)
        # Killed before the last step it is the older one, after it the newer one: never half of either.
        assert zipfile.ZipFile(backup).testzip() is None
    assert cut
    cut = 0
    backup.write_bytes(kept)
    restore = ("restore_site", str(backup), "--replace")
    # One that runs to its end says how long it takes; then the newer readings are put there again.
    restores_s = seconds_of(site, *restore)
    held = []
    for number in range(CUTS):
        site.script(some_readings(f"second {number}", SECOND))
        # Early, when the database is not replaced yet, and late, when it is.
        early, late = ((0.1, 0.5), (0.5, 0.9))[number % 2]
        cut += killed(site, *restore, after_s=moments.uniform(early, late) * restores_s)
        held.append(site.stored() - FIRST)
        assert held[-1] in {0, SECOND}
        site.verified()
        site.manage(*restore)
    assert cut
    assert site.stored() == FIRST
    said = site.verified()
    survived("a backup and a restore are killed", site.vendor, f"newer readings left {held}; then {said}")
