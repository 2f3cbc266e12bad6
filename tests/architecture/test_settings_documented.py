"""The table of settings in README.md names what the site reads, no more and no less."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
NAME = re.compile(r'"(LOGBOOK_[A-Z_]+|DATABASE_URL|CELERY_BROKER_URL)"')


def read_by_the_site() -> set[str]:
    texts = [path.read_text() for path in sorted((ROOT / "logbook" / "conf").glob("*.py"))]
    return {name for text in texts for name in NAME.findall(text)}


def in_the_table() -> set[str]:
    readme = (ROOT / "README.md").read_text()
    section = readme.split("### Settings")[1].split("\n###")[0]
    return set(re.findall(r"^\| `([A-Z_]+)` \|", section, re.MULTILINE))


def test_every_setting_that_is_read_is_documented() -> None:
    assert read_by_the_site() - in_the_table() == set()


def test_every_documented_setting_is_read() -> None:
    assert in_the_table() - read_by_the_site() == set()
