"""Rules that say which designators a subsystem has: R12, U1-U4, L*."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from logbook.core.errors import PartsListError
from logbook.core.parts_list.designators import Designator, read_designator, read_range

MOST_TERMS = 100
LONGEST_RULE = 500
ALLOWED = "designators, ranges and whole classes, such as R12, U1-U4, L*"
_CLASS = re.compile(r"([A-Z]{1,8})\*")
_SPACED_DASH = re.compile(r"\s*[-\u2010-\u2015]\s*")
_GAPS = re.compile(r"[,;\s]+")


@dataclass(frozen=True, slots=True)
class Term:
    """One term of a rule.

    Parameters
    ----------
    text : str
        As kept: R12, U1-U4 or L*.
    letters : str
        Class letters.
    first, last : Designator or None
        Ends of a range, twice the same for one designator; None for a whole class.
    """

    text: str
    letters: str
    first: Designator | None
    last: Designator | None

    def __post_init__(self) -> None:
        if (self.first is None) != (self.last is None):
            raise PartsListError("A range has two ends.", given=self.text, allowed=ALLOWED)

    @property
    def firmness(self) -> int:
        """Rank of the term: a designator (2) wins over a range (1), that over a whole class (0)."""
        return 0 if self.first is None else 1 + (self.first == self.last)

    def holds(self, one: Designator) -> bool:
        """Return whether the designator is meant; L* means L1 but not LED1, U1-U4 means U2 and U2A."""
        if self.first is None or self.last is None:
            return one.letters == self.letters
        if self.first == self.last:
            return one == self.first
        return one.letters == self.letters and self.first.number <= one.number <= self.last.number

    def collides(self, other: Term) -> bool:
        """Return whether both are equally firm and mean some designator together."""
        if self.firmness != other.firmness or self.letters != other.letters:
            return False
        if self.first is None or self.last is None or other.first is None or other.last is None:
            return True
        if self.first == self.last:
            return self.first == other.first
        return self.first.number <= other.last.number and other.first.number <= self.last.number


def read_rule(text: str, *, where: str = "") -> tuple[Term, ...]:
    """Read a rule.

    Parameters
    ----------
    text : str
        Terms with commas or spaces between them; ``R12`` one designator, ``U1-U4`` a range, ``L*`` every
        designator whose class letters are exactly L.
    where : str
        Name of the field, for the message.

    Returns
    -------
    tuple of Term
        In the order written.

    Raises
    ------
    PartsListError
        When a term cannot be read, two collide, or there are none or too many.

    Examples
    --------
    >>> [term.text for term in read_rule("U1-U4, L*")]
    ['U1-U4', 'L*']
    """
    words = [word for word in _GAPS.split(_SPACED_DASH.sub("-", text[: LONGEST_RULE + 1].upper())) if word]
    if not words or len(words) > MOST_TERMS or len(text) > LONGEST_RULE:
        raise PartsListError(
            "A rule of designators is empty or too long.", given=text[:80], allowed=ALLOWED, where=where
        )
    terms: list[Term] = []
    for word in words:
        term = _term(word, where)
        clash = next((one for one in terms if one.collides(term)), None)
        if clash is not None:
            raise PartsListError(
                f"{clash.text} and {term.text} mean the same designators.", given=text[:80], allowed=ALLOWED,
                where=where,
            )  # fmt: skip
        terms.append(term)
    return tuple(terms)


def _term(word: str, where: str) -> Term:
    match = _CLASS.fullmatch(word)
    if match is not None:
        return Term(word, match[1], None, None)
    if "-" in word:
        first, last = read_range(word, where=where)
        return Term(f"{first}-{last}", first.letters, first, last)
    try:
        one = read_designator(word, where=where)
    except PartsListError as error:
        raise PartsListError(
            f"{word[:40]!r} is no term of a rule.", given=word[:80], allowed=ALLOWED, where=where
        ) from error
    return Term(str(one), one.letters, one, one)


def assign_designators(
    designators: Iterable[Designator], rules: Sequence[tuple[str, Sequence[Term]]]
) -> Mapping[Designator, str]:
    """Find the subsystem of each designator.

    Parameters
    ----------
    designators : iterable of Designator
        Those asked about.
    rules : sequence of (str, sequence of Term)
        Key of a subsystem and the terms that assign to it.

    Returns
    -------
    mapping of Designator to str
        Key by the firmest term; designators no term means are left out.

    Examples
    --------
    >>> r1, r12 = read_designator("R1"), read_designator("R12")
    >>> found = assign_designators([r1, r12], [("MCU", read_rule("R*")), ("CLK", read_rule("R12"))])
    >>> found[r1], found[r12]
    ('MCU', 'CLK')
    """
    # Firmest first; a project never holds two equally firm terms that collide.
    terms = [(term, key) for key, several in rules for term in several]
    terms.sort(key=lambda pair: -pair[0].firmness)
    by_letters: dict[str, list[tuple[Term, str]]] = {}
    for term, key in terms:
        by_letters.setdefault(term.letters, []).append((term, key))
    found: dict[Designator, str] = {}
    for one in designators:
        meant = next((key for term, key in by_letters.get(one.letters, ()) if term.holds(one)), None)
        if meant is not None:
            found[one] = meant
    return found
