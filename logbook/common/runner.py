"""The thread that does background work inside the process of the site where no broker is configured.

Rule: it is a daemon and may die at any moment; the leases of the jobs see to it that nothing is lost.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable

from django.core.signals import request_started
from django.db import DatabaseError, connections

logger = logging.getLogger(__name__)
AFTER_A_FAILURE_S = 5.0
# Returns the seconds after which there may be more to do; nothing when all is done.
Round = Callable[[], float | None]

_lock = threading.Lock()
_call = threading.Event()
_thread: threading.Thread | None = None


def wake(work: Round) -> None:
    """Let the thread look for work now; the first call starts it."""
    global _thread  # noqa: PLW0603 - one thread a process
    _call.set()
    with _lock:
        if _thread is None or not _thread.is_alive():
            _thread = threading.Thread(target=_go_round, args=(work,), name="jobs", daemon=True)
            _thread.start()


def wake_at_first_request(work: Round) -> None:
    """Take up what an earlier process left behind, once this one serves anything."""

    def first_request(**_: object) -> None:
        request_started.disconnect(dispatch_uid="jobs-first-request")
        wake(work)

    request_started.connect(first_request, weak=False, dispatch_uid="jobs-first-request")


def _go_round(work: Round) -> None:
    wait: float | None = None
    while True:
        _call.wait(wait)
        _call.clear()
        wait = _one_round(work)


def _one_round(work: Round) -> float | None:
    try:
        return work()
    except DatabaseError:
        logger.warning("the jobs could not be read; trying again", exc_info=True)
        return AFTER_A_FAILURE_S
    finally:
        connections.close_all()
