"""Pictures: what they are, and the versions the site shows.

Rule: a picture as it was given is kept but never shown. What is shown was decoded, turned upright and
encoded anew, so that neither the place where it was taken nor anything hidden behind it leaves the site.
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageOps, UnidentifiedImageError

from logbook.common.errors import InvalidInputError
from logbook.evidence import heic

MOST_PIXELS = 50_000_000
MEDIA_TYPES = {
    "PNG": "image/png",
    "JPEG": "image/jpeg",
    "WEBP": "image/webp",
    "GIF": "image/gif",
    "TIFF": "image/tiff",
    "HEIF": "image/heic",
}
# Phones write several pictures into one JPEG file; the first is the picture.
SEVERAL_IN_ONE = {"MPO": "JPEG"}
DECODED = "PPM"
SHOWN_TYPE = "image/webp"
# Suffix of each version and its longest side; the page shows the largest at the width of a laptop.
SIDES = {"320.webp": 320, "1280.webp": 1280, "full.webp": 16_000}
QUALITY = 88
# The tag of Exif 2.32 that says how a picture lies, and its values that swap width and height.
ORIENTATION, LYING = 0x0112, {5, 6, 7, 8}

Image.MAX_IMAGE_PIXELS = MOST_PIXELS
# Pillow only warns between its limit and twice that.
warnings.filterwarnings("error", category=Image.DecompressionBombWarning)


@dataclass(frozen=True)
class Picture:
    """What a picture says it is."""

    media_type: str
    width: int
    height: int


def formats() -> tuple[str, ...]:
    """Return the formats that are read; HEIC only where the extra ``heif`` is installed."""
    return tuple(name for name in MEDIA_TYPES if name != "HEIF" or heic.is_available())


def picture_in(path: Path) -> Picture:
    """Return what the picture in a file is, having decoded it, a JPEG at an eighth of its size.

    Raises
    ------
    InvalidInputError
        It is none of the formats read, damaged, or has too many pixels.
    """
    with _opened(path) as image:
        # What a phone wrote arrives decoded; see ``heic``.
        name = "HEIF" if image.format == DECODED else image.format or ""
        found = Picture(MEDIA_TYPES[SEVERAL_IN_ONE.get(name, name)], image.width, image.height)
        image.draft("RGB", (max(image.width // 8, 1), max(image.height // 8, 1)))
        _load(image)
        return found


def upright_size(path: Path) -> tuple[int, int]:
    """Return width and height of a picture as it is shown."""
    with _opened(path) as image:
        lies_on_its_side = image.getexif().get(ORIENTATION, 1) in LYING
        return (image.height, image.width) if lies_on_its_side else image.size


def versions_of(path: Path) -> Iterator[tuple[str, bytes]]:
    """Yield suffix and bytes of each version to show: upright, without any data about the taking."""
    with _opened(path) as image:
        _load(image)
        clean = _clean(image)
    # From the largest down, each made from the one before.
    for suffix, side in sorted(SIDES.items(), key=lambda entry: -entry[1]):
        clean.thumbnail((side, side), Image.Resampling.LANCZOS)
        stream = io.BytesIO()
        clean.save(stream, "WEBP", quality=QUALITY, method=2)
        yield suffix, stream.getvalue()


def _load(image: Image.Image) -> None:
    try:
        image.load()
    except (OSError, ValueError, SyntaxError) as error:
        message = f"the picture is damaged: {error}"
        raise InvalidInputError.of("file", message, code="damaged") from error


def _clean(image: Image.Image) -> Image.Image:
    """Return the pixels, upright, in a new image that carries nothing else."""
    upright = ImageOps.exif_transpose(image)
    has_alpha = "A" in upright.getbands() or "transparency" in upright.info
    pixels = upright.convert("RGBA" if has_alpha else "RGB")
    clean = Image.new(pixels.mode, pixels.size)
    clean.paste(pixels)
    return clean


@contextmanager
def _opened(path: Path) -> Iterator[Image.Image]:
    try:
        image = _open(path)
    except (Image.DecompressionBombWarning, Image.DecompressionBombError) as error:
        raise _too_many() from error
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError) as error:
        message = "the picture cannot be read: it is damaged or of another format"
        allowed = ", ".join(formats())
        raise InvalidInputError.of("file", message, allowed=allowed, code="unreadable") from error
    with image:
        if image.width * image.height > MOST_PIXELS:
            raise _too_many(f"{image.width} × {image.height}")
        yield image


def _open(path: Path) -> Image.Image:
    with path.open("rb") as stream:
        start = stream.read(16)
    if not heic.is_heic(start):
        return Image.open(path, formats=[name for name in formats() if name != "HEIF"])
    try:
        return Image.open(io.BytesIO(heic.ppm_of(path, MOST_PIXELS)), formats=[DECODED])
    except OverflowError as error:
        raise _too_many() from error


def _too_many(found: str = "") -> InvalidInputError:
    """Return the error of a picture too large; what a decoder gave up on has no size to be told."""
    allowed = f"up to {MOST_PIXELS // 1_000_000} million pixels"
    size = f" ({found})" if found else ""
    message = f"the picture has too many pixels{size}; scale it down first"
    return InvalidInputError.of("file", message, given=found, allowed=allowed, code="too_many_pixels")
