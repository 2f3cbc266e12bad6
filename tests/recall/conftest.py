"""The invented demo, loaded once for each module that asks for it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from tests.demo_kept import lay_demo, shared_folder


@pytest.fixture(scope="module")
def demo(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[None]:
    """Lay the demo below the transactions of the tests, and take it back at the end."""
    with django_db_blocker.unblock(), transaction.atomic():
        lay_demo(shared_folder(tmp_path_factory))
        yield
        transaction.set_rollback(True)
