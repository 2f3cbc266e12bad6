"""The client's README shows a script that runs and names every command."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from board_logbook_client.command_line import _parser

from tests.client.serving import ROOT, Served

pytestmark = pytest.mark.xdist_group("client")
README = (ROOT / "api" / "client" / "README.md").read_text()
BENCH = ROOT / "api" / "client" / "examples" / "simulated_bench.yaml"


def test_its_script_measures_and_walks_through_the_plan(site: Served, tmp_path: Path) -> None:
    found = re.search(r"```python\n(.*?)```", README, re.DOTALL)
    assert found is not None
    text = found[1].replace("saltlark", "wren").replace("0006", "0001")
    text = text.replace('"TCPIP::192.0.2.7::INSTR"', f'"TCPIP::meter::INSTR", library="{BENCH}@sim"')
    environment = os.environ | {
        "LOGBOOK_URL": site.address,
        "LOGBOOK_TOKEN": site.token,
        "LOGBOOK_SPOOL": str(tmp_path / "spool.sqlite3"),
        "PYTHONPATH": str(ROOT / "api" / "client"),
    }
    done = subprocess.run(
        [sys.executable, "-c", text], env=environment, input="3.3 V\n" * 50, capture_output=True, text=True,
        check=False, timeout=120,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("pass - inside 3.234 … 3.366 V")


def test_its_table_names_every_command_and_no_other() -> None:
    (commands,) = [one for one in _parser()._actions if one.choices]
    named = re.findall(r"^\| `board-logbook ([a-z-]+)", README, re.MULTILINE)
    assert set(named) == set(commands.choices or ())
    assert len(named) == len(set(named))
