"""The numbers of a capture, as they are stored and shown."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from logbook.core.signals.audio import BANDWIDTH_HZ, audio_numbers
from logbook.core.signals.captures import AudioCapture, Sweep, Waveform
from logbook.core.signals.crosstalk import crosstalk_db
from logbook.core.signals.mask import check_mask, parse_mask
from logbook.core.signals.numbers import SignalNumber
from logbook.core.signals.sweep import corners, flatness, gain_at
from logbook.core.signals.waveform import waveform_numbers
from logbook.evidence.traces import Capture, Floats

BETWEEN = "on a straight line over log frequency between points"
CORNER = f"from the passband, first crossing of the level, {BETWEEN}"


@dataclass(frozen=True)
class Found:
    """What an analysis found: numbers by name, and sentences that qualify them."""

    numbers: dict[str, dict[str, Any]]
    statements: list[str]


Signals = tuple[list[SignalNumber], list[str]]


def numbers_of(capture: Capture, parameters: Mapping[str, Any]) -> Found:
    """Return the numbers of a capture that are there; a level of silence, minus infinity, is none."""
    numbers, statements = signals_of(capture, parameters)
    kept = {
        one.name: {
            "value": one.value,
            "unit": one.unit,
            "says": one.statement,
            "definition": one.definition,
        }
        for one in numbers
        if one.value is not None and math.isfinite(one.value)
    }
    return Found(kept, statements)


def signals_of(capture: Capture, parameters: Mapping[str, Any]) -> Signals:
    """Return every number of a capture, also those it does not carry; the core refuses what carries none."""
    numbers, statements = _signals(capture, parameters)
    return numbers, list(dict.fromkeys(statements))


def _signals(capture: Capture, parameters: Mapping[str, Any]) -> Signals:
    if isinstance(capture, Waveform):
        return _waveform(capture, parameters)
    if isinstance(capture, Sweep):
        return _sweep(capture, parameters)
    return _audio(capture, parameters)


def _waveform(capture: Waveform, parameters: Mapping[str, Any]) -> Signals:
    place = parameters.get("channel", 1) - 1
    scale = None
    if "full_scale_low" in parameters:
        scale = (parameters["full_scale_low"], parameters["full_scale_high"])
    result = waveform_numbers(capture, place, scale)
    trace = capture.channels[place]
    masked, says = _mask(parameters, capture.times, trace.samples, trace.unit, "s", axis="linear")
    return [*result.numbers(), *masked], [*result.notes, *says]


def _sweep(capture: Sweep, parameters: Mapping[str, Any]) -> Signals:
    highest = int(capture.gains_db.argmax())
    edges = corners(capture, reference_hz=parameters.get("reference_hz"))
    reference = f"3.01 dB below {edges.reference_db:.6g} dB"
    numbers = [
        SignalNumber("highest_gain", float(capture.gains_db[highest]), "dB", definition="highest point"),
        SignalNumber(
            "highest_gain_at",
            float(capture.frequencies_hz[highest]),
            "Hz",
            definition="frequency of the highest point",
        ),
        SignalNumber("lower_corner", edges.lower_hz, "Hz", reference, f"going down {CORNER}"),
        SignalNumber("upper_corner", edges.upper_hz, "Hz", reference, f"going up {CORNER}"),
    ]
    if "at_hz" in parameters:
        at = parameters["at_hz"]
        numbers.append(SignalNumber("gain", gain_at(capture, at), "dB", f"at {at:g} Hz", f"gain {BETWEEN}"))
    if "band_low_hz" in parameters:
        low, high = parameters["band_low_hz"], parameters["band_high_hz"]
        spread = flatness(capture, low, high).spread_db
        says = f"from {low:g} to {high:g} Hz"
        numbers.append(SignalNumber("flatness", spread, "dB", says, "highest minus lowest gain in the band"))
    masked, statements = _mask(parameters, capture.frequencies_hz, capture.gains_db, "dB", "Hz", axis="log")
    return [*numbers, *masked], [*capture.notes, *statements]


def _mask(
    parameters: Mapping[str, Any], x: Floats, y: Floats, unit: str, x_unit: str, *, axis: Any
) -> tuple[list[SignalNumber], list[str]]:
    if "mask" not in parameters:
        return [], []
    check = check_mask(parse_mask(parameters["mask"], axis), x, y)
    worst = (
        f"worst at {check.worst_at:.6g} {x_unit}: {check.worst_value:.6g} {unit} against the "
        f"{check.worst_side} limit of {check.worst_limit:.6g} {unit}"
    )
    numbers = [
        SignalNumber(
            "mask_margin",
            check.margin,
            unit,
            worst,
            "least distance to a limit; below 0 outside",
        ),
        SignalNumber(
            "mask_points_outside",
            check.points_outside,
            "",
            definition=f"of {check.points_checked} points",
        ),
    ]
    word = "Inside" if check.is_inside else "Outside"
    covered = "" if check.is_covered else " The capture does not reach over the whole mask."
    return numbers, [f"{word} the mask, {worst}.{covered}"]


def _audio(capture: AudioCapture, parameters: Mapping[str, Any]) -> Signals:
    place = parameters.get("channel", 1) - 1
    band = (parameters.get("low_hz", BANDWIDTH_HZ[0]), parameters.get("high_hz", BANDWIDTH_HZ[1]))
    result = audio_numbers(
        capture,
        place,
        full_scale_vrms=parameters.get("full_scale_vrms"),
        bandwidth_hz=band,
        weighting=parameters.get("weighting", "Z"),
        fundamental_hz=parameters.get("fundamental_hz"),
    )
    used = (
        f"Noise and distortion from {result.bandwidth_low_hz:.6g} to {result.bandwidth_high_hz:.6g} Hz, "
        f"weighting {result.weighting}, {result.frames_used} frames."
    )
    others = _crosstalk(capture, place, band, result.frequency_hz)
    return [*result.numbers(), *others], [*result.notes, used]


def _crosstalk(
    capture: AudioCapture, driven: int, band: tuple[float, float], tone_hz: float | None
) -> list[SignalNumber]:
    """Return the crosstalk into each other channel, where the channel analysed holds a tone."""
    if tone_hz is None:
        return []
    return [
        SignalNumber(
            f"crosstalk_to_channel_{quiet + 1}",
            crosstalk_db(capture, driven, quiet, bandwidth_hz=band),
            "dB",
            definition=f"the tone of channel {driven + 1} in channel {quiet + 1}, relative to channel "
            f"{driven + 1}, at its frequency alone",
        )
        for quiet in range(len(capture.samples))
        if quiet != driven
    ]
