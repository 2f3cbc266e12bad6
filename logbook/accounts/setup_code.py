"""The one-time code with which somebody at another machine may make the first owner.

It lies in the data folder, readable by the server's own account only, and is gone once used.
"""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from django.conf import settings
from django.utils.crypto import constant_time_compare


def _file() -> Path:
    return Path(settings.LOGBOOK_DATA) / "setup-code"


def setup_code() -> str:
    """Return the code, made on first demand."""
    try:
        descriptor = os.open(_file(), os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return _file().read_text().strip()
    with os.fdopen(descriptor, "w") as stream:
        stream.write("-".join(secrets.token_hex(3) for _ in range(4)))
    return _file().read_text().strip()


def is_setup_code(given: str) -> bool:
    """Say whether ``given`` is the code; never true when no code was made."""
    try:
        code = _file().read_text().strip()
    except FileNotFoundError:
        return False
    return bool(code) and constant_time_compare(given.strip(), code)


def forget_setup_code() -> None:
    """Remove the code: the first owner exists."""
    _file().unlink(missing_ok=True)
