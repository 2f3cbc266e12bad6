"""Do the background work that waits; for cron, or as a process of its own."""

from __future__ import annotations

import time
from typing import Any

from django.core.management.base import CommandParser

from logbook.common.jobs import run_waiting
from logbook.common.management.site_command import SiteCommand

PAUSE_S = 1.0


class Command(SiteCommand):
    help = (
        "Do every background job that nobody is at work on, also those whose worker was killed, and end. "
        "Run it every few minutes from cron beside a broker; a job is never done twice. "
        "With --loop it goes on for ever and takes the place of the thread in the site's own process."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--loop", action="store_true", help="go on until stopped")

    def handle(self, *args: Any, **options: Any) -> None:
        held = run_waiting()
        while options["loop"]:
            time.sleep(PAUSE_S)
            held = run_waiting()
        if held is not None:
            self.stdout.write(f"some jobs are held by others; the first lease ends in {held:.0f} s")
