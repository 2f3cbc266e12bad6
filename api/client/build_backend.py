"""Builds the wheel of the client with nothing but the standard library (PEP 517).

A bench computer often has no network: ``pip install ./api/client`` must fetch nothing, not even a build tool.
"""

from __future__ import annotations

import base64
import hashlib
import zipfile
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
PACKAGE = "board_logbook_client"
VERSION = "0.1.0"
INFO = f"{PACKAGE}-{VERSION}.dist-info"
METADATA = f"""Metadata-Version: 2.1
Name: board-logbook-client
Version: {VERSION}
Summary: Posts bench readings to a Board Logbook site and loses none when the site does not answer.
License: MIT
Requires-Python: >=3.9
Provides-Extra: visa
Requires-Dist: pyvisa>=1.13; extra == "visa"
Description-Content-Type: text/markdown
"""
WHEEL = "Wheel-Version: 1.0\nGenerator: board-logbook\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
ENTRY_POINTS = f"[console_scripts]\nboard-logbook = {PACKAGE}.command_line:main\n"


def build_wheel(
    wheel_directory: str, config_settings: Any = None, metadata_directory: str | None = None
) -> str:
    """Write the wheel into ``wheel_directory`` and return its name."""
    del config_settings, metadata_directory
    name = f"{PACKAGE}-{VERSION}-py3-none-any.whl"
    files = {f"{PACKAGE}/{one.name}": one.read_bytes() for one in sorted((HERE / PACKAGE).glob("*.py"))}
    files[f"{PACKAGE}/py.typed"] = b""
    files[f"{INFO}/METADATA"] = f"{METADATA}\n{(HERE / 'README.md').read_text('utf-8')}".encode()
    files[f"{INFO}/WHEEL"] = WHEEL.encode()
    files[f"{INFO}/entry_points.txt"] = ENTRY_POINTS.encode()
    files[f"{INFO}/RECORD"] = _record_of(files)
    with zipfile.ZipFile(Path(wheel_directory) / name, "w", zipfile.ZIP_DEFLATED) as wheel:
        for path, content in files.items():
            wheel.writestr(path, content)
    return name


def build_sdist(sdist_directory: str, config_settings: Any = None) -> str:
    """Refuse: the client is installed from its folder or from its wheel."""
    message = f"there is no source archive of {PACKAGE} (asked for in {sdist_directory}, {config_settings})"
    raise NotImplementedError(message)


def _record_of(files: dict[str, bytes]) -> bytes:
    """Return the list of files with their SHA-256, as installers check it."""
    lines = []
    for path, content in files.items():
        digest = base64.urlsafe_b64encode(hashlib.sha256(content).digest()).rstrip(b"=").decode()
        lines.append(f"{path},sha256={digest},{len(content)}\n")
    return ("".join(lines) + f"{INFO}/RECORD,,\n").encode()
