"""``manage.py create_token``: makes a token for a bench script."""

from __future__ import annotations

from argparse import ArgumentParser, RawDescriptionHelpFormatter
from datetime import date, datetime, time
from typing import Any

from django.core.management.base import CommandError
from django.utils import timezone

from logbook.accounts.commands import create_token
from logbook.accounts.queries import user_named
from logbook.common.changes import Actor
from logbook.common.errors import DomainError
from logbook.common.management.site_command import SiteCommand

HELP = """Make a token for a script and print it, and nothing else, on standard output.

  TOKEN=$(python manage.py create_token --user maria --scopes read,record)

The token acts in the name of that person and may do what the person's role on each project allows,
within its scopes: read (look), record (readings and bench sessions), edit (the structure).
It is shown once and stored hashed; when it is lost, revoke it and make another."""


class Command(SiteCommand):
    """Thin door to ``create_token``."""

    help = HELP

    def create_parser(self, prog_name: str, subcommand: str, **options: Any) -> Any:
        """Return the parser; the help keeps its lines."""
        return super().create_parser(
            prog_name, subcommand, formatter_class=RawDescriptionHelpFormatter, **options
        )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the options."""
        parser.add_argument("--user", required=True, metavar="NAME", help="sign-in name of the person")
        parser.add_argument(
            "--scopes",
            default="read,record",
            metavar="LIST",
            help="read, record and edit, with commas between them (default: read,record)",
        )
        parser.add_argument(
            "--name", default="bench script", help="what the token is for (default: %(default)s)"
        )
        parser.add_argument(
            "--expires", type=date.fromisoformat, metavar="YYYY-MM-DD", help="last day it is good for"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Make the token and print it."""
        scopes = [scope.strip() for scope in options["scopes"].split(",") if scope.strip()]
        try:
            _, secret = create_token(
                actor=Actor(None, "command"),
                user=user_named(options["user"]),
                name=options["name"],
                scopes=scopes,
                expires_at=_end_of(options["expires"]),
            )
        except DomainError as error:
            allowed = "; ".join(f"allowed: {one.allowed}" for one in error.problems if one.allowed)
            raise CommandError(f"{error.message}. {allowed}".strip()) from error
        self.stdout.write(secret)


def _end_of(day: date | None) -> datetime | None:
    return timezone.make_aware(datetime.combine(day, time.max)) if day else None
