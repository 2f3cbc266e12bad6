"""QR codes as squares (ISO/IEC 18004)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import segno

QUIET = 4  # modules left blank around a code, ISO/IEC 18004:2015, 9.1


@dataclass(frozen=True)
class QrCode:
    """A QR code with its blank border: rows of modules, true where dark."""

    rows: tuple[tuple[bool, ...], ...]

    @property
    def side(self) -> int:
        """Return the number of modules along one side."""
        return len(self.rows)

    def runs(self) -> Iterator[tuple[int, int, int]]:
        """Return the dark runs: column where each begins, row, and its length."""
        for y, row in enumerate(self.rows):
            x = 0
            while x < len(row):
                ends = x
                while ends < len(row) and row[ends]:
                    ends += 1
                if ends > x:
                    yield x, y, ends - x
                x = ends + 1

    @property
    def path(self) -> str:
        """Return the dark modules as an SVG path, one unit a module."""
        return "".join(f"M{x} {y}h{length}v1h-{length}z" for x, y, length in self.runs())


def qr_code_of(text: str) -> QrCode:
    """Return the QR code of a text; at least 15 % of it may be dirty or scratched (level M)."""
    made = segno.make(text, error="m", micro=False)
    rows = made.matrix_iter(scale=1, border=QUIET)
    return QrCode(tuple(tuple(bool(module) for module in row) for row in rows))
