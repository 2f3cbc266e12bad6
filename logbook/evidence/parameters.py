"""What can be asked of an analysis: the parameters of each kind of capture, checked before anything runs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from logbook.common.errors import FieldProblem, InvalidInputError
from logbook.core.errors import CoreError
from logbook.core.quantities import convert, parse_quantity, unit_named
from logbook.core.signals.mask import Interpolation, parse_mask
from logbook.evidence.choices import EvidenceKind

LONGEST_MASK = 20_000
MOST_CHANNELS = 64


@dataclass(frozen=True)
class Parameter:
    """One thing that can be asked, how it is read, and what it means."""

    name: str
    label: str
    read: Callable[[str, Any], Any]
    help: str = ""
    choices: tuple[str, ...] = ()
    is_long: bool = False


def _quantity(unit: str, *, above_zero: bool = True) -> Callable[[str, Any], float]:
    def read(name: str, given: Any) -> float:
        quantity = parse_quantity(str(given), unit=unit, where=name)
        value = float(convert(quantity.value, quantity.unit, unit_named(unit)))
        if above_zero and value <= 0:
            raise InvalidInputError.of(name, "this lies above 0", given=given, allowed="above 0")
        return value

    return read


def _level(name: str, given: Any) -> float:
    """Read a number in the unit of the trace, which is only known once the file is read."""
    return float(parse_quantity(str(given), unit="", where=name).value)


def _channel(name: str, given: Any) -> int:
    text = str(given).strip()
    if not text.isdecimal() or not 1 <= int(text[:6]) <= MOST_CHANNELS:
        allowed = f"a whole number from 1 to {MOST_CHANNELS}"
        raise InvalidInputError.of(name, "channels are counted from 1", given=given, allowed=allowed)
    return int(text)


def _word(*words: str) -> Callable[[str, Any], str]:
    def read(name: str, given: Any) -> str:
        if given not in words:
            raise InvalidInputError.of(name, "no such word", given=given, allowed=", ".join(words))
        return str(given)

    return read


def _mask(axis: Interpolation) -> Callable[[str, Any], str]:
    def read(name: str, given: Any) -> str:
        text = str(given)
        if len(text) > LONGEST_MASK:
            allowed = f"up to {LONGEST_MASK} characters"
            raise InvalidInputError.of(name, "the mask is too long", allowed=allowed)
        parse_mask(text, axis)
        return text

    return read


CHANNEL = Parameter("channel", "Channel", _channel, "Counted from 1.")


def _limit_mask(axis: Interpolation) -> Parameter:
    lines = "One point a line: position, lower limit, upper limit; - where there is none."
    return Parameter("mask", "Limit mask", _mask(axis), lines, is_long=True)


GAIN_UNITS, WEIGHTINGS = ("dB", "ratio"), ("Z", "A", "C")
PARAMETERS: dict[str, tuple[Parameter, ...]] = {
    EvidenceKind.WAVEFORM: (
        CHANNEL,
        Parameter("interval_s", "Sample interval", _quantity("s"), "Only where the file does not say it."),
        Parameter("full_scale_low", "Range from", _level, "In the unit of the trace: tells clipping."),
        Parameter("full_scale_high", "Range to", _level),
        _limit_mask("linear"),
    ),
    EvidenceKind.SWEEP: (
        Parameter("gain_unit", "Gain is a", _word(*GAIN_UNITS), "Where the head does not say.", GAIN_UNITS),
        Parameter("at_hz", "Gain at", _quantity("Hz"), "Such as 1 kHz."),
        Parameter("reference_hz", "Passband at", _quantity("Hz"), "Corners are seen from here."),
        Parameter("band_low_hz", "Flatness from", _quantity("Hz")),
        Parameter("band_high_hz", "Flatness to", _quantity("Hz")),
        _limit_mask("log"),
    ),
    EvidenceKind.AUDIO: (
        CHANNEL,
        Parameter(
            "full_scale_vrms",
            "Full scale",
            _quantity("V"),
            "The rms voltage of a sine that just fills the range; gives dBV.",
        ),
        Parameter("low_hz", "Bandwidth from", _quantity("Hz")),
        Parameter("high_hz", "Bandwidth to", _quantity("Hz")),
        Parameter("weighting", "Weighting", _word(*WEIGHTINGS), "Of IEC 61672-1; Z is none.", WEIGHTINGS),
        Parameter("fundamental_hz", "Fundamental", _quantity("Hz"), "Found by itself when left out."),
    ),
}
_TOGETHER = (("full_scale_low", "full_scale_high"), ("band_low_hz", "band_high_hz"))


def checked_parameters(kind: str, given: Mapping[str, Any]) -> dict[str, Any]:
    """Return the parameters as they are stored; what is empty is left out.

    Raises
    ------
    InvalidInputError
        Naming every parameter that does not exist or cannot be read.
    """
    known = {parameter.name: parameter for parameter in PARAMETERS.get(kind, ())}
    if not known:
        message = f"a {EvidenceKind(kind).label} is not analysed"
        raise InvalidInputError.of("kind", message, given=kind, allowed=", ".join(PARAMETERS))
    checked: dict[str, Any] = {}
    problems: list[FieldProblem] = []
    for name, value in given.items():
        if value is None or value == "":
            continue
        if name not in known:
            message = f"there is no parameter {name!r} here"
            problems.append(FieldProblem(name, message, str(value)[:200], ", ".join(known), "unknown"))
            continue
        try:
            checked[name] = known[name].read(name, value)
        except InvalidInputError as error:
            problems.extend(error.problems)
        except CoreError as error:
            problems.append(FieldProblem(name, error.message, error.given, error.allowed, error.code))
    problems += _halves(checked)
    if problems:
        summary = "; ".join(f"{one.field}: {one.message}" for one in problems)
        raise InvalidInputError(summary, problems=problems)
    return checked


def _halves(checked: Mapping[str, Any]) -> list[FieldProblem]:
    """Return a problem for each pair of ends of which one is missing or which is upside down."""
    found = []
    for low, high in _TOGETHER:
        if (low in checked) != (high in checked):
            missing = high if low in checked else low
            found.append(FieldProblem(missing, f"give {low} and {high} together", code="required"))
        elif low in checked and checked[low] >= checked[high]:
            message = f"{high} lies above {low}"
            found.append(FieldProblem(high, message, str(checked[high]), f"above {checked[low]}"))
    return found
