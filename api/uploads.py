"""Files that come in beside fields, as ``multipart/form-data``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from rest_framework import serializers
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request

from api.errors import TooLargeError
from logbook.common.errors import InvalidInputError

MULTIPART = "multipart/form-data"
PARSERS = [MultiPartParser]


class File(serializers.FileField):
    """One file. Whether it may be empty, and what it is, is for the commands."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**({"required": True, "allow_empty_file": True} | options))


def fields_of(request: Request) -> dict[str, Any]:
    """Return what was sent, each name once: the last one counts, as in JSON."""
    data: Mapping[str, Any] = request.data  # type: ignore[assignment]
    return {name: data[name] for name in data}


def too_large(error: InvalidInputError) -> TooLargeError | InvalidInputError:
    """Return the error as the one of its own status where a file was beyond the setting."""
    is_size = any(problem.code == "too_large" for problem in error.problems)
    return TooLargeError(error.message) if is_size else error


def name_of(file: UploadedFile[Any]) -> str:
    """Return the name a file was sent with."""
    return file.name or ""
