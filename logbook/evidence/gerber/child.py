"""Draws both sides of a board, in a process of its own.

Run as ``python -m logbook.evidence.gerber.child BUNDLE LAYERS FOLDER``: ``LAYERS`` is a JSON object of file
names and layers; writes ``top.png``, ``bottom.png`` and ``drawn.json`` into ``FOLDER``.
"""

from __future__ import annotations

import json
import math
import re
import resource
import sys
import warnings
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from logbook.core.board_picture import Frame
from logbook.evidence.gerber import shapes, sides

MEMORY_BYTES = 2_500_000_000
FILE_BYTES = 100_000_000
SECONDS = 90
# The scale is the largest at which the longer side fits.
SCALES = (20.0, 10.0, 5.0, 2.0)
LONGEST_PX = 4000
LONGEST_MM = 1000.0
# A large board of real life has a hundred thousand.
MOST_STATEMENTS = 400_000
REPEATED = re.compile(r"%SRX(\d+)Y(\d+)")
BLOCK = re.compile(r"%ABD\d+\*%")
DRILL = re.compile(r"^\s*M48\s*$", re.MULTILINE)
UNITS = re.compile(r"^\s*(?:METRIC|INCH|M71|M72)\b", re.MULTILINE)

Box = tuple[tuple[float, float], tuple[float, float]]
Files = Mapping[str, list[Any]]


def main(bundle: str, layers: str, folder: str) -> int:
    """Draw, or say in the last line of the error output why not."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_FSIZE, (FILE_BYTES, FILE_BYTES))
    warnings.simplefilter("ignore")
    try:
        files = _read(Path(bundle), json.loads(layers))
        statements = _drawn(files, Path(folder))
    except Exception as error:  # noqa: BLE001 - whatever the library raises is a file it cannot read
        sys.stderr.write(f"\n{str(error).splitlines()[0] if str(error) else type(error).__name__}\n")
        return 1
    (Path(folder) / "drawn.json").write_text(json.dumps(statements))
    return 0


def _read(bundle: Path, layers: Mapping[str, str]) -> dict[str, list[Any]]:
    """Return the objects of each layer; several files may hold holes."""
    from logbook.evidence.gerber.bundle import texts_in

    found: dict[str, list[Any]] = {}
    for name, text in texts_in(bundle):
        layer = layers.get(name, "not drawn")
        if layer != "not drawn":
            try:
                found.setdefault(layer, []).extend(_objects_of(text))
            except Exception as error:
                message = f"{name}: {error or type(error).__name__}"
                raise ValueError(message) from error
    return found


def _objects_of(text: str) -> list[Any]:
    from gerbonara import ExcellonFile, GerberFile

    if text.count("*") + text.count("\n") > 2 * MOST_STATEMENTS:
        message = f"it holds more than {MOST_STATEMENTS} statements"
        raise ValueError(message)
    if DRILL.search(text[:65536]):
        if not UNITS.search(text):
            message = "the drill file does not say whether it counts in millimetres or inches"
            raise ValueError(message)
        return list(ExcellonFile.from_string(text).objects)
    repeated = REPEATED.search(text)
    if (repeated and (int(repeated[1]) > 1 or int(repeated[2]) > 1)) or BLOCK.search(text):
        message = "it repeats whole blocks (SR or AB), as panels do; export the single board"
        raise ValueError(message)
    return list(GerberFile.from_string(text).objects)


def _drawn(files: Files, folder: Path) -> dict[str, Any]:
    (low_x, low_y), (high_x, high_y) = box = _box_of(files)
    width_mm, height_mm = high_x - low_x, high_y - low_y
    longest = max(width_mm, height_mm)
    if not 0 < longest <= LONGEST_MM:
        message = f"the board is {longest:.0f} mm long; drawn are boards of up to {LONGEST_MM:.0f} mm"
        raise ValueError(message)
    scale = next(one for one in SCALES if (longest + 3) * one <= LONGEST_PX)
    said: dict[str, Any] = {"pixels_per_mm": scale, "has_profile": "profile" in files}
    for side in ("top", "bottom"):
        frame = sides.frame_around(*box, scale, mirrored=side == "bottom")
        size = _size_of(box, frame)
        if f"{side}-copper" in files:
            bits = _side(files, side, frame, size, box)
            sides.coloured(bits).save(folder / f"{side}.png", optimize=False)
            said[side] = {"left_mm": frame.left_mm, "top_mm": frame.top_mm}
    return said


def _size_of(box: Box, frame: Frame) -> tuple[int, int]:
    """Return width and height in pixels, with the rim on the far side too."""
    far = frame.to_pixels.at(box[0][0] if frame.is_mirrored else box[1][0], box[0][1])
    return math.ceil(far[0] + frame.pixels_per_mm), math.ceil(far[1] + frame.pixels_per_mm)


def _box_of(files: Files) -> Box:
    """Return the box around the outline, or around everything where there is none."""
    from gerbonara.utils import MM

    wanted = files.get("profile") or [thing for objects in files.values() for thing in objects]
    boxes = [thing.bounding_box(MM) for thing in wanted]
    if not boxes:
        message = "the files draw nothing"
        raise ValueError(message)
    return (
        (min(box[0][0] for box in boxes), min(box[0][1] for box in boxes)),
        (max(box[1][0] for box in boxes), max(box[1][1] for box in boxes)),
    )


def _side(files: Files, side: str, frame: Frame, size: tuple[int, int], box: Box) -> sides.Bits:
    named = {
        "copper": f"{side}-copper",
        "mask opening": f"{side}-mask",
        "legend": f"{side}-legend",
        "holes": "holes",
    }
    masks = {
        name: np.asarray(shapes.painted(files[layer], frame, size))
        for name, layer in named.items()
        if layer in files
    }
    if "profile" in files:
        board = sides.board_within(list(shapes.outlines(files["profile"], frame)), size)
    else:
        board = np.zeros((size[1], size[0]), dtype=np.uint8)
        corners = [frame.to_pixels.at(x, y) for x, y in box]
        left, right = sorted(round(x) for x, _y in corners)
        high, low = sorted(round(y) for _x, y in corners)
        board[high:low, left:right] = 1
    return sides.side_of(masks, board)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:4]))
