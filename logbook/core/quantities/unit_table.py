"""The units the logbook reads, as data.

Factors of the prefixes and of min, h, d, °: SI Brochure, 9th ed. (2019), Tables 7 and 8. Inch and mil:
1 in = 25.4 mm exactly (ISO 1000, common practice). A byte is 8 bits, and its prefixes are decimal
(IEC 80000-13). Level units (dBV, dBu, ...) name their reference and are kept as they are: converting
them needs an impedance or a full scale that a unit does not carry.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

ONE = Decimal(1)

PREFIX_EXPONENTS = {
    "f": -15, "p": -12, "n": -9, "µ": -6, "m": -3, "c": -2, "d": -1, "": 0, "k": 3, "M": 6, "G": 9, "T": 12,
}  # fmt: skip
ENGINEERING_PREFIXES = ("f", "p", "n", "µ", "m", "", "k", "M", "G", "T")

ALL = "fpnµmkMGT"
SMALL = "fpnµm"
LARGE = "kMGT"


@dataclass(frozen=True, slots=True)
class UnitRow:
    """One unit without prefix: how it prints, how it scales, how else it is written."""

    symbol: str
    base: str
    factor: Decimal = ONE
    prefixes: str = ""
    spellings: tuple[str, ...] = ()
    logarithmic: bool = False
    non_negative: bool = False


def _plain(symbol: str, prefixes: str = ALL, *spellings: str) -> UnitRow:
    return UnitRow(symbol, symbol, ONE, prefixes, spellings)


def _size(symbol: str, prefixes: str = ALL, *spellings: str) -> UnitRow:
    """A quantity that cannot be below zero by its nature."""
    return UnitRow(symbol, symbol, ONE, prefixes, spellings, non_negative=True)


def _multiple(symbol: str, base: str, factor: str, prefixes: str = "", *spellings: str) -> UnitRow:
    return UnitRow(symbol, base, Decimal(factor), prefixes, spellings)


def _time(symbol: str, factor: str, prefixes: str = "", *spellings: str) -> UnitRow:
    return UnitRow(symbol, "s", Decimal(factor), prefixes, spellings, non_negative=True)


def _level(symbol: str, *spellings: str) -> UnitRow:
    return UnitRow(symbol, symbol, ONE, "", spellings, logarithmic=True)


COUNT_WORDS = {
    "errors": "error", "counts": "count", "events": "event", "failures": "failure", "faults": "fault",
    "aliases": "alias", "lost": "lost", "resets": "reset", "trips": "trip",
}  # fmt: skip

ELECTRICAL = (
    _plain("V"), _plain("A"), _plain("Ω", ALL, "ohm", "ohms", "Ohm", "Ohms"), _plain("F"), _plain("H"),
    _plain("Hz"), _plain("W"), _plain("VA"), _plain("J"), _plain("S"), _plain("T"),
    _plain("C"), _multiple("Ah", "C", "3600", ALL), _multiple("Wh", "J", "3600", ALL),
    _size("Vrms", ALL, "V rms", "VRMS", "V RMS"), _size("Vpp", ALL, "V pp", "Vp-p", "V p-p"),
    _plain("Vpk", ALL, "V pk", "Vp", "Vpeak", "V peak"),
    _size("Arms", ALL, "A rms", "ARMS"), _size("App", ALL, "A pp", "Ap-p"),
    _size("V/√Hz", ALL, "V/rtHz", "V/sqrtHz", "V/sqrt(Hz)"),
    _size("A/√Hz", ALL, "A/rtHz", "A/sqrtHz", "A/sqrt(Hz)"),
    _plain("V/K", ALL, "V/°C"), _plain("V/s", ALL),
    _multiple("V/ms", "V/s", "1e3", ALL), _multiple("V/µs", "V/s", "1e6", ALL, "V/us"),
)  # fmt: skip

GENERAL = (
    _time("s", "1", SMALL, "sec"), _time("min", "60"), _time("h", "3600", "", "hours", "hour"),
    _time("day", "86400", "", "days"), _size("s rms", SMALL, "srms"),
    _plain("s/day", SMALL, "s/d"),
    _plain("K", SMALL), _plain("°C", "m", "degC"),
    _plain("m", ALL + "cd"), _multiple("in", "m", "0.0254", "", "inch"),
    _multiple("mil", "m", "0.0000254", "", "mils"),
    _plain("g"), _plain("Pa"), _plain("N"), _plain("N m", ALL, "Nm", "N·m"), _plain("lx"),
    _plain("rpm", "", "r/min", "1/min"), _plain("LSB", "m"),
    _plain("°", "", "deg", "degrees", "degree"),
    # The one factor that is not exact: 180/π to 50 digits (computed, common mathematics).
    _multiple("rad", "°", "57.295779513082320876798154814105170332405472466564", SMALL),
    _size("bit", LARGE, "bits", "b"),
    UnitRow("B", "bit", Decimal(8), LARGE, ("bytes", "byte"), non_negative=True),
    _plain("bit/s", LARGE, "b/s", "bps", "bits/s"), _multiple("B/s", "bit/s", "8", LARGE, "bytes/s"),
    _plain("S/s", LARGE, "SPS", "sps"), _plain("Bd", LARGE, "baud"),
)  # fmt: skip

RATIOS = (
    _plain("", "", "1"), _multiple("V/V", "", "1"), _multiple("%", "", "0.01", "", "percent"),
    _multiple("ppm", "", "1e-6"), _multiple("ppb", "", "1e-9"),
    _plain("1/K", "", "/K"), _multiple("ppm/K", "1/K", "1e-6", "", "ppm/°C", "ppm/C"),
    _multiple("%/K", "1/K", "0.01", "", "%/°C", "%/C"),
    *(UnitRow(word, "", ONE, "", (one,), non_negative=True) for word, one in COUNT_WORDS.items()),
)  # fmt: skip

LEVELS = (
    _level("dB"), _level("dBV"), _level("dBu"), _level("dBm"), _level("dBW"), _level("dBFS", "dBfs"),
    _level("dBA", "dB(A)"), _level("dBµV", "dBuV"), _level("dBc"), _level("dBc/Hz"),
)  # fmt: skip

ROWS = ELECTRICAL + GENERAL + RATIOS + LEVELS
