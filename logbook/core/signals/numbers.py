"""One number of an analysis, ready to be shown or taken to a target."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SignalNumber:
    """A number with its unit and how it was found.

    Parameters
    ----------
    name : str
        Stable name such as ``rise_time``.
    value : float, int or None
        In `unit`; a count is an int; None where the capture does not carry the number.
    unit : str
        Base unit, ``%``, ``dB`` or empty for a plain number.
    statement : str
        What holds for this number of this capture, such as where it was taken.
    definition : str
        How it is found: bandwidth, weighting, window, reference, as far as they bear on it.
    """

    name: str
    value: float | int | None
    unit: str
    statement: str = ""
    definition: str = ""
