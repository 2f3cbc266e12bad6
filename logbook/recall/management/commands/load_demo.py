"""Loads the invented demo into this site."""

from __future__ import annotations

import time
from typing import Any

from django.core.management.base import CommandError

from logbook.common.errors import DomainError
from logbook.common.management.site_command import SiteCommand
from logbook.recall.demo import DEMO_PASSWORD
from logbook.recall.demo.replay import demo_is_loaded, load_demo


class Command(SiteCommand):
    """One thin door to the replay of the demo."""

    help = (
        "Load the invented demo: two projects, their boards, targets and readings from 2020 to 2024. "
        "Everything goes through the commands that real data goes through, in one transaction. "
        "A site that holds the demo already is left as it is. The demo's people (iv, tl, wh) share a "
        "password that is printed, so never load it into a site that strangers can reach."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        """Load the demo, or say that it is there."""
        if demo_is_loaded():
            self.stdout.write("The demo is here already; nothing was changed.")
            self._say_how_to_sign_in()
            return
        begun = time.monotonic()
        try:
            loaded = load_demo()
        except DomainError as error:
            raise CommandError(error.message) from error
        seconds = time.monotonic() - begun
        self.stdout.write(
            f"Loaded {loaded.projects} invented projects with {loaded.targets} targets and "
            f"{loaded.readings} readings in {seconds:.1f} s."
        )
        self._say_how_to_sign_in()

    def _say_how_to_sign_in(self) -> None:
        self.stdout.write(f"Sign in as iv, tl or wh with the password {DEMO_PASSWORD}")
