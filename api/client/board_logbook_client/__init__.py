"""Posts bench readings to a Board Logbook site; none is lost when the site does not answer."""

from board_logbook_client.errors import (
    InstrumentError,
    LogbookError,
    NotSetUpError,
    RefusedError,
    SpoolError,
    UnreachableError,
)
from board_logbook_client.instruments import Instrument
from board_logbook_client.logbook import Logbook, SpoolCounts
from board_logbook_client.planning import Check, Untested
from board_logbook_client.readings import Recorded
from board_logbook_client.session import Session

__all__ = [
    "Check",
    "Instrument",
    "InstrumentError",
    "Logbook",
    "LogbookError",
    "NotSetUpError",
    "Recorded",
    "RefusedError",
    "Session",
    "SpoolCounts",
    "SpoolError",
    "UnreachableError",
    "Untested",
]
