"""Whether this process can serve: database, tables, evidence storage and, where one is set, the broker.

Rule: the answer names what was looked at and says ready or not, nothing else; why stands in the log.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable

import structlog
from django.conf import settings
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from logbook.common import broker

Check = Callable[[], None]
logger = structlog.stdlib.get_logger(__name__)
# Anybody may ask, so asking often must not become a load on the broker or the bucket.
KEPT_S = 1.0

_checks: dict[str, Check] = {}
_used: dict[str, Callable[[], bool]] = {}
_last: tuple[float, dict[str, bool]] | None = None


class NotReadyError(Exception):
    """Something the site needs is there but cannot be used yet."""


def register(name: str, check: Check, is_used: Callable[[], bool] = lambda: True) -> None:
    """Add a check, which raises where the site cannot serve; called by the apps when the site starts."""
    _checks[name] = check
    _used[name] = is_used


def is_used(name: str) -> bool:
    """Say whether the settings name such a thing at all."""
    return _used[name]()


def dependencies_ready() -> dict[str, bool]:
    """Return for each thing the site needs whether it is ready; at most a second old."""
    global _last  # noqa: PLW0603 - one answer a process
    now = time.monotonic()
    if _last is None or now - _last[0] > KEPT_S:
        _last = (now, {name: _holds(name, check) for name, check in _checks.items()})
    return _last[1]


def _holds(name: str, check: Check) -> bool:
    try:
        check()
    except Exception as error:  # noqa: BLE001 - whatever went wrong, the site is not ready
        logger.warning("not ready", check=name, reason=f"{type(error).__name__}: {error}")
        return False
    return True


def database_answers() -> None:
    """Ask the database something."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        cursor.fetchone()


def tables_are_up_to_date() -> None:
    """Raise while a migration that this version of the site needs is missing. Tables ahead of it are fine."""
    executor = MigrationExecutor(connection)
    waiting = executor.migration_plan(executor.loader.graph.leaf_nodes())
    if waiting:
        message = f"{len(waiting)} migrations are missing: run manage.py migrate"
        raise NotReadyError(message)


def data_can_be_written() -> None:
    """Write into the data folder and take it away again."""
    with tempfile.TemporaryFile(dir=settings.LOGBOOK_DATA) as probe:
        probe.write(b"ready")
        probe.flush()


def broker_answers() -> None:
    """Open a connection to the broker, where one is set."""
    if not settings.CELERY_BROKER_URL:
        return
    with broker.celery_app().connection_for_write() as link:
        link.ensure_connection(max_retries=1, timeout=settings.CELERY_BROKER_CONNECTION_TIMEOUT)


register("database", database_answers)
register("migrations", tables_are_up_to_date)
register("storage", data_can_be_written)
register("broker", broker_answers, lambda: bool(settings.CELERY_BROKER_URL))
