"""Checks of the settings at the start, beyond what cannot be read at all. Each says what to do."""

from __future__ import annotations

import os
from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, register
from django.core.checks import Warning as Caution


@register()
def check_data_folder(**_given: Any) -> list[CheckMessage]:
    """Refuse a data folder in which nothing can be kept."""
    folder = settings.LOGBOOK_DATA
    if os.access(folder, os.W_OK | os.X_OK):
        return []
    hint = "Give the account of the server the right to write there, or name another folder in LOGBOOK_DATA."
    return [Error(f"The data folder {folder} cannot be written.", hint=hint, id="logbook.E001")]


@register()
def check_hosts(**_given: Any) -> list[CheckMessage]:
    """Warn when every host name is answered: a page of elsewhere could then pass for this site."""
    if "*" not in settings.ALLOWED_HOSTS:
        return []
    hint = "List the names under which people reach the site, such as logbook.lab.example."
    return [Caution("LOGBOOK_ALLOWED_HOSTS lets every name in.", hint=hint, id="logbook.W001")]


@register()
def check_debug(**_given: Any) -> list[CheckMessage]:
    """Refuse to show the inside of the site to others."""
    if not (settings.DEBUG and settings.LOGBOOK_BEHIND_TLS):
        return []
    hint = "Leave LOGBOOK_DEBUG out on a site that others reach: its error pages show settings and data."
    return [Error("LOGBOOK_DEBUG is on behind TLS.", hint=hint, id="logbook.E002")]
