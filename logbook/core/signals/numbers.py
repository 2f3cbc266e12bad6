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
    value : float or None
        In `unit`; None where the capture does not carry the number.
    unit : str
        Base unit, ``%``, ``dB`` or empty for a plain number.
    statement : str
        The definition the number follows.
    """

    name: str
    value: float | None
    unit: str
    statement: str = ""
