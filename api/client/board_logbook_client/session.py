"""A bench session: what is the same for all its readings is said once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from board_logbook_client.errors import InstrumentError
from board_logbook_client.planning import USUAL_MINUTES, Check
from board_logbook_client.readings import Recorded, moment_text, new_key
from board_logbook_client.spool import CLOSING, OPENING

if TYPE_CHECKING:
    from board_logbook_client.instruments import Instrument
    from board_logbook_client.logbook import Logbook


class Session:
    """A sitting at one board, from ``with`` to the end of its block.

    Opening and closing go through the spool as readings do, so a session works without a network too. The
    instruments are names the site knows. ``next_step`` may be set before the end of the block.
    """

    def __init__(
        self,
        logbook: Logbook,
        project: str,
        board: str,
        title: str,
        *,
        firmware: str = "",
        instruments: Sequence[str] = (),
        ambient_c: float | None = None,
        place: str = "",
        supply: str = "",
        note: str = "",
    ) -> None:
        self._logbook = logbook
        self.project, self.board, self.firmware = project, board, firmware
        self.ambient_c, self.next_step = ambient_c, ""
        self.key = ""
        self._opening: dict[str, Any] = {
            "title": title,
            "boards": [board],
            "instruments": list(instruments),
            "ambient_c": ambient_c,
            "place": place,
            "supply": supply,
            "firmware": firmware,
            "note": note,
        }

    def __enter__(self) -> Session:
        """Open the session: on this computer at once, on the site with the first thing sent."""
        self.key = new_key()
        self._keep(OPENING, {**self._opening, "started_at": moment_text(None)})
        return self

    def __exit__(self, *_: object) -> None:
        """Close the session, also after an error in its block, and send what waits if the site answers."""
        closing = {"ended_at": moment_text(None), **({"next_step": self.next_step} if self.next_step else {})}
        self._keep(CLOSING, closing)
        self._logbook.flush(self._logbook.patience_s)

    def record(self, target: str, value: Any = None, unit: str = "", **more: Any) -> Recorded:
        """Record a reading of this board with its firmware and ambient temperature; as in ``Logbook``."""
        if self.firmware:
            more.setdefault("firmware", self.firmware)
        if self.ambient_c is not None:
            more["conditions"] = {"ambient_c": self.ambient_c, **(more.get("conditions") or {})}
        what = {"target": target, "value": value, "unit": unit, "project": self.project, "board": self.board}
        return self._logbook.record_in(self.key, what, more)

    def measure(
        self, target: str, unit: str, instrument: Instrument, query: str = "READ?", **more: Any
    ) -> Recorded:
        """Read an instrument over SCPI and record its number under the instrument's name."""
        value = instrument.read(query)
        if not value.is_finite():
            message = f"{instrument.name} answered {query} with an overload: change its range and read again"
            raise InstrumentError(message)
        return self.record(target, value, unit, instrument=instrument.name, **more)

    def walk(self, minutes: int = USUAL_MINUTES) -> Iterator[Check]:
        """Yield the checks of the bench plan for this board, the plan made anew after each."""
        return self._logbook.walk(self.project, [self.board], minutes)

    def _keep(self, kind: str, body: dict[str, Any]) -> None:
        session = self.key if kind == CLOSING else ""
        self._logbook.spool.add(
            site=self._logbook.site.address,
            project=self.project,
            kind=kind,
            key=self.key,
            body=body,
            session=session,
        )
