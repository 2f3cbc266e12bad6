"""From the spool to the site: in order, with their keys, again and again until the site has said its word.

Only an answer that speaks of a reading settles it: a wrong token, a moved address, a page of something in
between or no answer at all leave everything waiting. A reading the site cannot digest costs only itself.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from datetime import datetime
from typing import Any
from urllib.parse import quote

from board_logbook_client.errors import UnreachableError
from board_logbook_client.site import Answer, Site
from board_logbook_client.spool import (
    CLOSING,
    LONGEST_PAUSE_S,
    OPENING,
    READING,
    REJECTED,
    SENT,
    Entry,
    Spool,
)

MOST_AT_ONCE = 200
FIRST_DELAY_S, LONGEST_DELAY_S = 0.5, 300.0
# So many single readings in a row answered with 500: the site is broken, not the readings.
BROKEN_AFTER = 3
TRIES_OF_A_SESSION = 5
STATUSES = ("stored", "duplicate", "rejected")
ABOUT_THE_BODY = (400, 413, 422)


def delay_s(failures: int, asked_s: float = 0.0) -> float:
    """Return how long to wait after failures in a row: doubling, with jitter, never less than asked."""
    longest = min(FIRST_DELAY_S * 2.0 ** min(failures - 1, 30), LONGEST_DELAY_S)
    return max(random.uniform(longest / 2, longest), asked_s)  # noqa: S311 - jitter, no secret


class Sender:
    """Sends what waits for one site."""

    def __init__(
        self,
        spool: Spool,
        site: Site,
        *,
        now: Callable[[], float] = time.time,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self.spool, self.site = spool, site
        self._now, self._sleep = now, sleep
        self._broken = 0

    def send(self, *, patience_s: float, until: int | None = None) -> None:
        """Send what waits, at least up to entry ``until``; gives up for now when the patience is over."""
        end = time.monotonic() + patience_s
        while True:
            pause = self._pause_s()
            if pause <= 0:
                left = max(end - time.monotonic(), 0.0)
                with self.spool.sending(wait_s=left) as is_held:
                    if not is_held or self._send_all(end, until):
                        return
                pause = self._pause_s()
            if time.monotonic() + pause > end:
                return
            self._sleep(max(pause, 0.0))

    def _pause_s(self) -> float:
        """Return how long the site is to be left alone; a clock that jumped back must not stretch that."""
        failures, next_try, _ = self.spool.trouble(self.site.address)
        pause = next_try - self._now()
        return pause if failures and pause <= LONGEST_PAUSE_S else 0.0

    def _send_all(self, end: float, until: int | None) -> bool:
        """Send batch after batch; False where the site failed and is worth another try."""
        self._broken = 0
        while True:
            due = self.spool.due(self.site.address, now=self._now(), most=MOST_AT_ONCE)
            if not due or (until is not None and due[0].seq > until):
                return True
            try:
                self._send_batch(due)
            except UnreachableError as error:
                failures = self.spool.trouble(self.site.address)[0] + 1
                next_try = self._now() + delay_s(failures, error.retry_after_s)
                self._note(failures, next_try, str(error))
                return False
            self._note(0, 0.0, "")
            if time.monotonic() > end:
                return True

    def _note(self, failures: int, next_try: float, trouble: str) -> None:
        self.spool.note_trouble(self.site.address, failures=failures, next_try=next_try, trouble=trouble)

    def _send_batch(self, due: list[Entry]) -> None:
        """Send the first entry, or the readings up to the next opening or closing of a session."""
        if due[0].kind == OPENING:
            self._open(due[0])
        elif due[0].kind == CLOSING:
            self._close(due[0])
        else:
            places = [place for place, entry in enumerate(due) if entry.kind != READING]
            self._send_readings(due[: min(places, default=len(due))])

    def _send_readings(self, entries: list[Entry]) -> None:
        answer = self.site.send("POST", "measurements/", [self._filled(entry) for entry in entries])
        results = _results_of(answer)
        if len(results) == len(entries):
            self._broken = 0
            self._settle(entries, results)
        elif len(entries) > 1 and (answer.status == 413 or _is_about_what_was_sent(answer)):
            half = len(entries) // 2
            self._send_readings(entries[:half])
            self._send_readings(entries[half:])
        elif _is_about_what_was_sent(answer):
            self._settle_one(entries[0], answer)
        else:
            raise UnreachableError(answer.says(), answer.retry_after_s)

    def _settle(self, entries: list[Entry], results: list[dict[str, Any]]) -> None:
        outcomes = []
        for entry, result in zip(entries, results):
            if result.get("status") == "rejected":
                outcomes.append((entry.seq, REJECTED, result.get("problem") or {}))
            else:
                outcomes.append((entry.seq, SENT, result))
        self.spool.settle(outcomes)

    def _settle_one(self, entry: Entry, answer: Answer) -> None:
        """Keep the refusal of a reading sent alone; after a 500 let it wait by itself."""
        if answer.status in ABOUT_THE_BODY:
            self.spool.settle([(entry.seq, REJECTED, answer.body)])
            return
        self.spool.note_try(entry.seq, next_try=self._now() + delay_s(entry.tries + 4))
        self._broken += 1
        if self._broken >= BROKEN_AFTER:
            raise UnreachableError(answer.says(), answer.retry_after_s)

    def _filled(self, entry: Entry) -> dict[str, Any]:
        """Return the reading with the number its session has on the site, once it was opened there."""
        number = self._number_of_session(entry)
        return entry.body if number is None else {**entry.body, "bench_session": number}

    def _number_of_session(self, entry: Entry) -> int | None:
        if not entry.session:
            return None
        opened = self.spool.with_key(entry.site, entry.session)
        return next((int(one.answer["id"]) for one in opened if one.kind == OPENING and one.answer), None)

    def _open(self, entry: Entry) -> None:
        """Open a session; after an attempt of unknown end, look first whether it is there already."""
        address = f"projects/{quote(entry.project, safe='')}/bench-sessions/"
        if entry.tries:
            found = self._session_on_site(address, entry.body)
            if found is not None:
                self.spool.settle([(entry.seq, SENT, found)])
                return
        self.spool.note_try(entry.seq)
        self._settle_call(entry, self.site.send("POST", address, entry.body))

    def _session_on_site(self, address: str, body: dict[str, Any]) -> dict[str, Any] | None:
        """Return the session of this title opened at this very microsecond."""
        after: Any = None
        while True:
            answer = self.site.send("GET", f"{address}?limit=500" + (f"&after={after}" if after else ""))
            if not answer.is_success or not isinstance(answer.body, dict) or "results" not in answer.body:
                raise UnreachableError(answer.says(), answer.retry_after_s)
            for session in answer.body["results"]:
                if _is_same_session(session, body):
                    return dict(session)
            after = answer.body.get("next_after")
            if not after:
                return None

    def _close(self, entry: Entry) -> None:
        number = self._number_of_session(entry)
        if number is None:
            detail = "its bench session was not opened on the site"
            self.spool.settle([(entry.seq, REJECTED, {"detail": detail})])
            return
        address = f"projects/{quote(entry.project, safe='')}/bench-sessions/{number}/"
        self._settle_call(entry, self.site.send("PATCH", address, entry.body))

    def _settle_call(self, entry: Entry, answer: Answer) -> None:
        if answer.is_success and isinstance(answer.body, dict) and "id" in answer.body:
            self.spool.settle([(entry.seq, SENT, answer.body)])
        elif answer.is_problem and self._is_last_word(entry, answer):
            self.spool.settle([(entry.seq, REJECTED, answer.body)])
        else:
            raise UnreachableError(answer.says(), answer.retry_after_s)

    @staticmethod
    def _is_last_word(entry: Entry, answer: Answer) -> bool:
        """Say whether asking again is vain: readings wait behind a session, so even 500 must end some day."""
        is_vain = answer.status == 500 and entry.tries >= TRIES_OF_A_SESSION
        return is_vain or answer.status in (*ABOUT_THE_BODY, 403, 404, 409)


def _results_of(answer: Answer) -> list[dict[str, Any]]:
    """Return the lines of an answer to a list; none where this is no such answer."""
    results = answer.body.get("results") if answer.is_success and isinstance(answer.body, dict) else None
    lines = results if isinstance(results, list) else []
    known = [one for one in lines if isinstance(one, dict) and one.get("status") in STATUSES]
    return known if len(known) == len(lines) else []


def _is_about_what_was_sent(answer: Answer) -> bool:
    """Say whether the site itself, not something before it, stumbled over the body."""
    return answer.is_problem and answer.status in (*ABOUT_THE_BODY, 500)


def _is_same_session(session: dict[str, Any], body: dict[str, Any]) -> bool:
    if session["title"] != body["title"]:
        return False
    return _instant(session["started_at"]) == _instant(body["started_at"])


def _instant(text: str) -> datetime:
    """Read a moment; before Python 3.11 the library knows no Z."""
    return datetime.fromisoformat(text.replace("Z", "+00:00"))
