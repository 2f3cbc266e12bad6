"""The logbook as a bench script sees it: record, look up, send what waits, ask what is next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from board_logbook_client import calibration, planning
from board_logbook_client.planning import USUAL_MINUTES, Check, Untested
from board_logbook_client.readings import Recorded, new_key, reading_body, recorded_of
from board_logbook_client.sending import Sender
from board_logbook_client.session import Session
from board_logbook_client.site import TIMEOUT_S, Site
from board_logbook_client.spool import READING, REJECTED, SENT, WAITING, Spool

PATIENCE_S = 5.0


@dataclass(frozen=True)
class SpoolCounts:
    """How many entries for this site wait, were sent (the latest ones kept) and were rejected."""

    waiting: int
    sent: int
    rejected: int


class Logbook:
    """One site, and the spool through which everything goes to it.

    ``patience_s`` is how long ``record`` tries to get a verdict before it leaves the reading in the spool.
    """

    def __init__(
        self,
        address: str = "",
        token: str = "",
        *,
        spool: Path | None = None,
        timeout_s: float = TIMEOUT_S,
        patience_s: float = PATIENCE_S,
    ) -> None:
        self.site = Site.named(address, token, timeout_s)
        self.spool = Spool(spool)
        self.patience_s = patience_s
        self._sender = Sender(self.spool, self.site)

    def __enter__(self) -> Logbook:
        """Return the logbook."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close the spool."""
        self.close()

    def close(self) -> None:
        """Close the spool; what waits in it stays."""
        self.spool.close()

    def record(
        self, target: str, value: Any = None, unit: str = "", *, project: str, board: str, **more: Any
    ) -> Recorded:
        """Keep one reading on the disk of this computer, then ask the site for its verdict.

        ``more`` are the other fields of a reading: point, instrument, instrument_range, expanded_uncertainty,
        coverage_factor, repeats, conditions, firmware, place, note, taken_at, bench_session, key.
        """
        return self.record_in(
            "", {"target": target, "value": value, "unit": unit, "project": project, "board": board}, more
        )

    def record_in(self, session: str, what: dict[str, Any], more: dict[str, Any]) -> Recorded:
        """Keep a reading of a session of this spool (empty for none) and send it."""
        seq = self.keep(session, what, more)
        self._sender.send(patience_s=self.patience_s, until=seq)
        return self.recorded(seq)

    def recorded(self, seq: int) -> Recorded:
        """Return what has become of a reading by its number in the spool."""
        return recorded_of(self.spool.entry(seq), self.trouble)

    def keep(self, session: str, what: dict[str, Any], more: dict[str, Any]) -> int:
        """Keep a reading without sending it; return its number in the spool."""
        given = dict(more)
        key = given.pop("key", "") or new_key()
        earlier = [one for one in self.spool.with_key(self.site.address, key) if one.kind == READING]
        if earlier and given.get("taken_at") is None:
            # The same key again means the same reading, which was taken then and not now.
            given["taken_at"] = earlier[0].body["taken_at"]
        body = reading_body(**what, key=key, more=given)
        return self.spool.add(
            site=self.site.address, project=body["project"], kind=READING, key=key, body=body, session=session
        )

    def session(self, project: str, board: str, title: str, **what: Any) -> Session:
        """Return a bench session to be used in a ``with`` block; ``what`` are the fields of ``Session``."""
        return Session(self, project, board, title, **what)

    def look_up(self, key: str) -> Recorded:
        """Return what has become of a reading recorded on this computer, such as one that waited."""
        found = [one for one in self.spool.with_key(self.site.address, key) if one.kind == READING]
        if not found:
            message = f"no reading with the key {key!r} in {self.spool.path}"
            raise KeyError(message)
        return recorded_of(found[-1], self.trouble)

    def flush(self, patience_s: float = 60.0) -> SpoolCounts:
        """Send what waits, trying for so long; return what is in the spool then."""
        self._sender.send(patience_s=patience_s)
        return self.counts()

    def counts(self) -> SpoolCounts:
        """Return what the spool holds for this site."""
        found = self.spool.counts()
        return SpoolCounts(*(found.get((self.site.address, one), 0) for one in (WAITING, SENT, REJECTED)))

    @property
    def trouble(self) -> str:
        """Return why the site was not reached the last time; empty when it was."""
        return self.spool.trouble(self.site.address)[2]

    def what_next(self, project: str, boards: Sequence[str], minutes: int = USUAL_MINUTES) -> list[Check]:
        """Return the checks that buy most in the minutes there are, in the order to do them."""
        return planning.next_checks(self.site, project, boards, minutes)

    def walk(self, project: str, boards: Sequence[str], minutes: int = USUAL_MINUTES) -> Iterator[Check]:
        """Yield the checks of the bench plan one after the other, the plan made anew after each."""
        return planning.walk(self.site, project, boards, minutes)

    def readings(self, project: str, board: str, target: str) -> Iterator[dict[str, Any]]:
        """Yield what the site holds of one target on one board, in the order it was stored."""
        return planning.pages(
            self.site, "measurements/", {"project": project, "board": board, "target": target}
        )

    def out_of_calibration(self, instruments: Sequence[str] = ()) -> list[str]:
        """Return a sentence for each instrument out of calibration today, of those named or of all."""
        return calibration.out_of_calibration(self.site, instruments)

    def untested(self, project: str, board: str) -> list[Untested]:
        """Return the targets, or points of them, nobody has read on this board."""
        return planning.untested(self.site, project, board)
