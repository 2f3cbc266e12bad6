"""Makes the index of the search anew."""

from __future__ import annotations

import time
from typing import Any

from logbook.common.management.site_command import SiteCommand
from logbook.recall.search.following import make_anew


class Command(SiteCommand):
    """One thin door to making the index anew."""

    help = (
        "Make the index of the search anew from everything recorded. The search keeps it up to date by "
        "itself; this is for a site that was restored or moved, and after an update that says so."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        """Make it anew and say how much there is."""
        begun = time.monotonic()
        count = make_anew()
        self.stdout.write(f"{count} documents in {time.monotonic() - begun:.1f} s")
