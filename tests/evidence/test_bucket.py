"""Evidence in a bucket: kept once, hashed both ways, and never believed unseen."""

from __future__ import annotations

import hashlib
import io
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings as site
from django.core.management import call_command
from pytest_django import Settings

from logbook.evidence import storage
from logbook.evidence.bucket import Bucket, StorageError, _client_for, bucket, check
from logbook.evidence.choices import AnalysisState
from logbook.evidence.queries import channels_of
from logbook.evidence.serving import served
from tests.evidence import files
from tests.evidence.conftest import Adder
from tests.evidence.s3_server import BUCKET, KEY, SECRET, Store, running, signature

pytest.importorskip("boto3")
DATA = b"a capture of the bench"
DIGEST = hashlib.sha256(DATA).hexdigest()
NAME = f"lab/{DIGEST[:2]}/{DIGEST[2:4]}/{DIGEST}"


@pytest.fixture
def store(settings: Settings, monkeypatch: pytest.MonkeyPatch) -> Iterator[Store]:
    """Return a store over real HTTP that the site keeps its evidence in."""
    monkeypatch.setenv("AWS_ACCESS_KEY_ID", KEY)
    monkeypatch.setenv("AWS_SECRET_ACCESS_KEY", SECRET)
    monkeypatch.setenv("AWS_DEFAULT_REGION", "eu-test-1")
    monkeypatch.setenv("AWS_EC2_METADATA_DISABLED", "true")
    with running() as made:
        settings.LOGBOOK_EVIDENCE_STORAGE = f"s3://{BUCKET}/lab"
        settings.LOGBOOK_EVIDENCE_ENDPOINT = made.address
        yield made
        _client_for(made.address).close()
        _client_for.cache_clear()


def keep(data: bytes = DATA) -> str:
    """Take a file in and keep it."""
    with storage.received(io.BytesIO(data)) as file:
        storage.keep(file)
    return file.sha256


def forget_copies() -> None:
    """Empty the folder, as on another machine."""
    shutil.rmtree(Path(site.LOGBOOK_DATA) / "evidence")


def far() -> Bucket:
    found = bucket()
    assert found is not None
    return found


def test_the_store_of_the_tests_checks_signatures_as_published() -> None:
    """The GET example of the description of Signature Version 4 for S3; its figures are from memory."""
    headers = {
        "host": "examplebucket.s3.amazonaws.com",
        "range": "bytes=0-9",
        "x-amz-content-sha256": hashlib.sha256(b"").hexdigest(),
        "x-amz-date": "20130524T000000Z",
    }
    scope = "20130524/us-east-1/s3/aws4_request"
    secret = "wJalrXUtnFEMI/K7MDENG/bPxRfiCYEXAMPLEKEY"
    found = signature("GET", "/test.txt", "", headers, sorted(headers), scope, secret)
    assert found == "f0e8bdb87c964420e857bd35b5d6ed310bd44f0170aba48dd91039c6036bdb41"


def test_a_file_is_kept_in_the_bucket_under_its_prefix(store: Store) -> None:
    assert keep() == DIGEST
    assert store.files == {NAME: DATA}
    assert storage.original(DIGEST).read_bytes() == DATA


def test_another_machine_fetches_it_once(store: Store) -> None:
    keep()
    forget_copies()
    assert storage.original(DIGEST).read_bytes() == DATA
    asked = len(store.asked)
    assert storage.original(DIGEST).read_bytes() == DATA
    assert len(store.asked) == asked


def test_what_is_kept_is_never_overwritten(store: Store) -> None:
    store.files[NAME] = b"what somebody put there before"
    keep()
    assert store.files[NAME] == b"what somebody put there before"
    assert not storage.is_intact(DIGEST)


def test_what_was_altered_in_the_bucket_is_refused(store: Store) -> None:
    keep()
    forget_copies()
    store.files[NAME] = b"altered"
    with pytest.raises(StorageError, match="not what its name says"):
        storage.original(DIGEST)
    assert not any(path.is_file() for path in (Path(site.LOGBOOK_DATA) / "evidence").rglob("*"))


def test_intact_is_what_lies_in_the_bucket_not_the_copy(store: Store) -> None:
    keep()
    assert storage.is_intact(DIGEST)
    del store.files[NAME]
    assert not storage.is_intact(DIGEST)


def test_a_file_that_is_nowhere_is_simply_not_there(store: Store) -> None:
    assert not storage.original(DIGEST).exists()
    assert not storage.beside(DIGEST, "levels").exists()


def test_what_is_made_from_a_file_is_shared_and_may_be_made_again(store: Store) -> None:
    keep()
    storage.write_beside(DIGEST, "levels", b"old")
    storage.write_beside(DIGEST, "levels", b"new")
    forget_copies()
    assert storage.beside(DIGEST, "levels").read_bytes() == b"new"
    assert store.files[NAME] == DATA


def test_a_wrong_key_is_refused_and_nothing_is_kept(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("AWS_SECRET_ACCESS_KEY", "another")
    with pytest.raises(StorageError, match="SignatureDoesNotMatch"):
        keep()
    assert store.files == {}
    assert not (Path(site.LOGBOOK_DATA) / "evidence" / DIGEST[:2]).exists()


def test_a_store_that_is_busy_is_asked_again(store: Store) -> None:
    store.failing = 1
    keep()
    assert store.files == {NAME: DATA}


def test_a_store_that_stays_busy_is_an_error_that_names_the_bucket(store: Store) -> None:
    store.failing = 10
    with pytest.raises(StorageError, match="evidence refuses: SlowDown"):
        keep()


def test_a_store_out_of_reach_is_an_error(store: Store) -> None:
    store.shutdown()
    store.server_close()
    with pytest.raises(StorageError, match="cannot be reached"):
        keep()


def test_ready_means_the_bucket_is_there(store: Store, settings: Settings) -> None:
    check()
    settings.LOGBOOK_EVIDENCE_STORAGE = "s3://another/lab"
    with pytest.raises(StorageError, match="refuses"):
        check()


def test_eight_writers_of_one_file_keep_it_once(store: Store) -> None:
    problems: list[BaseException] = []

    def write() -> None:
        try:
            keep()
        except BaseException as problem:  # noqa: BLE001 - told below
            problems.append(problem)

    threads = [threading.Thread(target=write) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert problems == []
    assert store.files == {NAME: DATA}


@pytest.mark.parametrize(
    ("address", "prefix"), [("s3://evidence", ""), ("s3://evidence/", ""), ("s3://evidence/a/b/", "a/b/")]
)
def test_the_prefix_ends_with_one_stroke(address: str, prefix: str, settings: Settings) -> None:
    settings.LOGBOOK_EVIDENCE_STORAGE = address
    assert (far().name, far().prefix) == ("evidence", prefix)


@pytest.mark.django_db
def test_a_capture_is_analysed_and_handed_over_by_a_machine_that_never_saw_it(
    store: Store, add: Adder
) -> None:
    evidence = add(files.sweep(), "sweep.csv")
    forget_copies()
    call_command("run_jobs")
    forget_copies()
    assert evidence.analyses.get().state == AnalysisState.DONE
    assert channels_of(evidence) == ["gain"]
    assert served(evidence).path.read_bytes() == files.sweep()
