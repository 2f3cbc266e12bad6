"""Two people act at the same moment, on a real server with real threads."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import close_old_connections, connection

from logbook.bench.commands import (
    ReadingInput,
    add_instrument,
    change_target,
    issue_target,
    record_calibration,
    record_readings,
    withdraw_measurement,
)
from logbook.bench.commands.targets import Asked
from logbook.bench.models import Measurement, TargetIssue
from logbook.bench.queries.verification import discrepancies_of
from logbook.common.errors import ConflictError, DomainError, InvalidInputError
from logbook.core.graph import find_cycle
from logbook.projects.commands import add_subsystem, change_subsystem, remove_member, set_member
from logbook.projects.models import Membership
from logbook.projects.queries import subsystem_needs
from tests.builders import Bench, build_bench

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.postgres,
    pytest.mark.xdist_group("races"),
]
NOON = datetime(2024, 3, 1, 12, 0, tzinfo=UTC)
ROUNDS = 4


@pytest.fixture
def shop(transactional_db: None) -> Bench:
    """Return a bench that other connections can see."""
    if connection.vendor != "postgresql":
        pytest.skip("needs PostgreSQL: set DATABASE_URL; SQLite lets one writer in at a time")
    return build_bench()


def at_once(*deeds: Callable[[], object]) -> list[object]:
    """Do all deeds at the same moment, each on a connection of its own; return results or errors."""
    barrier = threading.Barrier(len(deeds))
    results: list[object] = [None] * len(deeds)

    def act(place: int, deed: Callable[[], object]) -> None:
        barrier.wait(timeout=20)
        try:
            results[place] = deed()
        except Exception as error:  # noqa: BLE001 - the test looks at whatever went wrong
            results[place] = error
        finally:
            close_old_connections()
            connection.close()

    threads = [threading.Thread(target=act, args=pair) for pair in enumerate(deeds)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    return results


def unexpected(results: list[object]) -> list[object]:
    return [one for one in results if isinstance(one, Exception) and not isinstance(one, DomainError)]


def items(count: int, start: int = 0, **given: Any) -> list[ReadingInput]:
    return [
        ReadingInput(
            "tern", "0001", "3.1" if n % 3 else "3.3", "T1", key=f"k{n}",
            taken_at=NOON + timedelta(minutes=n), **given,
        )
        for n in range(start, start + count)
    ]  # fmt: skip


def test_the_same_list_from_two_writers_is_stored_once(shop: Bench) -> None:
    shop.target("T1")
    shop.target("T2", needs=["T1"])
    for turn in range(ROUNDS):
        readings = items(40, 40 * turn)
        results = at_once(
            lambda r=readings: record_readings(actor=shop.actor, items=r),
            lambda r=readings: record_readings(actor=shop.actor, items=list(reversed(r))),
        )
        assert unexpected(results) == []
        words = sorted(one.status for result in results for one in result)  # type: ignore[attr-defined]
        assert words == ["duplicate"] * 40 + ["stored"] * 40
    assert Measurement.objects.count() == 40 * ROUNDS
    assert list(discrepancies_of(shop.project)) == []


def test_one_key_for_two_boards_is_stored_once(shop: Bench) -> None:
    """The two writers hold different boards, so only the database itself can tell."""
    shop.target("T1")
    shop.extra_board("0002")
    for turn in range(ROUNDS):
        results = at_once(
            *[
                lambda b=board, t=turn: record_readings(
                    actor=shop.actor, items=[ReadingInput("tern", b, "3.3", "T1", key=f"same{t}")]
                )
                for board in ("0001", "0002")
            ]
        )
        assert unexpected(results) == []
        words = sorted(one.status for result in results for one in result)  # type: ignore[attr-defined]
        assert words == ["rejected", "stored"]
    assert list(discrepancies_of(shop.project)) == []


def test_a_writer_and_a_withdrawal(shop: Bench) -> None:
    shop.target("T1")
    for turn in range(ROUNDS):
        reading = shop.read("3.1", "T1")
        results = at_once(
            lambda t=turn: record_readings(actor=shop.actor, items=items(5, 10 * t)),
            lambda r=reading: withdraw_measurement(actor=shop.actor, measurement=r, because="slipped"),
        )
        assert unexpected(results) == []
        assert list(discrepancies_of(shop.project)) == []


def test_two_withdrawals_of_one_reading(shop: Bench) -> None:
    shop.target("T1")
    reading = shop.read("3.1", "T1")
    results = at_once(
        *[
            lambda w=why: withdraw_measurement(
                actor=shop.actor, measurement=Measurement.objects.get(pk=reading.pk), because=w
            )
            for why in ("one", "two")
        ]
    )
    assert sum(isinstance(one, ConflictError) for one in results) == 1
    assert unexpected(results) == []


def test_two_new_issues_of_one_target_get_two_numbers(shop: Bench) -> None:
    target = shop.target("T1")
    shop.read("3.3", "T1")
    for turn in range(ROUNDS):
        results = at_once(
            *[
                lambda c=f"{turn} {word}": issue_target(
                    actor=shop.actor, target=target, asked=Asked(limits="3..4 V", conditions=c), reason="r"
                )
                for word in ("warm", "cold")
            ]
        )
        assert unexpected(results) == []
    numbers = TargetIssue.objects.filter(target=target).order_by("number").values_list("number", flat=True)
    assert list(numbers) == list(range(1, 2 * ROUNDS + 2))
    assert list(discrepancies_of(shop.project)) == []


def test_a_writer_a_new_issue_and_a_prerequisite(shop: Bench) -> None:
    """Whoever comes second derives from what the first left, and nobody waits in a circle."""
    first, second = shop.target("T1"), shop.target("T2")
    shop.read("3.3", "T2")
    for turn in range(ROUNDS):
        results = at_once(
            lambda t=turn: record_readings(actor=shop.actor, items=items(20, 20 * t)),
            lambda t=turn: issue_target(
                actor=shop.actor, target=first, asked=Asked(limits=f"3..3.{4 + t} V"), reason="r"
            ),
            lambda t=turn: change_target(
                actor=shop.actor, target=second, values={}, prerequisites=["T1"] if t % 2 else []
            ),
        )
        assert unexpected(results) == []
        assert list(discrepancies_of(shop.project)) == []


def test_a_calibration_and_a_reading_on_its_way(shop: Bench) -> None:
    shop.target("T1")
    meter = add_instrument(actor=shop.actor, name="M-1", kind="meter")
    day = date(2024, 1, 1)
    for turn in range(ROUNDS):
        on = day + timedelta(days=70 * turn)
        results = at_once(
            lambda t=turn: record_readings(actor=shop.actor, items=items(10, 10 * t, instrument="M-1")),
            lambda t=turn, o=on: record_calibration(
                actor=shop.actor, instrument=meter, number=f"K{t}", on=o, next_due=o + timedelta(days=20),
                result="out of limits",
            ),
        )  # fmt: skip
        assert unexpected(results) == []
        assert list(discrepancies_of(shop.project)) == []


def test_two_prerequisites_that_are_a_circle_together(shop: Bench) -> None:
    for turn in range(ROUNDS):
        one, other = shop.target(f"A{turn}"), shop.target(f"B{turn}")
        results = at_once(
            lambda t=one, n=other.key: change_target(
                actor=shop.actor, target=t, values={}, prerequisites=[n]
            ),
            lambda t=other, n=one.key: change_target(
                actor=shop.actor, target=t, values={}, prerequisites=[n]
            ),
        )
        assert sum(isinstance(result, InvalidInputError) for result in results) == 1
        assert unexpected(results) == []


def test_two_subsystems_that_are_a_circle_together(shop: Bench) -> None:
    pair = [
        add_subsystem(actor=shop.actor, project=shop.project, key=key, name=key, kind="power") for key in "AB"
    ]
    results = at_once(
        *[
            lambda s=one, n=other.key: change_subsystem(
                actor=shop.actor, subsystem=s, values={}, depends_on=[n]
            )
            for one, other in (pair, pair[::-1])
        ]
    )
    assert unexpected(results) == []
    assert not find_cycle(subsystem_needs(shop.project))


def test_two_owners_cannot_leave_together(shop: Bench) -> None:
    set_member(actor=shop.actor, project=shop.project, user=shop.editor, role="owner")
    results = at_once(
        *[
            lambda u=user: remove_member(actor=shop.actor, project=shop.project, user=u)
            for user in (shop.owner, shop.editor)
        ]
    )
    assert unexpected(results) == []
    assert Membership.objects.filter(project=shop.project, role="owner").count() == 1
