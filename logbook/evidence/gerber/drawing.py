"""Has a bundle drawn by a process that may break down without harm."""

from __future__ import annotations

import importlib.util
import json
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from logbook.common.errors import DomainError
from logbook.core.board_picture import Frame

# A little more than the process allows itself, and less than the lease of a job.
SECONDS = 100


@dataclass(frozen=True)
class DrawnSide:
    """The picture of one side as PNG, and where it lies on the board."""

    side: str
    png: bytes
    frame: Frame


@dataclass(frozen=True)
class Drawn:
    """What was drawn, and whether the files hold the outline of the board."""

    sides: tuple[DrawnSide, ...]
    has_profile: bool


class NotDrawnError(DomainError):
    """A bundle that cannot be drawn."""

    code = "not_drawn"


@lru_cache(maxsize=1)
def is_available() -> bool:
    """Say whether the extra ``gerber`` is installed; nothing of it is loaded here."""
    return importlib.util.find_spec("gerbonara") is not None


def drawn(bundle: Path, layers: Mapping[str, str]) -> Drawn:
    """Return the sides of a board; ``layers`` names the layer of each file.

    Raises
    ------
    NotDrawnError
        The extra is missing, a file cannot be read, or it took too long or too much memory.
    """
    if not is_available():
        message = "Gerber files are not drawn here: ask who runs the site to install the extra gerber"
        raise NotDrawnError(message)
    with tempfile.TemporaryDirectory(prefix="logbook-gerber-") as folder:
        _run(bundle, layers, folder)
        return _found_in(Path(folder))


def _run(bundle: Path, layers: Mapping[str, str], folder: str) -> None:
    command = [sys.executable, "-m", "logbook.evidence.gerber.child"]
    command += [str(bundle), json.dumps(dict(layers)), folder]
    root = Path(__file__).resolve().parents[3]
    try:
        done = subprocess.run(  # noqa: S603 - our own module, with the path of a stored file
            command, cwd=root, env={}, capture_output=True, timeout=SECONDS, check=False
        )
    except subprocess.TimeoutExpired as error:
        message = f"drawing took longer than {SECONDS} s"
        raise NotDrawnError(message) from error
    if done.returncode != 0:
        lines = done.stderr.decode(errors="replace").strip().splitlines()
        reason = lines[-1][:300] if done.returncode == 1 and lines else "it took too much time or memory"
        message = f"the files cannot be drawn: {reason}"
        raise NotDrawnError(message)


def _found_in(folder: Path) -> Drawn:
    said = json.loads((folder / "drawn.json").read_text())
    scale = said["pixels_per_mm"]
    found = [
        DrawnSide(
            side,
            (folder / f"{side}.png").read_bytes(),
            Frame(scale, said[side]["left_mm"], said[side]["top_mm"], is_mirrored=side == "bottom"),
        )
        for side in ("top", "bottom")
        if side in said
    ]
    return Drawn(tuple(found), said["has_profile"])
