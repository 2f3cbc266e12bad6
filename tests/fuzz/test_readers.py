"""Readers of what people bring: any text or bytes is read or refused in words, never anything else.

The promise of each reader stands in its harness (``tests/fuzz/harnesses``). Inputs come from Hypothesis (an
outside generator), from good examples bent, and from files that once broke a reader (``tests/fuzz/corpus``).
"""

from __future__ import annotations

import importlib
import warnings
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

NAMES = (
    "archives",
    "audio",
    "bench_csv",
    "formulas",
    "limits",
    "masks",
    "parts",
    "parts_list",
    "quantities",
    "sweeps",
    "waveforms",
)
HARNESSES = {name: importlib.import_module(f"tests.fuzz.harnesses.{name}") for name in NAMES}
CORPUS = Path(__file__).parent / "corpus"
KEPT = sorted(CORPUS.glob("*/*"))


def bent(seeds: list[bytes]) -> st.SearchStrategy[bytes]:
    """Return good examples with one stretch replaced by anything, cut out or said again."""

    def bend(seed: bytes, first: int, length: int, new: bytes, times: int) -> bytes:
        at = first % (len(seed) + 1)
        return seed[:at] + new + seed[at : at + length] * times + seed[at + length :]

    signs = st.text("0123456789eE.,;+-±%()*/ \t\n\"'VΩkµ:_\x00", max_size=12).map(str.encode)
    return st.builds(
        bend, st.sampled_from(seeds), st.integers(0, 4096), st.integers(0, 8), signs | st.binary(max_size=8),
        st.integers(0, 3),
    )  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_anything_is_read_or_refused(name: str) -> None:
    harness: Any = HARNESSES[name]

    @given(bent(harness.SEEDS) | st.binary(max_size=200) | st.text(max_size=100).map(str.encode))
    @example(b"")
    @settings(
        max_examples=120,
        derandomize=True,
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    def read(data: bytes) -> None:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            harness.read(data)

    read()


@pytest.mark.parametrize("path", KEPT, ids=lambda path: f"{path.parent.name}-{path.name}")
def test_what_once_broke_a_reader_does_so_no_more(path: Path) -> None:
    HARNESSES[path.parent.name].read(path.read_bytes())
