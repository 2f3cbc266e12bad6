"""Derived answers that a script keeps: 304 while nothing was written (RFC 9110, 13.1.2 and 15.4.5)."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import time_machine

from logbook.projects.commands import remove_member
from tests.api.callers import Caller, caller_for
from tests.builders import Bench
from tests.marks import tries

REVISION = "projects/tern/revisions/A/"
KEPT = [f"{REVISION}coverage/", f"{REVISION}risks/", f"{REVISION}readiness/", "projects/tern/targets/"]


def asked(caller: Caller, address: str, tag: str = "") -> Any:
    headers = {"Authorization": f"Bearer {caller.secret}", "If-None-Match": tag}
    return caller.client.get(f"/api/v1/{address}", headers=headers)


@pytest.mark.parametrize("address", KEPT)
def test_it_answers_304_without_a_body_while_nothing_was_written(bench: Bench, address: str):
    caller = caller_for(bench.reader)
    for _ in range(tries()):
        first = asked(caller, address)
        again = asked(caller, address, first.headers["ETag"])
        if again.status_code == 304:
            break
    assert (first.status_code, again.status_code, again.content) == (200, 304, b"")
    assert again.headers["ETag"] == first.headers["ETag"]
    assert again.headers["Cache-Control"] == "private, no-cache"


@pytest.mark.parametrize("address", KEPT)
def test_it_answers_anew_after_a_reading(bench: Bench, address: str):
    caller = caller_for(bench.reader)
    bench.target()
    tag = asked(caller, address).headers["ETag"]
    bench.read("3.3 V")
    assert asked(caller, address, tag).status_code == 200


def test_it_answers_anew_on_the_next_day(bench: Bench):
    caller = caller_for(bench.reader)
    tag = asked(caller, KEPT[0]).headers["ETag"]
    with time_machine.travel(datetime.now(UTC) + timedelta(days=1)):
        assert asked(caller, KEPT[0], tag).status_code == 200


def test_a_tag_is_that_of_one_person_and_one_address(bench: Bench):
    reader, owner = caller_for(bench.reader), caller_for(bench.owner)
    tag = asked(reader, KEPT[0]).headers["ETag"]
    assert asked(owner, KEPT[0], tag).status_code == 200
    assert asked(reader, KEPT[1], tag).status_code == 200


@pytest.mark.parametrize("tag", ["*", 'W/"0"', "no tag"])
def test_what_was_never_shown_is_never_unchanged(bench: Bench, tag: str):
    assert asked(caller_for(bench.reader), KEPT[0], tag).status_code == 200
    assert asked(caller_for(bench.stranger), KEPT[0], tag).status_code == 404


def test_it_holds_back_what_a_former_member_knew(bench: Bench):
    caller = caller_for(bench.reader)
    tag = asked(caller, KEPT[0]).headers["ETag"]
    remove_member(actor=bench.actor, project=bench.project, user=bench.reader)
    assert asked(caller, KEPT[0], tag).status_code == 404
