"""Instruments, bench sessions and readings: the entries of the story that say so."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime
from typing import Any

from logbook.bench.commands import (
    ReadingInput,
    add_instrument,
    change_bench_session,
    open_bench_session,
    record_calibration,
    record_readings,
    withdraw_measurement,
)
from logbook.bench.queries.lists import instrument_of, instruments_named
from logbook.common import clock
from logbook.recall.demo.cast import Cast
from logbook.recall.demo.story import Entry, moment_of

SHARED = ("board", "firmware")


def instruments(cast: Cast, entry: Entry) -> None:
    """Add instruments with what their ranges state."""
    for row in entry.says["instruments"]:
        add_instrument(actor=cast.actor(entry), **row)


def calibration(cast: Cast, entry: Entry) -> None:
    """Record a calibration of each instrument named, done on the day of the entry or on an earlier ``on``."""
    says = dict(entry.says)
    on = date.fromisoformat(says.pop("on", entry.at.date().isoformat()))
    next_due = date.fromisoformat(says.pop("next_due"))
    for name, number in says.pop("numbers").items():
        record_calibration(
            actor=cast.actor(entry),
            instrument=instrument_of(name),
            number=number,
            on=on,
            next_due=next_due,
            **says,
        )


def opened_session(cast: Cast, entry: Entry) -> None:
    """Open a sitting at the bench."""
    says = dict(entry.says)
    session = open_bench_session(
        actor=cast.actor(entry),
        project=cast.project(entry),
        title=f"{says['session']} {says.pop('title')}",
        people=[cast.people[name] for name in says.pop("people")],
        boards=[cast.board(entry, serial) for serial in says.pop("boards")],
        instruments=instruments_named(says.pop("instruments")),
        values={name: value for name, value in says.items() if name != "session"},
    )
    cast.sessions[says["session"]] = session


def changed_session(cast: Cast, entry: Entry) -> None:
    """Write the notes and the next step of a sitting, and its end where it ended."""
    says = dict(entry.says)
    session = cast.sessions[says.pop("session")]
    if says.pop("ends"):
        says["ended_at"] = clock.now()
    change_bench_session(actor=cast.actor(entry), session=session, values=says)


def readings(cast: Cast, entry: Entry) -> None:
    """Record a run of readings in one go, spread evenly over the time it took."""
    items = list(_inputs(cast, entry))
    for item, done in zip(items, record_readings(actor=cast.actor(entry), items=items), strict=True):
        if done.error is not None:
            raise done.error
        if item.key and done.measurement is not None:
            cast.readings[item.key] = done.measurement


def _inputs(cast: Cast, entry: Entry) -> Iterator[ReadingInput]:
    rows = [reading for row in entry.says["readings"] for reading in _by_point(row)]
    shared = {name: entry.says[name] for name in SHARED if name in entry.says}
    if "session" in entry.says:
        shared["bench_session"] = cast.sessions[entry.says["session"]].pk
    moments = _spread(moment_of(entry.says["from"]), entry.at, len(rows))
    for row, taken_at in zip(rows, moments, strict=True):
        yield ReadingInput(project=entry.project, taken_at=taken_at, **(shared | row))


def _by_point(row: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """Return one reading a point for a row that gives ``values`` by point."""
    if "values" not in row:
        yield dict(row)
        return
    common = {name: value for name, value in row.items() if name != "values"}
    for point, value in row["values"].items():
        yield common | {"point": point, "value": value}


def _spread(begins: datetime, ends: datetime, count: int) -> list[datetime]:
    """Return ``count`` whole-second moments, each after the one before, the last at ``ends``."""
    step = (ends - begins) / count
    return [(ends - step * left).replace(microsecond=0) for left in range(count - 1, -1, -1)]


def withdrawal(cast: Cast, entry: Entry) -> None:
    """Withdraw a reading the story gave a key."""
    measurement = cast.readings[entry.says["key"]]
    withdraw_measurement(actor=cast.actor(entry), measurement=measurement, because=entry.says["because"])
