"""``manage.py create_user``: adds a person who can sign in."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from getpass import getpass
from typing import Any

from django.core.management.base import CommandError

from logbook.accounts.commands import add_user
from logbook.common.changes import Actor
from logbook.common.errors import DomainError
from logbook.common.management.site_command import SiteCommand


class Command(SiteCommand):
    """Thin door to ``add_user``."""

    help = (
        "Add a person who can sign in. The password is asked for, or read from standard input when that "
        "is not a terminal: echo a-long-password | python manage.py create_user maria"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the argument."""
        parser.add_argument("name", help="the sign-in name")

    def handle(self, *args: Any, **options: Any) -> None:
        """Add the person."""
        password = getpass("Password: ") if sys.stdin.isatty() else sys.stdin.readline().rstrip("\r\n")
        try:
            user = add_user(actor=Actor(None, "command"), username=options["name"], password=password)
        except DomainError as error:
            raise CommandError(error.message) from error
        self.stdout.write(f"{user.username} can sign in now")
