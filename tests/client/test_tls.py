"""The token goes only to a site whose certificate is trusted."""

from __future__ import annotations

import shutil
import ssl
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from board_logbook_client import Logbook

from tests.client.serving import Served
from tests.client.wire import Wire

pytestmark = pytest.mark.xdist_group("client")


@pytest.fixture
def certificate(tmp_path: Path) -> Path:
    """Return a certificate of 127.0.0.1 that nobody trusts, its key beside it."""
    openssl = shutil.which("openssl")
    if openssl is None:
        pytest.skip("no openssl on this machine to make a certificate with")
    made = tmp_path / "certificate.pem"
    command = [
        openssl,
        "req",
        "-x509",
        "-newkey",
        "rsa:2048",
        "-nodes",
        "-days",
        "2",
        "-subj",
        "/CN=127.0.0.1",
    ]
    command += [
        "-addext",
        "subjectAltName=IP:127.0.0.1",
        "-keyout",
        str(tmp_path / "key.pem"),
        "-out",
        str(made),
    ]
    subprocess.run(command, check=True, capture_output=True)
    return made


@pytest.fixture
def secured(site: Served, certificate: Path) -> Iterator[Wire]:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate, certificate.with_name("key.pem"))
    with Wire(site.port, tls=context) as between:
        yield between


def test_an_untrusted_certificate_gets_nothing(secured: Wire, site: Served, tmp_path: Path) -> None:
    with Logbook(secured.address, site.token, spool=tmp_path / "spool.sqlite3", patience_s=0) as logbook:
        recorded = logbook.record("RLD-1", 3.3, "V", project="tern", board="0001")
    assert recorded.status == "waiting"
    assert "CERTIFICATE_VERIFY_FAILED" in recorded.reason
    assert secured.requests == []


def test_a_trusted_one_does(
    secured: Wire, site: Served, certificate: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SSL_CERT_FILE", str(certificate))
    with Logbook(secured.address, site.token, spool=tmp_path / "spool.sqlite3") as logbook:
        assert logbook.record("RLD-1", 3.3, "V", project="tern", board="0001").verdict == "pass"
