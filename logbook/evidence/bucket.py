"""The bucket that keeps the files where ``LOGBOOK_EVIDENCE_STORAGE`` names one: any store that speaks S3.

Rule: an original is sent with its SHA-256, which the store checks, and on the condition that its name is not
taken; what comes back is hashed before anything here believes it. Nothing is ever given out by address: the
site hands every file over itself.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import IO, Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured

PIECE = 1024 * 1024
TAKEN = {"PreconditionFailed", "ConditionalRequestConflict"}
MISSING = {"404", "NoSuchKey", "NotFound"}
MOST_ATTEMPTS = 3
PATIENCE_S = 10


class StorageError(OSError):
    """The bucket cannot be reached, refuses, or holds something else than was kept there."""


@dataclass(frozen=True)
class Bucket:
    """One bucket, and the prefix all names in it begin with."""

    name: str
    prefix: str
    endpoint: str

    def put_new(self, name: str, file: Path, sha256: str) -> None:
        """Keep a file for good; a name that is taken stays as it is."""
        with file.open("rb") as stream:
            self._put(name, stream, sha256, IfNoneMatch="*")

    def put(self, name: str, data: bytes) -> None:
        """Write what was made from a file, and may be made again."""
        self._put(name, data, hashlib.sha256(data).hexdigest())

    def fetch(self, name: str, target: IO[bytes]) -> str | None:
        """Copy a file here and return its SHA-256; nothing when it is not there."""
        return self._hashed(name, target.write)

    def sha256_of(self, name: str) -> str | None:
        """Return the SHA-256 of what really lies in the bucket; nothing when it is not there."""
        return self._hashed(name, lambda piece: None)

    def check(self) -> None:
        """Raise unless the bucket is there and takes our key."""
        self._asked(lambda: self._client().head_bucket(Bucket=self.name))

    def _put(self, name: str, body: Any, sha256: str, **condition: str) -> None:
        checksum = base64.b64encode(bytes.fromhex(sha256)).decode()
        self._asked(
            lambda: self._client().put_object(
                Bucket=self.name, Key=self.prefix + name, Body=body, ChecksumSHA256=checksum, **condition
            )
        )

    def _hashed(self, name: str, use: Callable[[bytes], object]) -> str | None:
        answer = self._asked(lambda: self._client().get_object(Bucket=self.name, Key=self.prefix + name))
        if answer is None:
            return None
        digest = hashlib.sha256()
        for piece in self._read(answer["Body"]):
            digest.update(piece)
            use(piece)
        return digest.hexdigest()

    def _read(self, body: Any) -> Iterator[bytes]:
        from botocore.exceptions import BotoCoreError, HTTPClientError

        try:
            yield from body.iter_chunks(PIECE)
        except (BotoCoreError, HTTPClientError) as error:
            message = f"the bucket {self.name} broke off: {type(error).__name__}"
            raise StorageError(message) from error

    def _asked(self, ask: Callable[[], Any]) -> Any:
        """Return the answer; nothing where the name is missing or, writing on condition, taken."""
        from botocore.exceptions import BotoCoreError, ClientError

        try:
            return ask()
        except ClientError as error:
            code = str(error.response.get("Error", {}).get("Code", ""))
            if code in TAKEN or (code in MISSING and error.operation_name == "GetObject"):
                return None
            message = f"the bucket {self.name} refuses: {code}"
            raise StorageError(message) from error
        except BotoCoreError as error:
            message = f"the bucket {self.name} cannot be reached: {type(error).__name__}"
            raise StorageError(message) from error

    def _client(self) -> Any:
        return _client_for(self.endpoint)


@lru_cache(maxsize=4)
def _client_for(endpoint: str) -> Any:
    """Return the client; it may be shared by threads. Keys and region come from the environment."""
    # Imported here: it takes half a second, and most sites keep their files in a folder.
    try:
        import boto3
        from botocore.config import Config
    except ImportError as problem:
        hint = "LOGBOOK_EVIDENCE_STORAGE names a bucket: install the extra s3 (boto3)."
        raise ImproperlyConfigured(hint) from problem
    config = Config(
        connect_timeout=PATIENCE_S,
        read_timeout=PATIENCE_S,
        retries={"max_attempts": MOST_ATTEMPTS, "mode": "standard"},
        s3={"addressing_style": "path" if endpoint else "auto"},
    )
    return boto3.session.Session().client("s3", endpoint_url=endpoint or None, config=config)


def check() -> None:
    """Raise where a bucket is set and cannot be used."""
    if (far := bucket()) is not None:
        far.check()


def bucket() -> Bucket | None:
    """Return the bucket of the settings; nothing where the files lie in the data folder alone."""
    address = settings.LOGBOOK_EVIDENCE_STORAGE
    if not address:
        return None
    parts = urlsplit(address)
    prefix = parts.path.strip("/")
    return Bucket(parts.netloc, f"{prefix}/" if prefix else "", settings.LOGBOOK_EVIDENCE_ENDPOINT)
