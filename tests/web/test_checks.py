"""Bad settings are named at the start, with what to do."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.conf import LazySettings
from django.core.checks import run_checks

from logbook.web.checks import check_debug, check_hosts


def test_the_settings_of_the_tests_are_good() -> None:
    assert [found for found in run_checks() if (found.id or "").startswith("logbook.")] == []


def test_a_data_folder_that_is_gone_stops_the_start(settings: LazySettings, tmp_path: Path) -> None:
    settings.LOGBOOK_DATA = tmp_path / "gone"
    found = [one for one in run_checks() if one.id == "logbook.E001"]
    assert len(found) == 1
    assert "LOGBOOK_DATA" in (found[0].hint or "")


@pytest.mark.parametrize(("hosts", "count"), [(["*"], 1), (["logbook.lab.example"], 0)])
def test_letting_every_host_in_is_warned_of(settings: LazySettings, hosts: list[str], count: int) -> None:
    settings.ALLOWED_HOSTS = hosts
    assert len(check_hosts()) == count


@pytest.mark.parametrize(("debug", "tls", "count"), [(True, True, 1), (True, False, 0), (False, True, 0)])
def test_debugging_in_public_stops_the_start(
    settings: LazySettings, debug: bool, tls: bool, count: int
) -> None:
    settings.DEBUG, settings.LOGBOOK_BEHIND_TLS = debug, tls
    assert len(check_debug()) == count
