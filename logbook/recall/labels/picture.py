"""A single label as a PNG picture, for printers of labels."""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO

from PIL import Image, ImageDraw, ImageFont

from logbook.recall.labels.layout import Drawn, Text

DOTS_PER_INCH = 300
MM_PER_INCH = 25.4
Font = ImageFont.FreeTypeFont | ImageFont.ImageFont
# The font that comes with the picture library lacks these signs; spelt out they stay readable.
SPELT_OUT = str.maketrans(
    {
        "\u03a9": "ohm",
        "\u2126": "ohm",
        "\u00b5": "u",
        "\u03bc": "u",
        "\u2212": "-",
        "\u2013": "-",
        "≥": ">=",
        "≤": "<=",
        "…": "...",
        "→": "->",
        "•": "·",
        "√": "root ",
        "∞": "infinite",
    }
)


def png_of(drawn: Drawn) -> bytes:
    """Return a label as a black and white PNG that states its resolution, so that it prints at its size."""
    image = Image.new("L", (_dots(drawn.width), _dots(drawn.height)), 255)
    draw = ImageDraw.Draw(image)
    _draw_qr(draw, drawn)
    for text in drawn.texts:
        _draw_text(draw, text)
    stream = BytesIO()
    image.save(stream, "PNG", dpi=(DOTS_PER_INCH, DOTS_PER_INCH), optimize=True)
    return stream.getvalue()


def _dots(mm: float) -> int:
    return round(mm * DOTS_PER_INCH / MM_PER_INCH)


def _draw_qr(draw: ImageDraw.ImageDraw, drawn: Drawn) -> None:
    """Draw every module with the same whole number of dots: a scanner counts them."""
    module = _dots(drawn.qr_side) // drawn.qr.side
    left, top = _dots(drawn.qr_x), _dots(drawn.qr_y)
    for x, y, length in drawn.qr.runs():
        x0, y0 = left + x * module, top + y * module
        box = (x0, y0, x0 + length * module - 1, y0 + module - 1)
        draw.rectangle(box, fill=0)


def _draw_text(draw: ImageDraw.ImageDraw, text: Text) -> None:
    font, has_signs = _font(_dots(text.size), is_bold=text.is_bold)
    words = text.text if has_signs else text.text.translate(SPELT_OUT)
    draw.text((_dots(text.x), _dots(text.y)), words, font=font, fill=0, anchor="ls")


@lru_cache(maxsize=32)
def _font(dots: int, *, is_bold: bool) -> tuple[Font, bool]:
    """Return a font and whether it has the signs of the trade."""
    try:
        return ImageFont.truetype("DejaVuSans-Bold.ttf" if is_bold else "DejaVuSans.ttf", dots), True
    except OSError:
        return ImageFont.load_default(dots), False
