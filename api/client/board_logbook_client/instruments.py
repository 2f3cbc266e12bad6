"""Instruments that speak SCPI, read through PyVISA where it is installed."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any

from board_logbook_client.errors import InstrumentError

# SCPI-99 volume 1, 7.2.1.4 and 7.2.1.5 (from memory): what stands for infinity and for "not a number".
INFINITY, NOT_A_NUMBER = Decimal("9.9E37"), Decimal("9.91E37")
TIMEOUT_MS = 5000


class Instrument:
    """One instrument: ``name`` is that of the site, ``resource`` its VISA address.

    ``library`` is what PyVISA calls a VISA library: empty for the one installed, ``file.yaml@sim`` for a
    simulated bench.
    """

    def __init__(self, name: str, resource: str, *, library: str = "", timeout_ms: int = TIMEOUT_MS) -> None:
        self.name, self.resource = name, resource
        self._manager = _resource_manager(library)
        try:
            self._opened: Any = self._manager.open_resource(
                resource, read_termination="\n", write_termination="\n", timeout=timeout_ms
            )
        except Exception as error:
            self._manager.close()
            message = f"{name} at {resource} cannot be opened: {error}"
            raise InstrumentError(message) from error

    def __enter__(self) -> Instrument:
        """Return the instrument."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close the connection."""
        self.close()

    def close(self) -> None:
        """Close the connection."""
        self._opened.close()
        self._manager.close()

    def ask(self, query: str) -> str:
        """Return the text an instrument answers with."""
        try:
            return str(self._opened.query(query)).strip()
        except Exception as error:
            message = f"{self.name} at {self.resource} did not answer {query}: {error}"
            raise InstrumentError(message) from error

    def tell(self, command: str) -> None:
        """Send a command that has no answer."""
        try:
            self._opened.write(command)
        except Exception as error:
            message = f"{self.name} at {self.resource} did not take {command}: {error}"
            raise InstrumentError(message) from error

    def read(self, query: str = "READ?") -> Decimal:
        """Return the number an instrument answers with; infinite on overload, NaN where it has none."""
        text = self.ask(query)
        try:
            number = Decimal(text)
        except InvalidOperation:
            message = f"{self.name} answered {query} with {text!r}, which is no number"
            raise InstrumentError(message) from None
        if number == NOT_A_NUMBER:
            return Decimal("NaN")
        if number.is_finite() and abs(number) == INFINITY:
            return Decimal("Infinity").copy_sign(number)
        return number


def _resource_manager(library: str) -> Any:
    try:
        import pyvisa
    except ImportError as error:
        message = "PyVISA is not installed: pip install 'board-logbook-client[visa]' or pip install pyvisa"
        raise InstrumentError(message) from error
    try:
        return pyvisa.ResourceManager(library)
    except Exception as error:
        message = f"there is no VISA library {library or 'on this computer'}: {error}"
        raise InstrumentError(message) from error
