"""Two pictures of a side laid over each other: one through the other, and what differs.

Rule: two drawn pictures are compared by what lies there (copper, holes …) at full size; as soon as one is a
photo, only lighter and darker can be said.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.core.board_picture import Transform
from logbook.evidence import storage
from logbook.evidence.gerber.sides import BITS
from logbook.evidence.images import SHOWN_TYPE
from logbook.evidence.models import BoardPicture
from logbook.evidence.queries.pictures import Fit

FEATURES = tuple(BITS)
BRIGHTNESS = "brightness"
LONGEST_PX = 2000
# Eight bits of grey; below that, noise and the encoding of photos differ too. A judgement.
GREY_STEP = 40
MOST_REGIONS = 30
# Changes nearer to each other than this are one region.
REGION_MM, REGION_SHARE = 1.0, 0.01
MEDIA_TYPE = SHOWN_TYPE
COLOURS = {0: (247, 245, 239), 1: (203, 202, 196), 2: (8, 104, 74), 3: (178, 34, 26)}
PALE = {2: (176, 222, 200), 3: (250, 205, 198)}

Grey = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Region:
    """A part that differs: its box as parts of the picture, and how much came and went."""

    left: float
    top: float
    width: float
    height: float
    added: float
    removed: float


@dataclass(frozen=True)
class Difference:
    """What differs; areas in mm² where a scale is known, else as parts of the picture in %."""

    feature: str
    unit: str
    added: float
    removed: float
    regions: tuple[Region, ...]
    classes: NDArray[np.uint8]


def features_of(base: BoardPicture, over: BoardPicture) -> tuple[str, ...]:
    """Return what two pictures can be compared by."""
    return FEATURES if base.frame is not None and over.frame is not None else (BRIGHTNESS,)


def laid_over(base: BoardPicture, over: BoardPicture, fit: Fit) -> bytes:
    """Return the picture laid over, brought to fit the one that stays, as WebP with nothing outside it."""
    size, reduced = _working_size(base)
    image = _opened(over).convert("RGBA")
    turned = image.transform(
        size, Image.Transform.AFFINE, _back(fit.transform, reduced), Image.Resampling.BILINEAR
    )
    return _encoded(turned)


def difference(base: BoardPicture, over: BoardPicture, fit: Fit, feature: str) -> Difference:
    """Return what the picture laid over has that the one that stays has not, and the other way round.

    Raises
    ------
    InvalidInputError
        The two cannot be compared by that feature.
    """
    allowed = features_of(base, over)
    if feature not in allowed:
        message = f"these pictures are not compared by {feature!r}"
        raise InvalidInputError.of("feature", message, given=feature, allowed=", ".join(allowed))
    if feature == BRIGHTNESS:
        size, reduced = _working_size(base)
        added, removed, both = _brightness(base, over, _back(fit.transform, reduced), size)
    else:
        reduced = 1.0
        added, removed, both = _bits(base, over, fit, BITS[feature])
    scale = base.pixels_per_mm * reduced if base.pixels_per_mm else None
    unit, area = ("mm²", 1 / scale**2) if scale else ("%", 100 / added.size)
    block = round(REGION_MM * scale if scale else REGION_SHARE * len(added))
    classes = np.where(added, 2, np.where(removed, 3, np.where(both, 1, 0))).astype(np.uint8)
    regions = tuple(_regions(added, removed, max(block, 1), area))
    return Difference(feature, unit, float(added.sum() * area), float(removed.sum() * area), regions, classes)


def difference_picture(found: Difference) -> bytes:
    """Return a difference as WebP: what came is striped one way, what went the other way."""
    classes = found.classes
    rows, columns = np.arange(classes.shape[0])[:, None], np.arange(classes.shape[1])[None, :]
    period = max(6, round(max(classes.shape) / 220))
    stripes = {2: (rows + columns) % period < period / 2, 3: (rows - columns) % period < period / 2}
    pixels = np.array([COLOURS[value] for value in range(4)], dtype=np.uint8)[classes]
    for value, stripe in stripes.items():
        pixels[(classes == value) & ~stripe] = PALE[value]
    return _encoded(Image.fromarray(pixels))


def _opened(picture: BoardPicture) -> Image.Image:
    """Return a drawn picture with its bits, or a photo as it is shown."""
    sha256 = picture.evidence.sha256
    path = storage.original(sha256) if picture.frame else storage.beside(sha256, "full.webp")
    if not path.exists():
        message = f"{picture} has not been prepared for showing yet"
        raise NotFoundError(message)
    with Image.open(path, formats=["PNG", "WEBP"]) as image:
        image.load()
        return image.copy()


def _working_size(base: BoardPicture) -> tuple[tuple[int, int], float]:
    reduced = min(1.0, LONGEST_PX / max(base.width, base.height))
    return (max(round(base.width * reduced), 1), max(round(base.height * reduced), 1)), reduced


def _back(transform: Transform, reduced: float) -> tuple[float, ...]:
    """Return the map from pixels of the answer to pixels of the picture laid over, as Pillow wants it."""
    back = Transform(1 / reduced, 0, 0, 0, 1 / reduced, 0).then(transform.inverse())
    return back.a, back.b, back.c, back.d, back.e, back.f


def _bits(base: BoardPicture, over: BoardPicture, fit: Fit, bit: int) -> tuple[Mask, Mask, Mask]:
    turned = _opened(over).transform(
        (base.width, base.height), Image.Transform.AFFINE, _back(fit.transform, 1.0), Image.Resampling.NEAREST
    )
    before, after = (np.asarray(image) & bit > 0 for image in (_opened(base), turned))
    added, removed = after & ~before, before & ~after
    if base.pixels_per_mm != over.pixels_per_mm:
        added, removed = _without_rims(added), _without_rims(removed)
    return added, removed, before & after


def _without_rims(mask: Mask) -> Mask:
    """Return a mask without lines of one pixel, which come of two scales."""
    from scipy import ndimage

    return np.asarray(ndimage.binary_opening(mask, np.ones((3, 3), dtype=np.bool_)))


def _brightness(
    base: BoardPicture, over: BoardPicture, back: tuple[float, ...], size: tuple[int, int]
) -> tuple[Mask, Mask, Mask]:
    before = _grey(_opened(base).convert("RGB").resize(size, Image.Resampling.BOX))
    image = _opened(over).convert("RGBA")
    turned = image.transform(size, Image.Transform.AFFINE, back, Image.Resampling.BILINEAR)
    is_there = np.asarray(turned)[:, :, 3] > 127
    after = _grey(turned.convert("RGB"))
    if is_there.any():
        # Another lamp is no change: both get the same mean and spread first.
        spread = after[is_there].std() or 1.0
        after = (after - after[is_there].mean()) / spread * before[is_there].std() + before[is_there].mean()
    lighter = is_there & (after - before > GREY_STEP)
    darker = is_there & (before - after > GREY_STEP)
    return _without_rims(lighter), _without_rims(darker), is_there


def _grey(image: Image.Image) -> Grey:
    return np.asarray(image.convert("L"), dtype=np.float64)


def _regions(added: Mask, removed: Mask, block: int, area: float) -> Iterator[Region]:
    """Yield the parts that differ, the largest first."""
    from scipy import ndimage

    came, went = _blocks(added, block), _blocks(removed, block)
    labels, _count = ndimage.label(came + went, np.ones((3, 3)))
    height, width = added.shape
    found = []
    for number, window in enumerate(ndimage.find_objects(labels), start=1):
        is_here = labels[window] == number
        rows, columns = window
        left, top = columns.start * block, rows.start * block
        right, low = min(columns.stop * block, width), min(rows.stop * block, height)
        box = (left / width, top / height, (right - left) / width, (low - top) / height)
        sums = (float(counts[window][is_here].sum() * area) for counts in (came, went))
        found.append(Region(*box, *sums))
    yield from sorted(found, key=lambda one: -(one.added + one.removed))[:MOST_REGIONS]


def _blocks(mask: Mask, block: int) -> NDArray[np.int64]:
    """Return how many pixels of each block of the mask are set."""
    rows, columns = (-(-length // block) * block for length in mask.shape)
    padded = np.zeros((rows, columns), dtype=np.int64)
    padded[: mask.shape[0], : mask.shape[1]] = mask
    return np.asarray(padded.reshape(rows // block, block, columns // block, block).sum(axis=(1, 3)))


def _encoded(image: Image.Image) -> bytes:
    image.thumbnail((LONGEST_PX, LONGEST_PX), Image.Resampling.BOX)
    stream = io.BytesIO()
    image.save(stream, "WEBP", quality=85, method=2)
    return stream.getvalue()
