"""Which layer of the board a Gerber or drill file holds.

What the file says of itself decides; only where it says nothing, its name does. A person confirms both.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from logbook.common.errors import InvalidInputError
from logbook.evidence.choices import FoundBy, Layer
from logbook.evidence.gerber.bundle import texts_in

# The Gerber Layer Format Specification (Ucamco), revision 2024.05, 5.6.3: .FileFunction stands in the header,
# as a command or, for readers that do not know it, as a comment that begins with #@!.
FUNCTION = re.compile(r"TF\.FileFunction,([^*%\r\n]{1,200})")
HEADER = 64 * 1024
GERBER = re.compile(r"(?:^|[%*\s])(?:FS[LT][AI]X\d\dY\d\d|MO(?:MM|IN)|ADD\d{2,})", re.ASCII)
DRILL = re.compile(r"^\s*M48\s*$", re.MULTILINE)

# Endings and parts of names, common practice.
NAMES: tuple[tuple[str, Layer], ...] = (
    (r"\.gtl$|f[._-]?cu|top[._-]?(cu|copper|layer)", Layer.TOP_COPPER),
    (r"\.gbl$|b[._-]?cu|bot(tom)?[._-]?(cu|copper|layer)", Layer.BOTTOM_COPPER),
    (r"\.gts$|f[._-]?mask|top[._-]?(solder)?[._-]?mask", Layer.TOP_MASK),
    (r"\.gbs$|b[._-]?mask|bot(tom)?[._-]?(solder)?[._-]?mask", Layer.BOTTOM_MASK),
    (r"\.gto$|f[._-]?silk|top[._-]?(silk|legend|overlay)", Layer.TOP_LEGEND),
    (r"\.gbo$|b[._-]?silk|bot(tom)?[._-]?(silk|legend|overlay)", Layer.BOTTOM_LEGEND),
    (r"\.(gko|gm1|gml)$|outline|profile|edge|contour|border", Layer.PROFILE),
)
BY_FUNCTION = {"Copper": "copper", "Soldermask": "mask", "Legend": "legend"}


@dataclass(frozen=True)
class FoundLayer:
    """A file of a bundle, what it was taken for, and by what."""

    name: str
    layer: Layer
    found_by: FoundBy
    says: str


def layers_in(source: Path | IO[bytes]) -> list[FoundLayer]:
    """Return what each Gerber or drill file of a bundle was taken for; other files are left out.

    Raises
    ------
    InvalidInputError
        The bundle cannot be read, or holds no Gerber file.
    """
    found = [layer_of(name, text) for name, text in texts_in(source) if _is_read(text)]
    if not found:
        message = "none of the files is a Gerber or drill file"
        raise InvalidInputError.of(
            "file", message, allowed="Gerber (RS-274X, X2) and Excellon drill files", code="no_gerber"
        )
    return found


def _is_read(text: str) -> bool:
    start = text[:HEADER]
    return bool(GERBER.search(start) or DRILL.search(start))


def layer_of(name: str, text: str) -> FoundLayer:
    """Return what one file was taken for."""
    said = FUNCTION.search(text[:HEADER])
    if said:
        function = said.group(1).strip()
        return FoundLayer(name, _by_function(function.split(",")), FoundBy.FUNCTION, function[:100])
    if not GERBER.search(text[:HEADER]):
        return FoundLayer(name, Layer.HOLES, FoundBy.FORMAT, "drill file")
    for pattern, layer in NAMES:
        if re.search(pattern, name.lower()):
            return FoundLayer(name, layer, FoundBy.NAME, "")
    return FoundLayer(name, Layer.NOT_DRAWN, FoundBy.NOTHING, "")


def _by_function(parts: list[str]) -> Layer:
    kind, rest = parts[0], [part.lower() for part in parts[1:]]
    side = "top" if "top" in rest else "bottom" if "bot" in rest else ""
    if kind == "Profile":
        return Layer.PROFILE
    if kind in {"Plated", "NonPlated"}:
        return Layer.HOLES
    what = BY_FUNCTION.get(kind, "")
    return Layer(f"{side}-{what}") if side and what else Layer.NOT_DRAWN


def check_layers(layers: Iterable[tuple[str, str]]) -> None:
    """Make sure that something can be drawn of a mapping of names to layers."""
    drawn = {layer for _name, layer in layers}
    if not drawn & {Layer.TOP_COPPER, Layer.BOTTOM_COPPER}:
        message = "name the file that holds the top or the bottom copper"
        raise InvalidInputError.of("layers", message, allowed="at least one copper layer", code="no_copper")
