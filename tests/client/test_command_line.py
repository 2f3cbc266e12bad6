"""The command line, as a person at the bench types it, against the real site."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.client.serving import ROOT, Served
from tests.client.wire import PASS, REFUSE, Wire

pytestmark = pytest.mark.xdist_group("client")
Run = Callable[..., subprocess.CompletedProcess[str]]
READING = ("record", "tern", "0001", "RLD-1", "3.298", "V")


@pytest.fixture
def run(wire: Wire, site: Served, tmp_path: Path) -> Run:
    environment = os.environ | {
        "LOGBOOK_URL": wire.address,
        "LOGBOOK_TOKEN": site.token,
        "LOGBOOK_SPOOL": str(tmp_path / "spool.sqlite3"),
        "PYTHONPATH": str(ROOT / "api" / "client"),
    }

    def command(*arguments: str, **changed: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "board_logbook_client", *arguments],
            env=environment | changed, capture_output=True, text=True, timeout=60, check=False,
        )  # fmt: skip

    return command


def test_a_reading_prints_its_verdict(run: Run) -> None:
    done = run(*READING, "--expanded-uncertainty", "0.004", "--instrument", "DMM-1")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("pass - inside 3.234 … 3.366 V by 64 mV")


def test_an_instrument_out_of_calibration_is_named_beside_the_verdict(run: Run) -> None:
    done = run(*READING, "--instrument", "DMM-2")
    assert (done.returncode, done.stdout[:4]) == (0, "pass")
    assert done.stderr == "board-logbook: DMM-2 out of calibration since 2025-03-31\n"


@pytest.mark.parametrize("value", ["-1.2e-3", "-12", "-.5", "-12 mV"])
def test_a_negative_number_is_no_option(run: Run, value: str) -> None:
    done = run("record", "tern", "0001", "RLD-1", value, *([] if "V" in value else ["V"]))
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("fail - ")


def test_a_console_that_knows_few_signs_gets_the_verdict_too(run: Run) -> None:
    done = run(*READING, PYTHONIOENCODING="ascii")
    assert (done.returncode, done.stdout[:23]) == (0, "pass - inside 3.234 ? 3")


def test_a_rejected_one_is_shown_mended_and_sent_again(run: Run, site: Served) -> None:
    wrong = run("record", "tern", "0077", "RLD-1", "3.3", "V", "--key", "mend-1")
    assert wrong.returncode == 1
    shown = run("spool")
    assert shown.returncode == 1
    assert "rejected mend-1 tern 0077 RLD-1 3.3 V - board: " in shown.stdout
    site.run("-c", ADD_BOARD)
    assert run("retry", "mend-1").stdout.startswith("1 waiting again")
    sent = run("flush", "--wait", "5")
    assert (sent.returncode, sent.stdout) == (0, "0 waiting, 0 rejected\n")
    assert run("retry", "mend-1").returncode == 1


def test_what_is_dismissed_no_longer_fails_and_is_still_shown(run: Run) -> None:
    assert run(*READING[:2], "0078", *READING[3:], "--key", "wrong-1").returncode == 1
    assert run("dismiss", "wrong-1").stdout.startswith("1 dismissed")
    shown = run("spool")
    assert (shown.returncode, "wrong-1" in shown.stdout) == (0, False)
    assert "dismissed wrong-1" in run("spool", "--all").stdout
    assert run("dismiss", "wrong-1").returncode == 1


ADD_BOARD = """
import django
django.setup()
from logbook.accounts.models import User
from logbook.boards.commands import add_board
from logbook.common.changes import Actor
from logbook.projects.models import Project
project = Project.objects.get(slug="tern")
actor = Actor(User.objects.get(username="owner-tern"), "command")
add_board(actor=actor, project=project, revision=project.revisions.get(), serial="0077", state="in use")
"""


def test_without_a_network_it_says_that_it_waits(run: Run, wire: Wire) -> None:
    wire.always = REFUSE
    done = run(*READING)
    assert done.returncode == 3
    assert done.stdout.startswith("waiting - kept on this computer")
    shown = run("spool", LOGBOOK_TOKEN="")
    assert "1 waiting, 0 rejected, 0 sent" in shown.stdout
    assert "last trouble" in shown.stdout
    assert run("flush", "--wait", "0").returncode == 3
    wire.always = PASS
    assert run("flush", "--wait", "20").returncode == 0


def test_what_was_kept_for_an_old_address_can_be_moved(run: Run, wire: Wire) -> None:
    old = "http://127.0.0.1:9"
    assert run(*READING, LOGBOOK_URL=old).returncode == 3
    assert run("move", old).stdout.startswith("1 moved")
    assert run("flush").returncode == 0


def test_a_csv_file_posted_twice_is_stored_once(run: Run, site: Served, tmp_path: Path) -> None:
    file = tmp_path / "readings.csv"
    file.write_text(
        "board;target;value;unit;taken_at;note\n"
        "0001;RLD-1;3.31;V;2026-05-02T10:22:00Z;csv 0\n"
        "0001;NONE;3.31;V;2026-05-02T10:23:00Z;csv 1\n"
    )
    first = run("post-csv", "tern", str(file))
    assert first.returncode == 1
    assert "target: " in first.stdout
    again = run("post-csv", "tern", str(file), LOGBOOK_SPOOL=str(tmp_path / "other.sqlite3"))
    assert again.stdout.splitlines()[-1] == first.stdout.splitlines()[-1]
    assert [one["note"] for one in site.readings("csv ")] == ["csv 0"]


def test_a_bad_file_records_nothing(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "readings.csv"
    file.write_text("board,target,value,unit,key\n0001,RLD-1,3.3,V,k1\n0001,RLD-1,3.3,V\n")
    done = run("post-csv", "tern", str(file))
    assert done.returncode == 1
    assert "line 3: give key or taken_at" in done.stderr
    assert run("spool").stdout == ""


def test_untested_and_next_are_lists(run: Run) -> None:
    untested = run("untested", "plover", "0001")
    assert untested.returncode == 0
    lines = [line.split("\t")[:4] for line in untested.stdout.splitlines()]
    assert lines == [["RLD-1", "", "RLD", "never tried"], ["RLD-2", "", "RLD", "blocked"]]
    following = run("next", "plover", "0001", "--minutes", "30")
    assert following.returncode == 0
    assert following.stdout.startswith("RLD-1 on 0001, ")
    assert following.stderr == "board-logbook: DMM-2 out of calibration since 2025-03-31\n"


@pytest.mark.parametrize(
    ("changed", "complaint"),
    [
        ({"LOGBOOK_TOKEN": ""}, "set LOGBOOK_TOKEN"),
        ({"LOGBOOK_TOKEN": "two words"}, "set LOGBOOK_TOKEN"),
        ({"LOGBOOK_URL": ""}, "set LOGBOOK_URL"),
        ({"LOGBOOK_URL": "file:///etc/passwd"}, "is no address of a site"),
    ],
    ids=["no token", "blank", "no address", "file"],
)
def test_a_missing_setting_is_named(run: Run, changed: dict[str, str], complaint: str) -> None:
    done = run(*READING, **changed)
    assert done.returncode == 2
    assert complaint in done.stderr
