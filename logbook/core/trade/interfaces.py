"""Figures of published interfaces and of touch voltages, each with its source.

The texts of paid standards were not read; where a figure is from memory its source says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from logbook.core.errors import FormulaError
from logbook.core.quantities import as_unit
from logbook.core.quantities.spelling import quoted, shown


@dataclass(frozen=True, slots=True)
class InterfaceFigure:
    """One figure of a standard: a bound, or both.

    Parameters
    ----------
    key, meaning : str
        Short name, and what it is.
    low, high : float or None
        Least and largest value in `unit`; None where the standard sets no such bound.
    unit : str
        As the standard prints it.
    source : str
        Standard and clause.
    """

    key: str
    meaning: str
    low: float | None
    high: float | None
    unit: str
    source: str

    def __post_init__(self) -> None:
        as_unit(self.unit)
        bounds = [bound for bound in (self.low, self.high) if bound is not None]
        if not bounds or sorted(bounds) != bounds or not self.source:
            raise FormulaError("A figure has a bound and a source.", given=self.key, where="interfaces")


_VBUS = (
    "USB 2.0 specification, 7.2.2 and Table 7-7 (a later change notice raised the maximum to 5.5 V, memory)"
)
_USB = "USB 2.0 specification, 7.1.11 (low and high speed from memory)"
_422 = "TIA/EIA-422-B"
_485 = "TIA/EIA-485-A (from memory, except the threshold)"
_LV = "JEDEC JESD8C.01 (from memory; public texts differ)"
_I2C = "I2C-bus specification UM10204, 7.1 and Table 10"
_ELV = "IEC 61140:2016 and IEC 60364-4-41 (quoted in public texts)"
_SELV = "IEC 62368-1 ES1, former IEC 60950-1 SELV (quoted in public texts)"
_LVDS = "TIA/EIA-644-A (from memory)"
_232 = "TIA-232-F (from memory)"

_ROWS = (
    InterfaceFigure("usb-vbus-host", "VBUS at a high-power port", 4.75, 5.25, "V", _VBUS),
    InterfaceFigure("usb-vbus-low-power", "VBUS at a low-power port", 4.4, None, "V", _VBUS),
    InterfaceFigure("usb-full-speed", "bit rate, 12 Mbit/s ± 0.25 %", 11.97, 12.03, "Mbit/s", _USB),
    InterfaceFigure("usb-low-speed", "bit rate, 1.5 Mbit/s ± 1.5 %", 1.4775, 1.5225, "Mbit/s", _USB),
    InterfaceFigure("usb-high-speed", "bit rate, 480 Mbit/s ± 500 ppm", 479.76, 480.24, "Mbit/s", _USB),
    InterfaceFigure("rs422-threshold", "receiver threshold, differential", -0.2, 0.2, "V", _422),
    InterfaceFigure("rs422-driver", "driver output into 100 Ω", 2.0, None, "V", _422),
    InterfaceFigure("rs422-common-mode", "common mode at the receiver", -7, 7, "V", _422),
    InterfaceFigure("rs485-threshold", "receiver threshold, differential", -0.2, 0.2, "V", _485),
    InterfaceFigure("rs485-driver", "driver output into 54 Ω", 1.5, None, "V", _485),
    InterfaceFigure("rs485-common-mode", "common mode at the receiver", -7, 12, "V", _485),
    InterfaceFigure("rs485-unit-loads", "unit loads on one bus", None, 32, "", _485),
    InterfaceFigure("lvttl-vih", "input high level", 2.0, None, "V", _LV),
    InterfaceFigure("lvttl-vil", "input low level", None, 0.8, "V", _LV),
    InterfaceFigure("lvttl-voh", "output high level", 2.4, None, "V", _LV),
    InterfaceFigure("lvttl-vol", "output low level", None, 0.4, "V", _LV),
    InterfaceFigure("lvcmos-voh-below-vdd", "output high level, below the supply", None, 0.2, "V", _LV),
    InterfaceFigure("lvcmos-vol", "output low level", None, 0.2, "V", _LV),
    InterfaceFigure("i2c-rise-standard", "rise time, standard mode", None, 1000, "ns", _I2C),
    InterfaceFigure("i2c-rise-fast", "rise time, fast mode", None, 300, "ns", _I2C),
    InterfaceFigure("i2c-rise-fast-plus", "rise time, fast-mode plus", None, 120, "ns", _I2C + " (memory)"),
    InterfaceFigure("i2c-sink", "sink current, standard and fast mode", 3, None, "mA", _I2C),
    InterfaceFigure("i2c-sink-fast-plus", "sink current, fast-mode plus", 20, None, "mA", _I2C),
    InterfaceFigure("i2c-vol", "output low level", None, 0.4, "V", _I2C),
    InterfaceFigure("i2c-bus-standard", "bus capacitance, standard mode", None, 400, "pF", _I2C),
    InterfaceFigure("i2c-bus-fast", "bus capacitance, fast mode", None, 400, "pF", _I2C),
    InterfaceFigure(
        "i2c-bus-fast-plus", "bus capacitance, fast-mode plus", None, 550, "pF", _I2C + " (memory)"
    ),
    InterfaceFigure("elv-ac", "extra-low voltage, AC rms", None, 50, "V", _ELV),
    InterfaceFigure("elv-dc", "extra-low voltage, ripple-free DC", None, 120, "V", _ELV),
    InterfaceFigure("selv-dc", "safe extra-low voltage, DC", None, 60, "V", _SELV),
    InterfaceFigure("selv-peak", "safe extra-low voltage, peak", None, 42.4, "V", _SELV),
    InterfaceFigure("selv-rms", "safe extra-low voltage, rms", None, 30, "V", _SELV),
    InterfaceFigure("lvds-output", "differential output into 100 Ω", 0.247, 0.454, "V", _LVDS),
    InterfaceFigure("lvds-offset", "offset voltage", 1.125, 1.375, "V", _LVDS),
    InterfaceFigure("rs232-threshold", "receiver threshold", -3, 3, "V", _232),
    InterfaceFigure("rs232-driver", "driver output, size", 5, None, "V", _232),
)

INTERFACE_FIGURES: Mapping[str, InterfaceFigure] = MappingProxyType({row.key: row for row in _ROWS})


def interface_figure(key: str) -> InterfaceFigure:
    """Return a figure of a published interface.

    Parameters
    ----------
    key : str
        Such as usb-vbus-host.

    Returns
    -------
    InterfaceFigure
        With its source.

    Raises
    ------
    FormulaError
        When there is none of that key.

    Examples
    --------
    >>> interface_figure("i2c-rise-fast").high
    300
    """
    if not isinstance(key, str) or key not in INTERFACE_FIGURES:
        raise FormulaError(
            f"{quoted(key)} is no figure of an interface.",
            given=shown(key),
            allowed=", ".join(INTERFACE_FIGURES),
            where="key",
        )
    return INTERFACE_FIGURES[key]
