"""Re-checking reworks, describing them and the photos that show them."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from logbook.bench.commands import recheck_rework, record_rework, undo_rework, withdraw_measurement
from logbook.bench.queries.reworks import ReworkLine, rework_lines
from logbook.boards.commands import PathInput, describe_rework
from logbook.boards.models import Rework
from logbook.common.errors import InvalidInputError
from logbook.common.models import ChangeRecord
from tests.builders import Bench

HOUR = timedelta(hours=1)


@pytest.fixture
def rework(bench: Bench) -> Rework:
    """Return a rework done two hours ago, with one path."""
    return record_rework(
        actor=bench.actor,
        board=bench.board,
        key="RW-01",
        kind="wire link",
        intent="repair",
        what="wire",
        subsystems=[bench.subsystem],
        in_force_from=timezone.now() - 2 * HOUR,
        paths=[PathInput("U5.3", "U6.7", "0.2 mm", "34 mm")],
    )


def line(rework: Rework) -> ReworkLine:
    (found,) = rework_lines(Rework.objects.filter(pk=rework.pk))
    return found


def test_a_rework_nobody_checked_is_half_done(rework: Rework) -> None:
    assert (line(rework).is_recheck_open, line(rework).says) == (True, "re-check open")


def test_a_look_or_a_reading_closes_the_recheck(bench: Bench, rework: Rework) -> None:
    recheck_rework(actor=bench.actor, rework=rework, note="no bridge under the microscope")
    assert (line(rework).is_recheck_open, line(rework).says) == (False, "re-checked")


def test_a_reading_withdrawn_opens_it_again(bench: Bench, rework: Rework) -> None:
    bench.target()
    reading = bench.read("3.3")
    recheck = recheck_rework(actor=bench.actor, rework=rework, measurement=reading)
    assert recheck.at == reading.taken_at
    assert not line(rework).is_recheck_open
    withdraw_measurement(actor=bench.actor, measurement=reading, because="wrong board")
    assert line(rework).is_recheck_open


def test_a_rework_undone_without_a_recheck_waits_for_none(bench: Bench, rework: Rework) -> None:
    undo_rework(actor=bench.actor, rework=rework)
    assert (line(rework).is_recheck_open, line(rework).says) == (False, "undone, never re-checked")


def test_a_recheck_says_something(bench: Bench, rework: Rework) -> None:
    with pytest.raises(InvalidInputError, match="name a reading"):
        recheck_rework(actor=bench.actor, rework=rework, note="  ")


def test_a_reading_of_before_or_of_another_board_checks_nothing(bench: Bench, rework: Rework) -> None:
    bench.target()
    bench.extra_board("0002")
    early = bench.read("3.3", taken_at=timezone.now() - 3 * HOUR)
    with pytest.raises(InvalidInputError, match="before RW-01"):
        recheck_rework(actor=bench.actor, rework=rework, measurement=early)
    with pytest.raises(InvalidInputError, match="another board"):
        recheck_rework(actor=bench.actor, rework=rework, measurement=bench.read("3.3", board="0002"))


@pytest.mark.parametrize("hours", [-3, 1], ids=["before it was done", "in the future"])
def test_it_is_checked_while_it_is_there(bench: Bench, rework: Rework, hours: int) -> None:
    with pytest.raises(InvalidInputError, match="not on 0001"):
        recheck_rework(actor=bench.actor, rework=rework, note="seen", at=timezone.now() + hours * HOUR)


def test_what_is_said_of_a_rework_changes_with_old_and_new_on_record(bench: Bench, rework: Rework) -> None:
    paths = [PathInput("U5.3", "U6.8")]
    describe_rework(actor=bench.actor, rework=rework, values={"what": "34 mm wire"}, paths=paths)
    newest = [row.fields for row in ChangeRecord.objects.filter(kind="rework")[:2]]
    assert newest == [
        {"paths": ["U5.3 → U6.7 (0.2 mm, 34 mm)", "U5.3 → U6.8"]},
        {"what": ["wire", "34 mm wire"]},
    ]


@pytest.mark.parametrize("field", ["intent", "in_force_from", "key", "board"])
def test_what_readings_hang_on_stays(bench: Bench, rework: Rework, field: str) -> None:
    with pytest.raises(InvalidInputError, match="stays as recorded"):
        describe_rework(actor=bench.actor, rework=rework, values={field: "x"})


def test_a_path_begins_somewhere(bench: Bench, rework: Rework) -> None:
    with pytest.raises(InvalidInputError, match="begins_at"):
        describe_rework(actor=bench.actor, rework=rework, values={}, paths=[PathInput("")])
