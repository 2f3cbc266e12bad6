"""The client installs alone, without a network, and is written for Python 3.9 and its library alone."""

from __future__ import annotations

import ast
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.client.serving import ROOT

CLIENT = ROOT / "api" / "client"
FILES = sorted(CLIENT.rglob("*.py"))
OWN = {"board_logbook_client", "cable"}
# Only Instrument needs it, and says how to get it.
OPTIONAL = {"pyvisa"}
NEWER_THAN_39 = {"tomllib", "_typeshed"}


def oldest_python() -> str:
    """Return the oldest Python from 3.9 on that runs on this machine."""
    kept = sorted(Path.home().glob(".pyenv/versions/3.*/bin/python3"))
    for version in ("3.9", "3.10", "3.11"):
        named = [str(path) for path in kept if path.parts[-3].startswith(f"{version}.")]
        for command in (*named, shutil.which(f"python{version}")):
            script = "import sys, venv; print('%d.%d' % sys.version_info[:2])"
            done = command and subprocess.run(
                [command, "-c", script], capture_output=True, text=True, check=False
            )
            if command and done and done.stdout.strip() == version:
                return command
    return sys.executable


def imported(path: Path) -> set[str]:
    """Return the packages a file imports, inside functions too."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, path
            found.add(str(node.module).split(".")[0])
    return found


def test_there_are_files_to_look_at() -> None:
    assert len(FILES) > 10


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_it_is_written_for_python_39_and_its_library(path: Path) -> None:
    tree = ast.parse(path.read_text(), feature_version=(3, 9))
    assert not [node for node in ast.walk(tree) if isinstance(node, ast.Match)]
    assert imported(path) - OWN - OPTIONAL <= sys.stdlib_module_names - NEWER_THAN_39


def test_only_instruments_import_something_optional() -> None:
    assert [path.name for path in FILES if imported(path) & OPTIONAL] == ["instruments.py"]


@pytest.mark.xdist_group("client")
def test_it_installs_from_its_folder_and_runs(tmp_path: Path) -> None:
    """No index, no build tool: the folder is all there is."""
    folder = tmp_path / "client"
    shutil.copytree(CLIENT, folder, ignore=shutil.ignore_patterns("__pycache__"))
    subprocess.run([oldest_python(), "-m", "venv", str(tmp_path / "env")], check=True, timeout=120)
    scripts = tmp_path / "env" / "bin"
    installed = subprocess.run(
        [scripts / "python", "-m", "pip", "install", "--no-index", str(folder)],
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert installed.returncode == 0, installed.stderr
    environment = {
        "LOGBOOK_URL": "http://127.0.0.1:9",
        "LOGBOOK_TOKEN": "none",
        "LOGBOOK_SPOOL": str(tmp_path / "spool.sqlite3"),
        "PYTHONUTF8": "1",
    }
    help_text = subprocess.run(
        [scripts / "board-logbook", "--help"], capture_output=True, text=True, env=environment, check=True
    )
    assert "LOGBOOK_SPOOL" in help_text.stdout
    command = [scripts / "board-logbook", "record", "tern", "0001", "RLD-1", "3.3", "V"]
    done = subprocess.run(command, capture_output=True, text=True, env=environment, check=False)
    assert (done.returncode, done.stdout.split(" - ")[0]) == (3, "waiting")
    checked = subprocess.run(
        [scripts / "python", "-W", "error", "-m", "pip", "show", "-f", "board-logbook-client"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert "board_logbook_client/py.typed" in checked.stdout
