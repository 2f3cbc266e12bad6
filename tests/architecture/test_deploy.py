"""What lies in deploy/ fits the code: units systemd accepts, settings that exist, commands that can be run.

No container is built or started here: that the container file and the compose file work together is read,
not tried.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml
from django.core.management import get_commands

from tests.architecture.test_settings_documented import in_the_table, read_by_the_site

ROOT = Path(__file__).resolve().parents[2]
DEPLOY = ROOT / "deploy"
UNITS = sorted(DEPLOY.glob("*.service")) + sorted(DEPLOY.glob("*.timer"))
INSTALLED = "/opt/board-logbook"
SETTING = re.compile(r"\b(LOGBOOK_[A-Z_]+|DATABASE_URL|CELERY_BROKER_URL)\b")
CONTAINERFILE = DEPLOY / "Containerfile"
GUIDES = [ROOT / "docs" / "deployment.md", ROOT / "docs" / "operations.md"]
COMPOSE: dict[str, Any] = yaml.safe_load((DEPLOY / "compose.yaml").read_text())
OURS = {name: one for name, one in COMPOSE["services"].items() if one["image"] == COMPOSE["name"]}


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="systemd is not installed")
@pytest.mark.parametrize("unit", UNITS, ids=lambda path: path.name)
def test_systemd_accepts_the_unit(unit: Path, tmp_path: Path) -> None:
    """Read by systemd itself, with the code where this test runs instead of where it is installed."""
    programs = str(Path(sys.executable).parent)
    for one in UNITS:
        text = one.read_text().replace(f"{INSTALLED}/.venv/bin", programs).replace(INSTALLED, str(ROOT))
        (tmp_path / one.name).write_text(text)
    command = ["systemd-analyze", "verify", "--man=no", str(tmp_path / unit.name)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize(
    "file", [*sorted(DEPLOY.glob("*.*")), CONTAINERFILE, *GUIDES], ids=lambda path: path.name
)
def test_every_setting_named_exists(file: Path) -> None:
    """It is read by ``logbook/conf`` and stands in the table of README.md, which another test compares."""
    named = set(SETTING.findall(file.read_text()))
    assert named - in_the_table() == set()
    assert named - read_by_the_site() == set()


def commands() -> list[str]:
    """Return every command line of the units and of the compose file that is about our own code."""
    lines = [
        line.partition("=")[2].replace(f"{INSTALLED}/.venv/bin/", "")
        for unit in UNITS
        for line in unit.read_text().splitlines()
        if line.startswith("ExecStart=")
    ]
    for service in OURS.values():
        words = service.get("command", [])
        lines += words[-1].split(" && ") if words[:1] == ["sh"] else [" ".join(words)] if words else []
    started = re.findall(r'^CMD \["gunicorn".*\]$', CONTAINERFILE.read_text(), re.MULTILINE)
    return lines + [" ".join(yaml.safe_load(line.removeprefix("CMD "))) for line in started]


@pytest.mark.parametrize("line", commands())
def test_every_command_exists(line: str) -> None:
    words = line.split()
    if words[0] == "python":
        assert (ROOT / words[1]).is_file()
        assert words[2] in get_commands()
        return
    assert shutil.which(words[0], path=str(Path(sys.executable).parent))
    for module in [word for word in words if word.startswith("logbook.")]:
        assert (ROOT / Path(*module.split("."))).with_suffix(".py").is_file()


def test_everything_copied_into_the_container_is_there() -> None:
    copied = re.findall(r"^COPY (.+) \S+$", CONTAINERFILE.read_text(), re.MULTILINE)
    paths = [path for line in copied for path in line.split()]
    assert [path for path in paths if not (ROOT / path).exists()] == []


def test_the_container_runs_what_the_import_needs() -> None:
    """Every top-level package of the product is copied, and so are the templates."""
    copied = re.findall(r"^COPY (\w+) \w+$", CONTAINERFILE.read_text(), re.MULTILINE)
    assert {"api", "logbook", "templates"} <= set(copied)


def test_nothing_starts_before_what_it_needs() -> None:
    services = COMPOSE["services"]
    for name, service in services.items():
        for needed, how in service.get("depends_on", {}).items():
            assert needed in services, name
            if how["condition"] == "service_healthy":
                assert "healthcheck" in services[needed], (name, needed)


def test_no_secret_stands_in_the_compose_file() -> None:
    """Each comes from outside, and starting without one is refused (``:?``)."""
    text = (DEPLOY / "compose.yaml").read_text()
    values = re.findall(r"(?:PASSWORD|SECRET_KEY|TOKEN): (\S+)", text)
    assert values
    assert [value for value in values if not re.fullmatch(r"\$\{[A-Z_]+:\?\}", value)] == []


def test_only_the_site_is_reached_from_outside_and_only_from_this_machine() -> None:
    ports = {name: one["ports"] for name, one in COMPOSE["services"].items() if "ports" in one}
    assert ports == {"site": ["127.0.0.1:8000:8000"]}
