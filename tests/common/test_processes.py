"""The site as it is deployed: gunicorn with two processes, a worker, PostgreSQL and each broker, all real."""

from __future__ import annotations

import json
import os
import time
import urllib.error
import urllib.parse
import urllib.request
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from prometheus_client.parser import text_string_to_metric_families

from tests.common.sites import Site, is_listening
from tests.common.test_workers import BROKERS

POSTGRES = os.environ.get("LOGBOOK_TEST_POSTGRES", "postgres://root@127.0.0.1:5432/postgres")
METRICS_TOKEN = "metrics-" + "m" * 30
PASSWORD = "a-long-Passw0rd-of-a-test"
PREPARE = f"""
from logbook.accounts.models import User
from logbook.common.changes import Actor
from logbook.projects.commands import create_project
user = User.objects.create_user(username="iv", password="{PASSWORD}")
create_project(actor=Actor(user, "command"), owner=user, slug="tern", name="Tern")
"""
# A ramp of 64 samples: enough for an analysis, small enough for a page.
CAPTURE = "t [s],v [V]\n" + "".join(f"{n * 1e-6:.6f},{n % 8}\n" for n in range(64))


@pytest.fixture(scope="module")
def database() -> Iterator[str]:
    """Return the address of a database of its own, gone afterwards."""
    psycopg = pytest.importorskip("psycopg")
    if not is_listening(urllib.parse.urlsplit(POSTGRES).port or 5432):
        pytest.skip("no PostgreSQL answers")
    name = f"logbook_processes_{uuid.uuid4().hex[:8]}"
    server = POSTGRES.replace("postgres://", "postgresql://")
    with psycopg.connect(server, autocommit=True) as link:
        link.execute(f"CREATE DATABASE {name}")
    yield POSTGRES.rpartition("/")[0] + f"/{name}"
    with psycopg.connect(server, autocommit=True) as link:
        link.execute(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(scope="module")
def migrated(database: str, tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return the address of the database with tables, a person and a project."""
    site = Site(tmp_path_factory.mktemp("migrated"), extra={"DATABASE_URL": database}, patience_s=240)
    site.manage("migrate", "--verbosity", "0")
    site.script(PREPARE)
    return database


@pytest.fixture(params=sorted(BROKERS))
def site(request: pytest.FixtureRequest, migrated: str, tmp_path: Path) -> Iterator[Site]:
    """Return a site with that database and a real broker; its log is JSON."""
    port, broker = BROKERS[request.param]
    if not is_listening(port):
        pytest.skip(f"no {request.param} answers on 127.0.0.1:{port}")
    extra = {
        "DATABASE_URL": migrated,
        "LOGBOOK_LOG_FORMAT": "json",
        "LOGBOOK_LOG_LEVEL": "INFO",
        "LOGBOOK_METRICS_TOKEN": METRICS_TOKEN,
        "PROMETHEUS_MULTIPROC_DIR": str(tmp_path / "counts"),
    }
    (tmp_path / "counts").mkdir()
    made = Site(tmp_path, broker=broker, queue=f"logbook-test-{uuid.uuid4().hex[:12]}", extra=extra)
    yield made
    made.close()


def call(address: str, token: str = "", data: bytes | None = None, **headers: str) -> tuple[int, Any, bytes]:
    """Return status, headers and body of an answer."""
    request = urllib.request.Request(address, data=data)
    for name, value in headers.items():
        request.add_header(name.replace("_", "-"), value)
    if token:
        request.add_header("Authorization", f"Bearer {token}")
    try:
        with urllib.request.urlopen(request, timeout=60) as answer:
            return answer.status, answer.headers, answer.read()
    except urllib.error.HTTPError as error:
        return error.code, error.headers, error.read()


def uploaded(address: str, token: str, data: str) -> tuple[int, Any, bytes]:
    """Send a capture as a form."""
    boundary = "between-the-parts"
    head = 'Content-Disposition: form-data; name="file"; filename="rise.csv"\r\nContent-Type: text/csv'
    body = f"--{boundary}\r\n{head}\r\n\r\n{data}\r\n--{boundary}--\r\n".encode()
    return call(address, token, body, Content_Type=f"multipart/form-data; boundary={boundary}")


def counted(text: bytes, name: str, **labels: str) -> float:
    """Return the sum of the samples with this name and these labels."""
    return sum(
        sample.value
        for family in text_string_to_metric_families(text.decode())
        for sample in family.samples
        if sample.name == name and labels.items() <= sample.labels.items()
    )


def test_a_capture_sent_to_two_processes_is_analysed_by_a_worker(site: Site) -> None:
    address, token = site.serve(), site.token()
    site.worker()
    evidence = f"{address}/api/v1/projects/tern/evidence/"
    # A content of its own for each broker: the same file is kept, and analysed, once.
    status, _, body = uploaded(evidence, token, CAPTURE + f"0.001,{site.broker[0] == 'r':d}\n")
    assert status == 201, body
    number = json.loads(body)["id"]
    end = time.monotonic() + 60
    state = "waiting"
    while state not in {"done", "refused"} and time.monotonic() < end:
        state = json.loads(call(f"{evidence}{number}/", token)[2])["analysis"]["state"]
        time.sleep(0.2)
    assert state == "done", (site.folder / "worker.log").read_text()
    text = call(f"{address}/metrics", METRICS_TOKEN)[2]
    assert counted(text, "logbook_jobs_total", outcome="done") >= 1
    assert '"event": "job ended"' in (site.folder / "worker.log").read_text()


def test_the_counts_of_all_processes_are_added_up(site: Site) -> None:
    address = site.serve()
    before = counted(
        call(f"{address}/metrics", METRICS_TOKEN)[2], "logbook_requests_total", route="/healthz/"
    )
    for _ in range(40):
        assert call(f"{address}/healthz/")[0] == 200
    texts = [call(f"{address}/metrics", METRICS_TOKEN)[2] for _ in range(6)]
    assert {counted(text, "logbook_requests_total", route="/healthz/") - before for text in texts} == {40}
    # Both processes answered, or the test would prove nothing.
    assert len(list((site.folder / "counts").glob("counter_*.db"))) >= 2


def test_no_secret_that_was_sent_is_in_the_log(site: Site) -> None:
    address, token = site.serve(), site.token()
    form = urllib.parse.urlencode({"username": "iv", "password": PASSWORD}).encode()
    call(f"{address}/sign-in/", data=form)
    call(f"{address}/api/v1/projects/", token, X_Request_ID="asked-by-a-test")
    call(f"{address}/api/v1/projects/?token={token}", token + "x")
    status, headers, _ = call(f"{address}/fail/", data=form, X_Request_ID="failed-in-a-test")
    assert (status, headers["X-Request-ID"]) == (500, "failed-in-a-test")
    log = (site.folder / "site.log").read_text()
    lines = [json.loads(line) for line in log.splitlines()]
    failed = [line for line in lines if line.get("request_id") == "failed-in-a-test"]
    assert any("ConnectionError" in line.get("exception", "") for line in failed)
    assert any(line.get("user") for line in lines if line.get("request_id") == "asked-by-a-test")
    assert [
        secret for secret in (PASSWORD, token, token.partition(".")[2], METRICS_TOKEN) if secret in log
    ] == []


def test_a_migration_that_cannot_have_its_lock_gives_up(migrated: str, tmp_path: Path) -> None:
    """``PGOPTIONS`` reaches the connection of the site, so that a migration does not wait for ever."""
    psycopg = pytest.importorskip("psycopg")
    site = Site(tmp_path, extra={"DATABASE_URL": migrated, "PGOPTIONS": "-c lock_timeout=300ms"})
    alter = (
        "from django.db import OperationalError, connection\n"
        "try: connection.cursor().execute('ALTER TABLE common_job ADD COLUMN colour integer')\n"
        "except OperationalError as error: print(error)"
    )
    with psycopg.connect(migrated.replace("postgres://", "postgresql://")) as link:
        link.execute("SELECT count(*) FROM common_job")  # a page that is being read
        assert "lock timeout" in site.script(alter)


def test_a_restarted_process_loses_no_request(site: Site) -> None:
    """A new process takes over while the old one answers to the end, as at every release."""
    address = site.serve()
    (server,) = site.processes
    server.send_signal(1)  # SIGHUP: gunicorn starts new processes, then ends the old ones
    assert {call(f"{address}/readyz/")[0] for _ in range(60)} == {200}
