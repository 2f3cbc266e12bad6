"""Entity tags of what is derived (RFC 9110, 8.8.3): weak, for equal pages need not be equal in bytes."""

from __future__ import annotations

import hashlib
from functools import cache

from django.conf import settings
from django.utils import timezone
from django.utils.crypto import salted_hmac
from django.utils.http import parse_etags

from logbook.common import clock

CODE = ("logbook", "api", "templates")
CODE_KINDS = {".py", ".html", ".json"}
# The browser asks each time, and nothing between it and the site keeps a copy.
ASK_AGAIN = "private, no-cache"


def entity_tag(*seen: object) -> str:
    """Return the tag of an answer that follows from ``seen``, the day and the code alone.

    It is keyed by the secret of the site: nobody can guess the tag of what was not shown to them.
    """
    day = timezone.localtime(clock.now()).date()
    known = (code_version(), settings.TIME_ZONE, settings.LOGBOOK_PUBLIC_URL, day, *seen)
    return f'W/"{salted_hmac("unchanged", repr(known), algorithm="sha256").hexdigest()[:32]}"'


def is_known(tag: str, if_none_match: str | None) -> bool:
    """Say whether the caller has the version ``tag`` names; ``*`` names none, for it was shown to nobody."""
    return tag.removeprefix("W/") in [known.removeprefix("W/") for known in parse_etags(if_none_match or "")]


@cache
def code_version() -> str:
    """Return a digest of the code, templates and locked packages; read once a process."""
    digest = hashlib.sha256()
    files = [path for name in CODE for path in (settings.BASE_DIR / name).rglob("*")]
    code = sorted(path for path in files if path.suffix in CODE_KINDS)
    for path in [*code, *settings.BASE_DIR.glob("requirements.lock")]:
        digest.update(f"{path.relative_to(settings.BASE_DIR)}\n".encode() + path.read_bytes())
    return digest.hexdigest()
