"""Imports go downwards only."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_the_import_contracts_are_kept() -> None:
    command = Path(sys.executable).with_name("lint-imports")
    result = subprocess.run(
        [command, "--no-cache"], cwd=ROOT, capture_output=True, text=True, timeout=240, check=False
    )
    assert result.returncode == 0, result.stdout
    assert "0 broken" in result.stdout
