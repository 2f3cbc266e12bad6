"""Decodes the pictures of phones in a process of its own.

The decoder is a large body of C code that reads what strangers send: here it can neither fill the memory of
the site nor run for ever, and when it breaks, only this process ends. Run as
``python -m logbook.evidence.heic FILE MOST_PIXELS``; writes the upright picture as PPM to its output.
"""

from __future__ import annotations

import importlib.util
import resource
import subprocess
import sys
from functools import lru_cache
from pathlib import Path

MEMORY_BYTES = 2_000_000_000
SECONDS = 30
TOO_MANY_PIXELS = 3
BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1")


def is_heic(start: bytes) -> bool:
    """Say whether a file begins as a picture of a phone does."""
    return start[4:8] == b"ftyp" and start[8:12] in BRANDS


@lru_cache(maxsize=1)
def is_available() -> bool:
    """Say whether the extra ``heif`` is installed; nothing of it is loaded here."""
    return importlib.util.find_spec("pillow_heif") is not None


def ppm_of(path: Path, most_pixels: int) -> bytes:
    """Return a picture as PPM.

    Raises
    ------
    OverflowError
        It has too many pixels.
    ValueError
        It cannot be decoded within the limits.
    """
    command = [sys.executable, "-m", "logbook.evidence.heic", str(path), str(most_pixels)]
    root = Path(__file__).resolve().parents[2]
    try:
        done = subprocess.run(  # noqa: S603 - our own module, with the path of a stored file
            command, cwd=root, env={}, capture_output=True, timeout=SECONDS, check=False
        )
    except subprocess.TimeoutExpired as error:
        message = f"it took longer than {SECONDS} s"
        raise ValueError(message) from error
    if done.returncode == TOO_MANY_PIXELS:
        raise OverflowError
    if done.returncode != 0:
        lines = done.stderr.decode(errors="replace").strip().splitlines()
        raise ValueError(lines[-1][:200] if lines else "the decoder broke down")
    return done.stdout


def _decode(path: str, most_pixels: int) -> int:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    import pillow_heif
    from PIL import Image, ImageOps

    Image.MAX_IMAGE_PIXELS = None
    pillow_heif.register_heif_opener(thumbnails=False)
    with Image.open(path, formats=["HEIF"]) as image:
        if image.width * image.height > most_pixels:
            return TOO_MANY_PIXELS
        ImageOps.exif_transpose(image).convert("RGB").save(sys.stdout.buffer, "PPM")
    return 0


if __name__ == "__main__":
    sys.exit(_decode(sys.argv[1], int(sys.argv[2])))
