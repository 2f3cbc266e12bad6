"""Which of the four colours repeats a word. The word itself always stands beside it."""

from __future__ import annotations

VERDICTS = {"pass": "pass", "conditional pass": "cond", "conditional fail": "fail", "fail": "fail"}
STATES = {
    "verified": "pass",
    "carried over": "pass",
    "partly verified": "cond",
    "marginal": "cond",
    "stale": "cond",
    "seen working": "cond",
    "waived": "cond",
    "failing": "fail",
}
LEVELS = {"high": "fail", "serious": "fail", "medium": "cond"}


def tone_of_verdict(verdict: str) -> str:
    """Return ``pass``, ``cond``, ``fail`` or, without a verdict, ``none``."""
    return VERDICTS.get(verdict, "none")


def tone_of_state(state: str) -> str:
    """Return the tone of a target's state; never tried, blocked and the like are ``none``."""
    return STATES.get(state, "none")


def tone_of_level(level: str) -> str:
    """Return the tone of a risk level; low is ``none``."""
    return LEVELS.get(level.lower(), "none")
