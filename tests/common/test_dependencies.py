"""Ready means: every single thing the site needs can be used now."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from pytest_django import Settings

from logbook.common import broker, dependencies

UNUSED_PORT = 1


@pytest.fixture(autouse=True)
def _asked_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(dependencies, "_last", None)


@pytest.fixture
def _own_celery() -> Iterator[None]:
    broker.celery_app.cache_clear()
    yield
    broker.celery_app.cache_clear()


@pytest.mark.django_db
def test_a_site_that_can_serve_is_ready() -> None:
    assert dependencies.dependencies_ready() == dict.fromkeys(
        ["database", "migrations", "storage", "broker", "bucket"], True
    )


@pytest.mark.django_db
def test_a_migration_that_is_missing_is_noticed() -> None:
    MigrationRecorder(connection).record_unapplied("common", "0001_initial")
    assert dependencies.dependencies_ready()["migrations"] is False


@pytest.mark.django_db
def test_tables_ahead_of_this_version_are_fine() -> None:
    """While versions change over, the older processes go on serving on the newer tables."""
    MigrationRecorder(connection).record_applied("common", "9999_of_the_next_version")
    assert dependencies.dependencies_ready()["migrations"] is True


@pytest.mark.django_db
def test_a_data_folder_that_cannot_be_written_is_noticed(settings: Settings, tmp_path: Path) -> None:
    settings.LOGBOOK_DATA = tmp_path / "gone"
    assert dependencies.dependencies_ready()["storage"] is False


@pytest.mark.django_db
@pytest.mark.usefixtures("_own_celery")
@pytest.mark.parametrize("scheme", ["redis", "amqp"])
def test_a_broker_out_of_reach_is_noticed(settings: Settings, scheme: str) -> None:
    settings.CELERY_BROKER_URL = f"{scheme}://127.0.0.1:{UNUSED_PORT}//"
    assert dependencies.dependencies_ready()["broker"] is False


@pytest.mark.django_db
def test_asking_often_looks_once(monkeypatch: pytest.MonkeyPatch) -> None:
    looks: list[int] = []
    monkeypatch.setattr(dependencies, "_checks", {"counted": lambda: looks.append(1)})
    assert dependencies.dependencies_ready() == dependencies.dependencies_ready() == {"counted": True}
    assert looks == [1]
