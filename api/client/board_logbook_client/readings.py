"""One reading: from what a script has in its hands to what the site takes, and what became of it."""

from __future__ import annotations

import math
import uuid
from dataclasses import dataclass
from datetime import datetime, timezone
from decimal import Decimal
from typing import Any

from board_logbook_client.errors import problem_text
from board_logbook_client.spool import REJECTED, SENT, Entry

TEXTS = ("point", "instrument", "instrument_range", "firmware", "place", "note")
NUMBERS = ("expanded_uncertainty", "coverage_factor")
FIELDS = (*TEXTS, *NUMBERS, "repeats", "conditions", "bench_session", "taken_at", "key")


@dataclass(frozen=True)
class Recorded:
    """What became of a reading: *waiting* (no verdict yet), *sent* with its verdict, or *rejected* with why.

    ``verdict`` is also None for a sent reading that nothing is asked of. ``answer`` is all the site said.
    """

    key: str
    status: str
    verdict: str | None
    reason: str
    answer: dict[str, Any] | None = None
    problem: dict[str, Any] | None = None

    def __str__(self) -> str:
        """Return one line for the bench."""
        word = self.verdict or ("recorded" if self.status == SENT else self.status)
        return f"{word} - {self.reason}" if self.reason else word


def recorded_of(entry: Entry, trouble: str = "") -> Recorded:
    """Return what became of a spooled reading; ``trouble`` says why one still waits."""
    if entry.status == SENT and entry.answer is not None:
        verdict, reason = entry.answer.get("verdict"), str(entry.answer.get("reason", ""))
        return Recorded(entry.key, SENT, verdict, reason, answer=entry.answer)
    if entry.status == REJECTED and entry.problem is not None:
        return Recorded(entry.key, REJECTED, None, problem_text(entry.problem), problem=entry.problem)
    kept = "kept on this computer"
    return Recorded(entry.key, entry.status, None, f"{kept}: {trouble}" if trouble else kept)


def new_key() -> str:
    """Return a key no other reading has; made when a reading is recorded, so no repeat can double it."""
    return uuid.uuid4().hex


def reading_body(
    *, project: str, board: str, target: str, value: Any, unit: str, key: str, more: dict[str, Any]
) -> dict[str, Any]:
    """Return the reading as the site takes it; what cannot be written as JSON is refused here and now."""
    unknown = sorted(set(more) - set(FIELDS))
    if unknown:
        message = f"{', '.join(unknown)}: no field of a reading; there are {', '.join(FIELDS)}"
        raise TypeError(message)
    body: dict[str, Any] = {"project": project, "board": board, "target": target, "unit": unit, **more}
    for name in ("project", "board", "target", "unit", *TEXTS):
        if not isinstance(body.get(name, ""), str):
            message = f"{name} is {body[name]!r}; give text: board '0006' is not board 6"
            raise TypeError(message)
    if value is not None:
        body["value"] = plain(value)
    for name in NUMBERS:
        if body.get(name) is not None:
            body[name] = plain(body[name])
    if "repeats" in body:
        body["repeats"] = [plain(one) for one in body["repeats"]]
    body["taken_at"] = moment_text(more.get("taken_at"))
    return {**{name: given for name, given in body.items() if given not in (None, "")}, "key": key}


def plain(value: Any) -> bool | int | float | str:
    """Return a number as JSON keeps it, digits and all; NaN and infinity as text, for the site to reject."""
    if hasattr(value, "item"):
        value = value.item()
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    if isinstance(value, (bool, int, float, str)):
        return value
    message = f"{value!r} is neither a number nor text"
    raise TypeError(message)


def moment_text(moment: datetime | str | None) -> str:
    """Return a moment with its zone; now where none is given, because the reading may be sent much later."""
    if isinstance(moment, str):
        return moment
    if moment is None:
        moment = datetime.now(timezone.utc)
    if moment.tzinfo is None:
        message = f"{moment} has no zone; say for instance datetime.now(timezone.utc)"
        raise ValueError(message)
    return moment.astimezone(timezone.utc).isoformat().replace("+00:00", "Z")
