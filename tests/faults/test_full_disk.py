"""A disk that fills up: clear answers meanwhile, nothing lost, and the site goes on once there is room."""

from __future__ import annotations

import contextlib
import shutil
import subprocess
import urllib.request
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.faults.conftest import PATIENCE_S, FaultSite, wait_until
from tests.faults.readings import LISTED, a_list, some_readings, upload

Survived = Callable[[str, str, str], None]
DISK_MB, ROOM_LEFT_KB = 64, 400
UNDONE = "SELECT count(*) FROM evidence_analysis WHERE state <> 'done'"

pytestmark = [pytest.mark.xdist_group("faults"), pytest.mark.timeout(600)]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """Mount a small disk; only root may."""
    folder = tmp_path / "disk"
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", f"size={DISK_MB}m", "tmpfs", str(folder)]
    if shutil.which("mount") is None or subprocess.run(command, capture_output=True, check=False).returncode:
        pytest.skip("no disk of its own could be mounted: needs root")
    yield folder
    subprocess.run(["umount", "--lazy", str(folder)], check=True)


@pytest.fixture
def on_a_small_disk(sqlite_site: FaultSite, small_disk: Path) -> Iterator[FaultSite]:
    shutil.copytree(sqlite_site.folder, small_disk, dirs_exist_ok=True)
    made = FaultSite(small_disk, token=sqlite_site.token, patience_s=PATIENCE_S)
    yield made
    made.break_down()


def fill(disk: Path, kilobytes: int = ROOM_LEFT_KB) -> Path:
    """Leave only a little room."""
    ballast = disk / "ballast"
    ballast.write_bytes(bytes(shutil.disk_usage(disk).free - kilobytes * 1024))
    return ballast


def can_be_read(site: FaultSite) -> bool:
    headers = {"Authorization": f"Bearer {site.token}"}
    request = urllib.request.Request(f"{site.address}/api/v1/projects/tern/targets/", headers=headers)
    with urllib.request.urlopen(request, timeout=60) as answer:
        return bool(answer.status == 200)


def test_a_full_disk_is_said_and_survived(on_a_small_disk: FaultSite, survived: Survived) -> None:
    site = on_a_small_disk
    site.start()
    assert site.post(a_list("before", 100)).status == 200
    ballast = fill(site.folder)
    sent = a_list("full")
    refused = site.post(sent)
    assert (refused.status, refused.body["code"]) == (507, "disk_full")
    assert "Whoever runs the site must make room" in refused.body["detail"]
    assert can_be_read(site)
    held = site.stored()
    assert held in {100, 100 + LISTED // 2}
    ballast.unlink()
    again = site.post(sent)
    assert again.body["stored"] + again.body["duplicate"] == LISTED
    assert site.stored() == LISTED + 100
    said = site.verified()
    survived("the disk is full", "sqlite", f"507 {refused.body['code']}, reading goes on; then {said}")


def a_capture(length: int) -> bytes:
    rows = "".join(f"{number * 1e-6:.6f},{number % 7}\n" for number in range(length))
    return f"t [s],v [V]\n{rows}".encode()


def test_a_file_that_finds_no_room_is_refused_and_taken_later(
    on_a_small_disk: FaultSite, survived: Survived
) -> None:
    site = on_a_small_disk
    # Jobs are done by hand here, so that the disk is full when the analysis begins.
    site.extra["LOGBOOK_JOB_RUNNER"] = "off"
    site.start()
    assert upload(site.address, site.token, "small.csv", a_capture(2_000)).status == 201
    ballast = fill(site.folder)
    large = a_capture(40_000)
    refused = upload(site.address, site.token, "large.csv", large)
    assert (refused.status, refused.body["code"]) == (507, "disk_full")
    assert not list((site.folder / "evidence" / "incoming").iterdir())
    ballast.unlink()
    assert upload(site.address, site.token, "large.csv", large).status == 201
    ballast = fill(site.folder, kilobytes=8)
    with contextlib.suppress(AssertionError):
        site.manage("run_jobs")
    assert site.asked("SELECT count(*) FROM evidence_analysis WHERE state = 'done'") < 2
    ballast.unlink()
    wait_until(lambda: (site.manage("run_jobs"), site.asked(UNDONE))[1] == 0)
    assert site.asked("SELECT count(*) FROM evidence_analysis WHERE state = 'done'") == 2
    said = site.verified()
    survived("the disk is full when files come in", "sqlite", f"507; analysed once there was room; {said}")


def test_a_backup_that_finds_no_room_leaves_nothing_behind(
    on_a_small_disk: FaultSite, survived: Survived
) -> None:
    site = on_a_small_disk
    site.script(some_readings("backup", 2_000))
    target = site.folder / "backups" / "site.zip"
    target.parent.mkdir()
    target.write_bytes(b"the backup of yesterday")
    ballast = fill(site.folder, kilobytes=64)
    with pytest.raises(AssertionError, match="CommandError: .*disk is full"):
        site.manage("backup_site", str(target))
    assert [one.name for one in target.parent.iterdir()] == ["site.zip"]
    assert target.read_bytes() == b"the backup of yesterday"
    ballast.unlink()
    site.manage("backup_site", str(target))
    assert zipfile.ZipFile(target).testzip() is None
    survived("the disk is full when a backup is made", "sqlite", "that of yesterday stays, nothing half")
