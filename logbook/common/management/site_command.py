"""A command that needs the tables of the site."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.db.migrations.executor import MigrationExecutor


class SiteCommand(BaseCommand):
    """Refuses, before doing anything, to work on a database that is not set up or not up to date."""

    def execute(self, *args: Any, **options: Any) -> str | None:
        """Check the tables, then do what the command does."""
        executor = MigrationExecutor(connection)
        waiting = executor.migration_plan(executor.loader.graph.leaf_nodes())
        if waiting:
            message = (
                f"the database lacks {len(waiting)} migrations: run `manage.py migrate` first, "
                "on a site with data after a backup"
            )
            raise CommandError(message)
        return super().execute(*args, **options)
