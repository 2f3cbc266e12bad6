"""Small files of every kind, made on the spot."""

from __future__ import annotations

import io
import struct
import wave

import numpy as np
from PIL import Image

GPS = 0x8825
ORIENTATION = 0x0112


def picture(format_name: str = "PNG", size: tuple[int, int] = (40, 20), **options: object) -> bytes:
    """Return a picture whose left half is red and whose right half is blue."""
    image = Image.new("RGB", size, "blue")
    image.paste((255, 0, 0), (0, 0, size[0] // 2, size[1]))
    stream = io.BytesIO()
    image.save(stream, format_name, **options)
    return stream.getvalue()


def photo_taken_somewhere(orientation: int = 6) -> bytes:
    """Return a JPEG that lies on its side and says where it was taken."""
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif.get_ifd(GPS)[2] = (47.0, 22.0, 11.0)
    exif[0x010F] = "invented maker"
    return picture("JPEG", exif=exif, comment=b"hidden", quality=95)


def bomb(side: int = 30_000) -> bytes:
    """Return a PNG of a few bytes that claims ``side`` times ``side`` pixels."""
    import zlib

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    body = zlib.compress(b"\0" * 1000)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


POLYGLOT = b"GIF89a/*<script>alert(1)</script>*/=1;"


def heic() -> bytes:
    """Return a picture as phones write it."""
    import pillow_heif

    pillow_heif.register_heif_opener()
    return picture("HEIF", (64, 32))


def square_wave(rows: int = 4_000, *, glitch_at: int | None = None) -> bytes:
    """Return a waveform CSV: 1 kHz, 0 to 3.3 V, 1 µs steps."""
    volts = np.where((np.arange(rows) // 500) % 2, 3.3, 0.0)
    if glitch_at is not None:
        volts[glitch_at] = 9.0
    lines = ["Time (us),CH1 (V)", *(f"{place},{volt:g}" for place, volt in enumerate(volts))]
    return "\n".join(lines).encode() + b"\n"


def sweep() -> bytes:
    """Return the gain of a first-order low-pass at 1 kHz."""
    frequencies = np.geomspace(10, 100_000, 201)
    gains = -10 * np.log10(1 + (frequencies / 1000) ** 2)
    lines = [
        "Frequency (Hz),Gain (dB)",
        *(f"{f:.9g},{g:.9g}" for f, g in zip(frequencies, gains, strict=True)),
    ]
    return "\n".join(lines).encode() + b"\n"


def tone(*, frames: int = 48_000, channels: int = 1, level: float = 0.5) -> bytes:
    """Return a WAV file of 997 Hz at 48 kHz, 16 bit."""
    samples = np.round(level * 32767 * np.sin(2 * np.pi * 997 / 48_000 * np.arange(frames))).astype("<i2")
    stream = io.BytesIO()
    with wave.open(stream, "wb") as target:
        target.setnchannels(channels)
        target.setsampwidth(2)
        target.setframerate(48_000)
        target.writeframes(np.repeat(samples, channels).tobytes())
    return stream.getvalue()


PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\n%%EOF\n"
PAGE = b"<!doctype html><script>alert(document.cookie)</script>"
DRAWING = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
