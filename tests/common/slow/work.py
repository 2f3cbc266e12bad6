"""The slow job: it notes in a file when it begins and when it ends."""

from __future__ import annotations

import os
import time
from pathlib import Path

from logbook.common import jobs


def _note(text: str) -> None:
    with Path(os.environ["SLOW_JOB_NOTES"]).open("a") as stream:
        stream.write(f"{text}\n")


def work(hold: jobs.Hold) -> None:
    _note(f"begun {hold.attempt}")
    time.sleep(float(os.environ.get("SLOW_JOB_S", "0")))
    hold.renew()
    _note(f"ended {hold.attempt}")


def given_up(subject_id: int, problem: str) -> None:
    _note(f"given up {subject_id}: {problem}")
