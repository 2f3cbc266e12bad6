"""Where everything lies on a label, in millimetres from its upper left corner."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from logbook.recall.labels.content import Label
from logbook.recall.labels.qr import QrCode, qr_code_of
from logbook.recall.labels.sizes import SheetSize

# Mean widths of characters over the size of the type, of DejaVu Sans, which is wide.
PLAIN, BOLD = 0.56, 0.64
LINE = 1.2
LARGEST_CODE, SMALLEST_CODE = 5.0, 2.0
HEADING, FACT, FOOT = 2.5, 2.1, 1.7  # 7, 6 and 5 points
QR_SHARE = 0.4


@dataclass(frozen=True)
class Text:
    """One line of type; ``y`` is its base line."""

    x: float
    y: float
    size: float
    text: str
    is_bold: bool = False


@dataclass(frozen=True)
class Drawn:
    """A label laid out; the QR code is a square of ``qr_side`` mm with its blank border."""

    label: Label
    width: float
    height: float
    qr: QrCode
    qr_x: float
    qr_y: float
    qr_side: float
    texts: tuple[Text, ...]

    @property
    def module(self) -> float:
        """Return the side of one module."""
        return self.qr_side / self.qr.side


def laid_out(label: Label, size: SheetSize) -> Drawn:
    """Return a label as it is drawn on a size; what does not fit is said in its last line."""
    across, down = size.padding
    side = min(size.height - 2 * down, QR_SHARE * size.width)
    x = across + side
    return Drawn(
        label=label,
        width=size.width,
        height=size.height,
        qr=qr_code_of(label.address),
        qr_x=across,
        qr_y=(size.height - side) / 2,
        qr_side=side,
        texts=_texts(label, x, down, size.width - across - x, size.height - down),
    )


def _texts(label: Label, x: float, top: float, width: float, foot: float) -> tuple[Text, ...]:
    code = min(max(width / (len(label.code.text) * BOLD), SMALLEST_CODE), LARGEST_CODE)
    y = top + code
    texts = [Text(x, y, code, label.code.text, is_bold=True)]
    last = foot - 1.5 * FOOT
    heading = _wrapped(label.heading, width, HEADING * BOLD)
    for line in heading[: max(1, int((last - y) / (HEADING * LINE)) - 2)]:
        y += HEADING * LINE
        texts.append(Text(x, y, HEADING, line, is_bold=True))
    room = max(0, int((last - y) / (FACT * LINE)))
    for line in _facts(label.facts, width, room):
        y += FACT * LINE
        texts.append(Text(x, y, FACT, line))
    texts.append(Text(x, foot - 0.3 * FOOT, FOOT, label.foot))
    return tuple(texts)


def _facts(facts: Sequence[str], width: float, room: int) -> list[str]:
    """Return the facts as lines; where there are more than fit, the last one says so."""
    lines = [line for fact in facts for line in _wrapped(f"• {fact}", width, FACT * PLAIN)]
    if len(lines) <= room:
        return lines
    return [*lines[: room - 1], "… more: see its page"] if room else []


def _wrapped(text: str, width: float, character: float) -> list[str]:
    return textwrap.wrap(text, max(8, int(width / character)), subsequent_indent="  " * text.startswith("•"))
