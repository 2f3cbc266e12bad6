"""Commands say what is missing before they touch a database that is not set up."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("command", ["verify", "run_jobs", "show_setup_code", "load_demo"])
def test_it_asks_for_migrate_on_an_empty_database(command: str, tmp_path: Path) -> None:
    environment = {"PATH": os.environ["PATH"], "LOGBOOK_DATA": str(tmp_path)}
    ended = subprocess.run(
        [sys.executable, "manage.py", command],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.returncode == 1
    assert "run `manage.py migrate` first" in ended.stderr
    assert "Traceback" not in ended.stderr
