"""The spool outlives killed scripts and power cuts, and several scripts may share it."""

from __future__ import annotations

import random
import signal
import sqlite3
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest
from board_logbook_client import SpoolError
from board_logbook_client.spool import KEPT_SENT, READING, REJECTED, SENT, WAITING, Spool

from tests.client.serving import ROOT

SITE = "http://127.0.0.1:9"
WRITE = """
import sys
from board_logbook_client.spool import READING, Spool
from pathlib import Path
spool, who = Spool(Path(sys.argv[1])), sys.argv[2]
for number in range(int(sys.argv[3])):
    body = {"number": number, "who": who}
    spool.add(site="http://127.0.0.1:9", project="tern", kind=READING, key=f"{who}-{number}", body=body)
    print(number, flush=True)
"""


@pytest.fixture
def spool(tmp_path: Path) -> Spool:
    return Spool(tmp_path / "spool.sqlite3")


def add(spool: Spool, key: str, number: int = 0) -> int:
    return spool.add(site=SITE, project="tern", kind=READING, key=key, body={"number": number})


def writer(path: Path, who: str, count: int) -> subprocess.Popen[str]:
    """Return a process that writes into a spool and says each number it was told is kept."""
    command = [sys.executable, "-c", WRITE, str(path), who, str(count)]
    environment = {"PYTHONPATH": str(ROOT / "api" / "client")}
    return subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True)


def numbers(spool: Spool, who: str) -> list[int]:
    return [one.body["number"] for one in spool.with_status(WAITING) if one.body["who"] == who]


@pytest.mark.parametrize("seed", range(4))
def test_a_killed_script_loses_nothing_it_was_told_is_kept(tmp_path: Path, seed: int) -> None:
    path = tmp_path / "spool.sqlite3"
    process = writer(path, "a", 1_000_000)
    assert process.stdout is not None
    said = [int(process.stdout.readline())]
    time.sleep(random.Random(seed).uniform(0.0, 0.3))
    process.send_signal(signal.SIGKILL)
    said += [int(line) for line in process.stdout.read().split()]
    process.stdout.close()
    process.wait()
    kept = numbers(Spool(path), "a")
    assert kept == list(range(len(kept)))
    # One more may have reached the disk before its script could say so.
    assert len(kept) - len(said) in (0, 1)


@pytest.mark.parametrize("torn", [1, 100, 4000, 5000])
def test_a_power_cut_in_the_middle_of_a_write_costs_only_that_write(tmp_path: Path, torn: int) -> None:
    path = tmp_path / "spool.sqlite3"
    process = writer(path, "a", 5)
    assert process.stdout is not None
    while int(process.stdout.readline()) < 4:
        pass
    process.kill()
    process.stdout.close()
    process.wait()
    copied = tmp_path / "after" / "spool.sqlite3"
    copied.parent.mkdir()
    copied.write_bytes(path.read_bytes())
    journal = path.with_name("spool.sqlite3-wal").read_bytes()
    copied.with_name("spool.sqlite3-wal").write_bytes(journal[:-torn])
    spool = Spool(copied)
    assert numbers(spool, "a") == [0, 1, 2, 3]
    spool.close()
    with sqlite3.connect(copied) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    connection.close()


FORK = """
import os, sys
from pathlib import Path
from board_logbook_client.spool import READING, Spool
spool = Spool(Path(sys.argv[1]))
def add(number):
    body = {"number": number, "who": "a"}
    spool.add(site="http://127.0.0.1:9", project="tern", kind=READING, key=str(number), body=body)
add(0)
child = os.fork()
if child == 0:
    add(1)
    os._exit(0)
os.waitpid(child, 0)
add(2)
"""
FULL = """
import resource, sys
from pathlib import Path
from board_logbook_client.spool import READING, Spool
spool = Spool(Path(sys.argv[1]))
resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))
for number in range(1_000):
    body = {"number": number, "who": "a", "note": "x" * 5_000}
    spool.add(site="http://127.0.0.1:9", project="tern", kind=READING, key=str(number), body=body)
    print(number, flush=True)
"""


def script(text: str, path: Path) -> subprocess.CompletedProcess[str]:
    environment = {"PYTHONPATH": str(ROOT / "api" / "client")}
    command = [sys.executable, "-c", text, str(path)]
    return subprocess.run(command, env=environment, capture_output=True, text=True, check=False, timeout=60)


def test_a_forked_script_may_go_on_using_it(spool: Spool) -> None:
    done = script(FORK, spool.path)
    assert (done.returncode, done.stderr) == (0, "")
    assert numbers(spool, "a") == [0, 1, 2]


def test_a_full_disk_is_told_and_what_was_kept_stays(spool: Spool) -> None:
    done = script(FULL, spool.path)
    assert "SpoolError" in done.stderr
    assert "nothing was kept by this call" in done.stderr
    said = [int(line) for line in done.stdout.split()]
    assert len(said) > 5
    assert numbers(spool, "a") == said


def test_every_commit_waits_for_the_disk(spool: Spool) -> None:
    with spool.file.connection() as connection:
        # 2 is FULL: https://www.sqlite.org/pragma.html#pragma_synchronous
        assert connection.execute("PRAGMA synchronous").fetchone() == (2,)


def test_several_scripts_write_at_once(tmp_path: Path) -> None:
    path = tmp_path / "spool.sqlite3"
    processes = [writer(path, who, 40) for who in "abc"]
    for process in processes:
        _, _ = process.communicate(timeout=120)
        assert process.returncode == 0
    spool = Spool(path)
    assert [numbers(spool, who) for who in "abc"] == [list(range(40))] * 3


def test_order_is_that_of_writing_whatever_the_clock_does(spool: Spool) -> None:
    for number in range(3):
        add(spool, f"k{number}", number)
    found = [one.body["number"] for now in (2e9, 0.0, 1e9) for one in spool.due(SITE, now=now, most=1)]
    assert found == [0, 0, 0]


def test_what_was_put_off_is_due_again_after_the_clock_was_set_back(spool: Spool) -> None:
    seq = add(spool, "k")
    spool.note_try(seq, next_try=1_000_000.0)
    assert spool.due(SITE, now=999_990.0, most=9) == []
    assert [one.seq for one in spool.due(SITE, now=1_000_001.0, most=9)] == [seq]
    assert [one.seq for one in spool.due(SITE, now=500_000.0, most=9)] == [seq]


def test_the_same_key_and_content_is_kept_once(spool: Spool) -> None:
    assert add(spool, "k") == add(spool, "k")
    assert add(spool, "k", number=1) != add(spool, "k")


def test_numbers_are_never_used_again(spool: Spool) -> None:
    seq = add(spool, "k0")
    with spool.file.writing() as connection:
        connection.execute("DELETE FROM entries")
    assert add(spool, "k1") > seq


def test_only_old_sent_ones_are_forgotten(spool: Spool) -> None:
    rejected, _, sent = (add(spool, key) for key in ("k0", "k1", "k2"))
    spool.settle([(rejected, REJECTED, {"detail": "no"}), (sent, SENT, {"verdict": "pass"})])
    with spool.file.writing() as connection:
        connection.execute("UPDATE sqlite_sequence SET seq = ?", [KEPT_SENT + 10])
    spool.settle([(add(spool, "k3"), SENT, {})])
    kept = [one.key for status in (REJECTED, WAITING, SENT) for one in spool.with_status(status)]
    assert kept == ["k0", "k1", "k3"]


def test_rejected_ones_can_wait_again_and_move_to_another_address(spool: Spool) -> None:
    for key in ("k0", "k1"):
        spool.settle([(add(spool, key), REJECTED, {"detail": "no"})])
    assert spool.wait_again(["k1"]) == 1
    assert spool.move(SITE, "https://logbook.example") == 2
    assert [one.key for one in spool.due("https://logbook.example", now=0, most=9)] == ["k1"]


def test_dismissed_ones_stay_and_neither_wait_nor_count_as_rejected(spool: Spool) -> None:
    seq = add(spool, "k0")
    waiting = add(spool, "k1")
    spool.settle([(seq, REJECTED, {"detail": "no such board"})])
    assert spool.dismiss(["k0", "k1"]) == 1
    assert spool.counts() == {(SITE, "dismissed"): 1, (SITE, "waiting"): 1}
    assert spool.entry(seq).problem == {"detail": "no such board"}
    assert (spool.entry(waiting).status, spool.wait_again()) == ("waiting", 0)


def test_only_one_sends_at_a_time(spool: Spool, tmp_path: Path) -> None:
    other = Spool(tmp_path / "spool.sqlite3")
    with spool.sending(wait_s=0) as first, other.sending(wait_s=0) as second:
        assert (first, second) == (True, False)
    with other.sending(wait_s=0) as third:
        assert third


def test_nobody_else_may_read_it(spool: Spool) -> None:
    assert stat.S_IMODE(spool.path.stat().st_mode) & 0o077 == 0


@pytest.mark.parametrize("content", [b"not a spool" * 100, b""], ids=["other file", "folder"])
def test_a_spool_that_cannot_be_used_says_so(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "spool.sqlite3"
    if content:
        path.write_bytes(content)
    else:
        path.mkdir()
    with pytest.raises(SpoolError, match=r"the spool .* cannot be used: .*nothing was kept"):
        Spool(path)


def test_a_newer_format_is_left_alone(spool: Spool) -> None:
    with spool.file.connection() as connection:
        connection.execute("PRAGMA user_version = 99")
    with pytest.raises(SpoolError, match="newer version"):
        Spool(spool.path)
