"""Shows the one-time code that lets somebody at another machine make the first owner."""

from __future__ import annotations

from logbook.accounts.queries import is_set_up
from logbook.accounts.setup_code import setup_code
from logbook.common.management.site_command import SiteCommand


class Command(SiteCommand):
    """Print the code, or say that it is no longer needed."""

    help = (
        "Prints the one-time code for making the first owner of an empty site. Open /setup/ in a browser: "
        "on this machine no code is asked for, from another machine type this one. "
        "Once the site has an owner there is no code any more."
    )

    def handle(self, *_arguments: object, **_options: object) -> None:
        """Print the code."""
        if is_set_up():
            self.stdout.write("The site already has an owner; no code is needed.")
        else:
            self.stdout.write(f"Code for making the first owner at /setup/: {setup_code()}")
