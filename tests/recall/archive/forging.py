"""Archives with something wrong about them, made from a good one."""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

Members = dict[str, bytes]


def forged(good: Path, change: Callable[[Members], None], *, path: Path, is_signed: bool = True) -> Path:
    """Return a copy with its members changed; ``is_signed`` gives each the hash the manifest should have."""
    with zipfile.ZipFile(good) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    change(members)
    if is_signed and "manifest.json" in members:
        says = json.loads(members["manifest.json"])
        says["members"] = {
            name: {"sha256": hashlib.sha256(data).hexdigest(), "size": len(data)}
            for name, data in members.items()
            if name != "manifest.json"
        }
        members["manifest.json"] = json.dumps(says).encode()
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return path


def in_manifest(**values: Any) -> Callable[[Members], None]:
    """Return a change of the manifest."""

    def change(members: Members) -> None:
        says = json.loads(members["manifest.json"]) | values
        members["manifest.json"] = json.dumps(says).encode()

    return change


def in_line(record: str, number: int = 0, **values: Any) -> Callable[[Members], None]:
    """Return a change of one line of a record type."""

    def change(members: Members) -> None:
        name = f"data/{record}.jsonl"
        lines = members[name].splitlines()
        lines[number] = json.dumps(json.loads(lines[number]) | values).encode()
        members[name] = b"\n".join(lines) + b"\n"

    return change
