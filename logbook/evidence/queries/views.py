"""What is drawn of a capture: its samples, its level over time, its spectrum, range by range."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.evidence import levels, storage
from logbook.evidence.choices import Drawn, EvidenceKind
from logbook.evidence.kinds import CAPTURES
from logbook.evidence.models import Evidence

# What is asked of a view besides the trace.
AXES = ("linear", "log")


@dataclass(frozen=True)
class Wanted:
    """What is to be drawn: a trace, counted from 1, and a range in the unit of its x axis."""

    of: str = Drawn.SAMPLES
    channel: int = 1
    start: float | None = None
    stop: float | None = None
    buckets: int = levels.MOST_BUCKETS
    axis: str = "linear"


def drawings_of(evidence: Evidence) -> list[Drawn]:
    """Return what can be drawn of a capture, what is shown first first; none while it was not read."""
    if evidence.kind not in CAPTURES:
        return []
    found = [one for one in Drawn if _path(evidence, one).exists()]
    # The samples of a recording that was not zoomed are a solid block.
    first = Drawn.LEVEL if evidence.kind == EvidenceKind.AUDIO else Drawn.SAMPLES
    return sorted(found, key=lambda one: one != first)


def view_of(evidence: Evidence, wanted: Wanted) -> levels.View:
    """Return a range of a trace as pairs of lowest and highest; no query.

    Raises
    ------
    NotFoundError
        The capture was not read yet, or is none.
    InvalidInputError
        Naming what cannot be asked for.
    """
    _check(wanted)
    path = _path_of(evidence, wanted.of)
    names = levels.names_in(path)
    if not 1 <= wanted.channel <= len(names):
        allowed = f"1 to {len(names)}"
        raise InvalidInputError.of("channel", "no such channel", given=wanted.channel, allowed=allowed)
    return levels.view_in(
        path,
        channel=wanted.channel - 1,
        start=wanted.start,
        stop=wanted.stop,
        buckets=wanted.buckets,
        is_log=wanted.axis == "log",
    )


def channels_of(evidence: Evidence, of: str = Drawn.SAMPLES) -> list[str]:
    """Return the names of the traces of a drawing; none while the capture was not read."""
    if of not in drawings_of(evidence):
        return []
    return levels.names_in(_path(evidence, of))


def drawing_says(evidence: Evidence, of: str) -> str:
    """Return how a drawing was made of the samples; empty for the samples themselves."""
    return levels.says_in(_path_of(evidence, of))


def _check(wanted: Wanted) -> None:
    for field, given, words in (("of", wanted.of, Drawn.values), ("axis", wanted.axis, AXES)):
        if given not in words:
            raise InvalidInputError.of(field, "no such word", given=given, allowed=", ".join(words))
    if not 1 <= wanted.buckets <= levels.MOST_BUCKETS:
        allowed = f"1 to {levels.MOST_BUCKETS}"
        raise InvalidInputError.of("buckets", "too few or too many", given=wanted.buckets, allowed=allowed)
    start, stop = wanted.start, wanted.stop
    if start is not None and stop is not None and not start < stop:
        raise InvalidInputError.of("stop", "stop lies above start", given=stop, allowed=f"above {start}")


def _path_of(evidence: Evidence, of: str) -> Path:
    there = drawings_of(evidence)
    if not there:
        message = f"{evidence} cannot be drawn: it is no capture, or was not read yet"
        raise NotFoundError(message)
    if of not in there:
        allowed = ", ".join(there)
        raise InvalidInputError.of("of", f"{evidence} has no {of}", given=of, allowed=allowed)
    return _path(evidence, of)


def _path(evidence: Evidence, of: str) -> Path:
    return storage.beside(evidence.sha256, levels.SUFFIXES[of])
