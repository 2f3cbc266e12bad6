"""Ready-made calculations of the trade, and figures of published interfaces.

Rule: a calculation is a formula with named parts in base units, and each names its source; a small function
stands only where a plain formula does not suffice.
"""

from logbook.core.trade.catalogue import READY_MADE, ready_made
from logbook.core.trade.clocks import AUDIO_RATES_HZ, BaudSetting, audio_clock_hz, baud_setting, rate_ratio
from logbook.core.trade.interfaces import INTERFACE_FIGURES, InterfaceFigure, interface_figure
from logbook.core.trade.ready_made import Caution, ReadyMade, ReadyPart

__all__ = [
    "AUDIO_RATES_HZ",
    "INTERFACE_FIGURES",
    "READY_MADE",
    "BaudSetting",
    "Caution",
    "InterfaceFigure",
    "ReadyMade",
    "ReadyPart",
    "audio_clock_hz",
    "baud_setting",
    "interface_figure",
    "rate_ratio",
    "ready_made",
]
