"""What a decision was made on, as plain words, and in which of them it differs from today."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType

from logbook.core.risk.row import Risk

# Words of the facts a fingerprint is made of. Kept decisions hold them, so they never change.
KIND, LEVEL, FINDING = "kind", "level", "finding"
ISSUE, READING, CHANGE = "issue of ", "reading of ", "change "

Fingerprint = Mapping[str, str]


def fingerprint(
    risk: Risk,
    *,
    issues: Mapping[str, int] = MappingProxyType({}),
    readings: Iterable[tuple[str, str, str, str]] = (),
    changes: Iterable[str] = (),
    finding: str = "",
) -> dict[str, str]:
    """The facts a decision on a row is made on.

    Parameters
    ----------
    risk : Risk
        The row: its kind and level count, not the figures behind them.
    issues : mapping of str to int
        Number of the issue in force, by key of the target.
    readings : iterable of (str, str, str, str)
        Target, board, point and verdict word of every reading that counts.
    changes : iterable of str
        Changes that touch it.
    finding : str
        State of the finding, where it is one.

    Returns
    -------
    dict of str to str
        Plain words, sorted, to be kept with the decision.

    Examples
    --------
    >>> from logbook.core.risk import LessonFacts, risk_of_lesson
    >>> fingerprint(risk_of_lesson(LessonFacts("L1", "Clamp field cables", "should")))
    {'kind': 'lesson not answered', 'level': 'Serious'}
    """
    facts = {KIND: str(risk.kind), LEVEL: str(risk.level)}
    if finding:
        facts[FINDING] = finding
    facts |= {f"{ISSUE}{key}": str(number) for key, number in issues.items()}
    facts |= {f"{READING}{key} on {board} {point}".rstrip(): word for key, board, point, word in readings}
    facts |= {f"{CHANGE}{key}": "touches it" for key in changes}
    return dict(sorted(facts.items()))


def differences(decided: Fingerprint, now: Fingerprint) -> tuple[str, ...]:
    """In which facts a fingerprint differs from the one decided on.

    Parameters
    ----------
    decided, now : mapping of str to str
        As `fingerprint` makes them.

    Returns
    -------
    tuple of str
        One line each, readings first; empty exactly when both are equal.

    Examples
    --------
    >>> before = {"kind": "never tried", "level": "High"}
    >>> differences(before, before | {"kind": "failing", "reading of RLD-2 on 0006": "fail"})
    ('new reading of RLD-2 on 0006: fail', 'was never tried, now failing')
    """
    names = [name for name in {**decided, **now} if decided.get(name) != now.get(name)]
    names.sort(key=lambda name: (_place(name), name))
    return tuple(_said(name, decided.get(name), now.get(name)) for name in names)


def has_new_reading(decided: Fingerprint, now: Fingerprint) -> bool:
    """Whether a reading counts now that did not, or says something else.

    Parameters
    ----------
    decided, now : mapping of str to str
        As `fingerprint` makes them.

    Returns
    -------
    bool
        Readings that no longer count do not make a new one.
    """
    return any(name.startswith(READING) and decided.get(name) != word for name, word in now.items())


def _place(name: str) -> int:
    order = (READING, KIND, FINDING, CHANGE, ISSUE, LEVEL)
    return next((place for place, word in enumerate(order) if name.startswith(word)), len(order))


def _said(name: str, before: str | None, now: str | None) -> str:
    for prefix, say in _SENTENCES:
        if name.startswith(prefix):
            return say(name, before, now)
    return f"{name}: {before or 'nothing'}, now {now or 'nothing'}"


def _reading(name: str, before: str | None, now: str | None) -> str:
    if before is None:
        return f"new {name}: {now}"
    if now is None:
        return f"{name} no longer counts, was {before}"
    return f"{name}: {now}, was {before}"


def _change(name: str, before: str | None, now: str | None) -> str:
    return f"{name} now touches it" if before is None else f"{name} no longer touches it"


def _word(name: str, before: str | None, now: str | None) -> str:
    return f"was {before or 'nothing'}, now {now or 'nothing'}"


def _named(name: str, before: str | None, now: str | None) -> str:
    return f"{name} was {before or 'none'}, now {now or 'none'}"


_SENTENCES: tuple[tuple[str, Callable[[str, str | None, str | None], str]], ...] = (
    (READING, _reading),
    (CHANGE, _change),
    (KIND, _word),
    (ISSUE, _named),
    (LEVEL, _named),
    (FINDING, _named),
)
