"""Lists of readings while the process, the connection or the network of two clients gets in between."""

from __future__ import annotations

import random
import threading
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import psycopg
import pytest

from tests.faults.conftest import FaultSite
from tests.faults.readings import LISTED, Answer, a_list, counted, send

Survived = Callable[[str, str, str], None]
SLICES = {0, LISTED // 2, LISTED}
MOST_ATTEMPTS, CUTS = 6, 2
IN_THE_MIDDLE = """
SELECT pid FROM pg_stat_activity
WHERE datname = current_database() AND pid <> pg_backend_pid() AND backend_type = 'client backend'
AND xact_start IS NOT NULL AND backend_xid IS NOT NULL
"""

pytestmark = [pytest.mark.xdist_group("faults"), pytest.mark.timeout(600)]


@contextmanager
def posting(site: FaultSite, sent: object) -> Iterator[list[Answer]]:
    """Post in the background; the answer is there afterwards."""
    answers: list[Answer] = []
    thread = threading.Thread(target=lambda: answers.append(site.post(sent)))
    thread.start()
    yield answers
    thread.join(180)


def settled(site: FaultSite, sent: list[dict[str, object]]) -> str:
    """Send the list once more: it is there whole and once; return what verify says."""
    again = site.post(sent)
    assert again.status == 200, again.body
    found = counted([again])
    assert found["stored"] + found["duplicate"] == len(sent)
    assert found["rejected"] == 0
    assert site.stored() == len(sent)
    return site.verified()


@pytest.mark.postgres
def test_the_web_processes_are_killed_while_a_list_comes_in(site: FaultSite, survived: Survived) -> None:
    sent = a_list("killed")
    moments = random.Random()
    cut: list[int] = []
    for _ in range(MOST_ATTEMPTS):
        site.start()
        with posting(site, sent) as answers:
            time.sleep(moments.uniform(0.1, 1.5))
            site.break_down()
        if answers[0].status == 0:
            cut.append(site.stored())
            assert cut[-1] in SLICES
        if len(cut) == CUTS:
            break
    assert cut
    site.start()
    said = settled(site, sent)
    survived("web processes killed in a list of 10,000", site.vendor, f"held {cut} when cut; then {said}")


@pytest.mark.postgres
def test_the_connection_to_the_database_is_cut_in_mid_transaction(
    on_postgresql: FaultSite, survived: Survived
) -> None:
    sent = a_list("cut")
    on_postgresql.start()
    with (
        posting(on_postgresql, sent) as answers,
        psycopg.connect(on_postgresql.database, autocommit=True) as link,
    ):
        found = None
        while found is None and not answers:
            found = link.execute(IN_THE_MIDDLE).fetchone()
        assert found is not None
        link.execute("SELECT pg_terminate_backend(%s)", found)
    refused = answers[0]
    assert (refused.status, refused.body["code"]) == (503, "unavailable")
    assert "Send the same again" in refused.body["detail"]
    assert on_postgresql.stored() in SLICES
    said = settled(on_postgresql, sent)
    survived("connection cut in mid-transaction", "postgresql", f"503 {refused.body['code']}; then {said}")


@pytest.mark.postgres
def test_two_clients_send_the_same_list_at_the_same_moment(site: FaultSite, survived: Survived) -> None:
    sent = a_list("twice", 3_000)
    site.start()
    with posting(site, sent) as first, posting(site, sent) as second:
        pass
    answers = [*first, *second]
    assert [one.status for one in answers] == [200, 200]
    assert counted(answers) == {"stored": 3_000, "duplicate": 3_000, "rejected": 0}
    assert site.stored() == 3_000
    said = site.verified()
    survived("the same list twice at one moment", site.vendor, f"3,000 stored, 3,000 duplicates; {said}")


def seen_by(site: FaultSite, path: str) -> str:
    """Return the tag of the version a caller reads."""
    headers = {"Authorization": f"Bearer {site.token}"}
    request = urllib.request.Request(f"{site.address}/api/v1/{path}", headers=headers)
    with urllib.request.urlopen(request, timeout=60) as answer:
        return str(answer.headers["ETag"])


@pytest.mark.postgres
def test_two_people_change_one_target_at_the_same_moment(site: FaultSite, survived: Survived) -> None:
    site.start()
    other = site.manage("create_token", "--user", "editor-tern", "--scopes", "read,edit").split()[-1]
    path = "projects/tern/targets/T1/"
    tag = seen_by(site, path)
    answers: list[Answer] = []
    writers = [
        threading.Thread(
            target=lambda token=token, minutes=minutes: answers.append(
                send(site.address, token, {"minutes": minutes}, method="PATCH", path=path, tag=tag)
            )
        )
        for token, minutes in ((site.token, 11), (other, 22))
    ]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(120)
    kept, refused = sorted(answers, key=lambda one: one.status)
    assert (kept.status, refused.status) == (200, 412)
    assert f"changed minutes from 5 to {kept.body['minutes']}" in refused.body["detail"]
    assert site.asked("SELECT minutes FROM bench_target WHERE key = 'T1'") == kept.body["minutes"]
    survived("two people change one target", site.vendor, f"one kept; 412: {refused.body['detail'][:70]}…")
