"""Looks for inputs that break a reader, led by the code they reach: ``make fuzz``.

``python -m tests.fuzz.harnesses READER [seconds]``. What breaks a reader is written to
``.local/fuzz/READER/``; keep it, made small, in ``tests/fuzz/corpus/READER/`` once the reader is mended.
"""

from __future__ import annotations

import importlib
import sys
import warnings
from pathlib import Path
from typing import Any

# Installed by make fuzz alone, and described by no types.
atheris: Any = importlib.import_module("atheris")
HERE = Path(__file__).parents[1]
LONGEST_INPUT = 4096
SLOWEST_S = 10
MOST_MEGABYTES = 2048


def main(name: str, seconds: str = "60") -> None:
    """Run one harness for so many seconds."""
    with atheris.instrument_imports(include=["logbook", "board_logbook_client", "tests.fuzz"]):
        harness = importlib.import_module(f"tests.fuzz.harnesses.{name}")
    found = Path(".local/fuzz") / name
    grown = found / "grown"
    grown.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(harness.SEEDS):
        (grown / f"seed-{number}").write_bytes(seed)
    warnings.simplefilter("error")
    options = [
        f"-max_total_time={seconds}",
        f"-max_len={LONGEST_INPUT}",
        f"-timeout={SLOWEST_S}",
        f"-rss_limit_mb={MOST_MEGABYTES}",
        f"-artifact_prefix={found}/",
        "-print_final_stats=1",
    ]
    kept = HERE / "corpus" / name
    atheris.Setup([sys.argv[0], *options, str(grown), *([str(kept)] if kept.is_dir() else [])], harness.read)
    atheris.Fuzz()


if __name__ == "__main__":
    main(*sys.argv[1:])
