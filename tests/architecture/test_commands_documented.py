"""Every management command of ours has help a stranger can follow, and its row in README.md."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.core.management import get_commands, load_command_class

ROOT = Path(__file__).resolve().parents[2]
OURS = {name: app for name, app in get_commands().items() if str(app).startswith(("logbook.", "api"))}
FROM_DJANGO = {
    "help", "version", "verbosity", "settings", "pythonpath", "traceback", "no_color", "force_color",
    "skip_checks",
}  # fmt: skip


def in_the_table() -> set[str]:
    section = (ROOT / "README.md").read_text().split("### Commands")[1].split("\n##")[0]
    return set(re.findall(r"^\| `manage\.py ([a-z_]+)", section, re.MULTILINE))


def test_the_table_names_every_command_and_no_other() -> None:
    assert in_the_table() == set(OURS)


@pytest.mark.parametrize("name", sorted(OURS))
def test_a_command_says_what_it_does_and_what_its_arguments_are(name: str) -> None:
    command = load_command_class(str(OURS[name]), name)
    assert len(command.help.split()) >= 5
    own = [
        action
        for action in command.create_parser("manage.py", name)._actions
        if action.dest not in FROM_DJANGO
    ]
    assert [action.dest for action in own if not action.help] == []
