"""What an analysis found and what it was asked, in the words of a bench."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from logbook.core.signals.waveform import LEVELS
from logbook.evidence.parameters import PARAMETERS
from logbook.evidence.queries import FoundNumber
from logbook.web.capture_picture import shown_number

# Units stand with the number itself, never in its name.
WRITTEN = {
    "hz": "", "bits": "", "db": "", "dbfs": "", "dbv": "", "percent": "", "v": "",
    "thd": "THD", "thdn": "THD+N", "snr": "SNR", "sinad": "SINAD", "enob": "ENOB", "dc": "DC", "ac": "AC",
    "f": "F", "r": "R",
}  # fmt: skip
UNITS = {"_hz": "Hz", "_s": "s", "_vrms": "V"}


def number_name(name: str) -> str:
    """Return the name of a number: ``thdn_db`` is THD+N."""
    words = (WRITTEN.get(word, word) for word in name.split("_"))
    return " ".join(word for word in words if word)


def number_text(number: FoundNumber) -> str:
    """Return a number with its unit, to six digits; a count as it is."""
    if isinstance(number.value, int):
        return f"{number.value} {number.unit}".rstrip()
    return shown_number(number.value, number.unit, 6)


def to_step_of(number: FoundNumber, span: float) -> FoundNumber:
    """Round a level of a trace to the sixth digit of the trace's range: beyond that is only arithmetic."""
    if number.name not in LEVELS or not span > 0:
        return number
    return replace(number, value=round(number.value, 5 - math.floor(math.log10(span))) + 0.0)


def asked_text(kind: str, parameters: Mapping[str, Any]) -> str:
    """Return what an analysis was asked: gain at 20 Hz, limit mask."""
    return ", ".join(_asked(kind, parameters))


def _asked(kind: str, parameters: Mapping[str, Any]) -> Iterator[str]:
    for parameter in PARAMETERS[kind]:
        if parameter.name not in parameters:
            continue
        label, value = parameter.label.lower(), parameters[parameter.name]
        unit = next((unit for end, unit in UNITS.items() if parameter.name.endswith(end)), "")
        if parameter.is_long:
            yield label
        elif unit:
            yield f"{label} {shown_number(value, unit, 6)}"
        elif isinstance(value, float):
            yield f"{label} {value:g}"
        else:
            yield f"{label} {value}"
