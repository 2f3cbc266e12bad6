"""A migration leaves the processes of the version before it able to read and write (see DEVELOPERS.md)."""

from __future__ import annotations

from importlib import import_module

import pytest
from django.apps import apps
from django.db import migrations, models
from django.db.migrations import Migration
from django.db.migrations.loader import MigrationLoader

# The last migration of each app that was made before the first release: no older version ran beside it.
BEFORE_THE_FIRST_RELEASE = {
    "accounts": 1, "bench": 3, "boards": 3, "calculations": 1, "common": 1, "evidence": 2,
    "findings": 2, "lessons": 1, "planning": 3, "projects": 5, "recall": 4,
}  # fmt: skip
# What an older process trips over. Each is the second half of a change in two releases: first the code stops
# using it, and only the release after that takes it away, saying in CONTRACTS of the migration which did.
CONTRACTING = (
    migrations.RenameField,
    migrations.RenameModel,
    migrations.RemoveField,
    migrations.DeleteModel,
    migrations.AlterField,
    migrations.AlterModelTable,
    migrations.RunSQL,
)


def problems_of(migration: Migration) -> list[str]:
    """Return what of a migration would hurt processes of the version before it."""
    made = {one.name.lower() for one in migration.operations if isinstance(one, migrations.CreateModel)}
    has_note = bool(getattr(import_module(type(migration).__module__), "CONTRACTS", ""))
    found: list[str] = []
    for one in migration.operations:
        model = str(getattr(one, "model_name", "")).lower()
        if isinstance(one, CONTRACTING) and model not in made and not has_note:
            found.append(f"{type(one).__name__} of {model or one.describe()} needs CONTRACTS")
        if (
            isinstance(one, migrations.AddField)
            and model not in made
            and not _older_code_can_insert(one.field)
        ):
            found.append(f"AddField {model}.{one.name} needs null=True or db_default")
        if isinstance(one, migrations.AddIndex | migrations.AddConstraint) and model not in made:
            found.append(
                f"{type(one).__name__} on {model} locks the table: AddIndexConcurrently, or NOT VALID first"
            )
    return found


def _older_code_can_insert(field: models.Field[object, object]) -> bool:
    return field.null or field.many_to_many or field.db_default is not models.NOT_PROVIDED


def later_migrations() -> list[tuple[str, str]]:
    """Return the migrations that must keep the policy."""
    ours = {one.label for one in apps.get_app_configs() if one.name.startswith("logbook.")}
    names = MigrationLoader(None).disk_migrations
    return sorted(
        (app, name)
        for app, name in names
        if app in ours and int(name[:4]) > BEFORE_THE_FIRST_RELEASE.get(app, 0)
    )


def test_every_migration_since_the_first_release_keeps_the_policy() -> None:
    disk = MigrationLoader(None).disk_migrations
    found = {f"{app}.{name}": problems_of(disk[app, name]) for app, name in later_migrations()}
    assert {name: problems for name, problems in found.items() if problems} == {}


NULLABLE = models.IntegerField(null=True)
HARMLESS = {
    "new table": [migrations.CreateModel("Thing", [("id", models.BigAutoField(primary_key=True))])],
    "new column that may be empty": [migrations.AddField("board", "colour", NULLABLE)],
    "new column filled by the database": [
        migrations.AddField("board", "colour", models.IntegerField(db_default=0))
    ],
    "index on a table of its own": [
        migrations.CreateModel("Thing", [("id", models.BigAutoField(primary_key=True))]),
        migrations.AddIndex("thing", models.Index(fields=["id"], name="thing_id")),
    ],
}
HARMFUL = {
    "renamed column": migrations.RenameField("board", "note", "remark"),
    "renamed table": migrations.RenameModel("Board", "Item"),
    "removed column": migrations.RemoveField("board", "note"),
    "removed table": migrations.DeleteModel("Board"),
    "altered column": migrations.AlterField("board", "note", models.TextField()),
    "column that must be given": migrations.AddField("board", "colour", models.IntegerField(default=0)),
    "index on a table in use": migrations.AddIndex("board", models.Index(fields=["id"], name="board_id")),
    "statement nobody can check": migrations.RunSQL("SELECT 1"),
}


def migration_of(operations: list[object]) -> Migration:
    made = Migration("0099_of_a_test", "boards")
    made.operations = operations  # type: ignore[assignment]
    return made


@pytest.mark.parametrize("operations", HARMLESS.values(), ids=HARMLESS.keys())
def test_what_older_processes_do_not_notice_passes(operations: list[object]) -> None:
    assert problems_of(migration_of(operations)) == []


@pytest.mark.parametrize("operation", HARMFUL.values(), ids=HARMFUL.keys())
def test_what_older_processes_trip_over_is_named(operation: object) -> None:
    assert len(problems_of(migration_of([operation]))) == 1


def test_the_last_migrations_before_the_release_are_there() -> None:
    """Else a number above could be a slip that lets later migrations through."""
    names = MigrationLoader(None).disk_migrations
    last = {
        app: max(int(name[:4]) for label, name in names if label == app) for app in BEFORE_THE_FIRST_RELEASE
    }
    assert {app: number for app, number in BEFORE_THE_FIRST_RELEASE.items() if number > last[app]} == {}
