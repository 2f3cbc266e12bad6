"""Captures: how much is stored of one, and what a view and its distortion cost."""

from __future__ import annotations

import sqlite3
import tempfile
from pathlib import Path
from typing import Any

import numpy as np

from tests.performance.table import row
from tests.performance.timing import Pairs, in_turns, ms

POINTS = 1_000_000
BUCKETS = 1_000
RATE_HZ = 1_000_000
PRIME = 999_983


def captures(longer: int) -> None:
    """P10a to P10d, with files of their own in a folder that goes away again."""
    with tempfile.TemporaryDirectory() as folder:
        _sizes()
        _views(Path(folder), longer)
    _distortion()


def _sizes() -> None:
    """P10a: the file of levels over the samples as four bytes each."""
    from logbook.evidence.levels import packed

    for name, samples, aim in (
        ("of a 14-bit series", _converter(POINTS), "0.25"),
        ("of noise", np.random.default_rng(2).normal(0, 1, POINTS), "0.60"),
    ):
        stored, raw = len(packed(_traces(samples))), 4 * POINTS
        what = f"levels {name}, {POINTS:,} points, over four bytes a point"
        row("P10a", what, f"{stored / 1e6:.2f} MB", f"{raw / 1e6:.2f} MB", f"{stored / raw:.2f}", aim)


def _views(folder: Path, longer: int) -> None:
    """P10b and P10c: views from the file over reading and decimating a raw blob."""
    long = _levels_file(folder / "long.levels", _converter(longer))
    path = _levels_file(folder / "short.levels", _converter(POINTS))
    blobs = _blob_file(folder / "blobs.sqlite3", _converter(POINTS))
    found = in_turns(lambda: _view(path, 0.0, 1.0, POINTS), lambda: _decimated(blobs), rounds=15)
    what = f"whole view of {POINTS:,} points over decimating a blob"
    row("P10b", what, ms(found.product), ms(found.floor), f"{found.ratio:.2f}", "0.3")
    zooms = [_zoomed(path, blobs, start) for start in (0.1, 0.377, 0.9)]
    worst = max(zooms, key=lambda one: one.ratio)
    row("P10c", "the slowest of three views of 1 %, same floor", ms(worst.product), ms(worst.floor),
        f"{worst.ratio:.2f}", "0.6")  # fmt: skip
    deep = in_turns(
        lambda: _view(long, 0.377, 0.377 + 0.01 * POINTS / longer, longer),
        lambda: _view(path, 0.377, 0.387, POINTS),
        15,
    )
    what = f"a view of {POINTS // 100:,} points of {longer:,} over one of {POINTS:,}"
    row("P10c", what, ms(deep.product), ms(deep.floor), f"{deep.ratio:.2f}", "1.3")


def _zoomed(path: Path, blobs: sqlite3.Connection, start: float) -> Pairs:
    return in_turns(lambda: _view(path, start, start + 0.01, POINTS), lambda: _decimated(blobs), rounds=9)


def _distortion() -> None:
    """P10d: level and distortion of a tone over one transform; a prime length; the constructed value."""
    from logbook.core.signals.audio import audio_numbers

    capture, made = _tone(POINTS), 100 * 1e-3 / np.hypot(1, 1e-3)
    samples = capture.samples[0]
    found = in_turns(lambda: audio_numbers(capture), lambda: np.fft.rfft(samples), rounds=9)
    what = f"all numbers of a tone of {POINTS:,} points over one transform"
    row("P10d", what, ms(found.product), ms(found.floor), f"{found.ratio:.1f}", "2.5")
    prime = _tone(PRIME)
    odd = in_turns(lambda: audio_numbers(prime), lambda: audio_numbers(capture), rounds=7)
    what = f"the same of {PRIME:,} points, a prime number"
    row("P10d", what, ms(odd.product), ms(odd.floor), f"{odd.ratio:.2f}", "1.5")
    measured = audio_numbers(capture).thdn_percent or 0.0
    off = abs(measured / made - 1)
    row("P10d", "its THD+N over the constructed one, relative difference", f"{measured:.5f} %",
        f"{made:.5f} %", f"{off:.5f}", "0.001")  # fmt: skip


def _converter(points: int) -> Any:
    """Return a tone with noise as a 14-bit converter of 2 V range gives it."""
    rng = np.random.default_rng(1)
    step = 2.0 / 2**14
    tone = 0.8 * np.sin(2 * np.pi * 1_234.5 * np.arange(points) / RATE_HZ) + rng.normal(0, step, points)
    return np.round(tone / step) * step


def _traces(samples: Any) -> Any:
    from logbook.evidence.traces import Trace, Traces

    return Traces("time", "s", 0.0, 1 / RATE_HZ, None, (Trace("CH1", "V", samples),))


def _levels_file(path: Path, samples: Any) -> Path:
    from logbook.evidence.levels import packed

    path.write_bytes(packed(_traces(samples)))
    return path


def _view(path: Path, start: float, stop: float, points: int) -> Any:
    from logbook.evidence.levels import view_in

    length = points / RATE_HZ
    return view_in(path, channel=0, start=start * length, stop=stop * length, buckets=BUCKETS)


def _blob_file(path: Path, samples: Any) -> sqlite3.Connection:
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE blobs (id INTEGER PRIMARY KEY, samples BLOB)")
    connection.execute("INSERT INTO blobs (samples) VALUES (?)", [samples.astype("<f4").tobytes()])
    connection.commit()
    return connection


def _decimated(blobs: sqlite3.Connection) -> Any:
    (blob,) = blobs.execute("SELECT samples FROM blobs").fetchone()
    rows = np.frombuffer(blob, "<f4").reshape(BUCKETS, -1)
    return rows.min(axis=1), rows.max(axis=1)


def _tone(points: int) -> Any:
    """Return a tone at half of full scale with a third harmonic of 0.1 %, at 48 kHz."""
    from logbook.core.signals.captures import AudioCapture

    turns = 2 * np.pi * 997.0 * np.arange(points) / 48_000
    tone = 0.5 * np.sin(turns) + 0.5e-3 * np.sin(3 * turns)
    return AudioCapture(48_000, tone[np.newaxis, :], 24, is_float=True)
