"""Reference designators: taken apart, sorted as people count, grouped and spread out again."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from logbook.core.errors import PartsListError

LONGEST_CELL = 20_000
LONGEST_RANGE = 1_000
MOST_IN_CELL = 5_000
FORM = "letters, a number and at most one letter, such as R1 or U5A; a range such as R5-R8"
_ONE = re.compile(r"([A-Z]{1,8})([0-9]{1,6})([A-Z]?)")
_RANGE = re.compile(r"([A-Z]{1,8})([0-9]{1,6})-([A-Z]{0,8})([0-9]{1,6})")
_DASHES = re.compile(r"\s*(?:[-\u2010-\u2015\u2212~]|\.\.\.?|…)\s*")
_GAPS = re.compile(r"[,;\s]+")
_LETTERS, _DIGITS = 8, 6


@dataclass(frozen=True, slots=True, order=True)
class Designator:
    """One designator; sorts by class letters, then number, then suffix.

    Parameters
    ----------
    letters : str
        Class letters in capitals, one to eight.
    number : int
        Up to six digits.
    suffix : str
        The letter of a section of a part, such as A of U5A; or empty.
    digits : int
        Digits written, so that R01 stays apart from R1.
    """

    letters: str
    number: int
    suffix: str
    digits: int

    def __post_init__(self) -> None:
        if not self.letters or not 0 <= self.number < 10**_DIGITS or not 1 <= self.digits <= _DIGITS:
            raise PartsListError("A designator is letters and a number.", given=self.letters, allowed=FORM)

    def __str__(self) -> str:
        return f"{self.letters}{self.number:0{self.digits}d}{self.suffix}"

    @property
    def place(self) -> str:
        """Text that sorts as the designator does, in every database."""
        return f"{self.letters:0<{_LETTERS}}{self.number:0{_DIGITS}d}{self.suffix or '0'}{self.digits}"

    @property
    def is_counted(self) -> bool:
        """Say whether it may stand in a range: no suffix and no leading zero."""
        return not self.suffix and len(str(self.number)) == self.digits


def read_designator(text: str, *, where: str = "") -> Designator:
    """Read one designator.

    Parameters
    ----------
    text : str
        Such as R1 or U5A; small letters are read as capitals.
    where : str
        Name of the field, for the message.

    Returns
    -------
    Designator
        Its parts.

    Raises
    ------
    PartsListError
        When it is none.

    References
    ----------
    ASME Y14.44-2008, reference designations: class letters, number, suffix letter (from memory).

    Examples
    --------
    >>> read_designator("u5a").suffix
    'A'
    """
    match = _ONE.fullmatch(text.strip().upper()[:40])
    if match is None:
        raise PartsListError(
            f"{text.strip()[:40]!r} is no designator.", given=text.strip()[:80], allowed=FORM, where=where
        )
    letters, digits, suffix = match.groups()
    return Designator(letters, int(digits), suffix, len(digits))


def spread_designators(text: str, *, where: str = "") -> tuple[Designator, ...]:
    """Read a cell of designators, ranges spread out, in the order written.

    Parameters
    ----------
    text : str
        Designators and ranges such as ``R1, R2, R5-R8`` or ``C1 C2``; commas, semicolons, spaces or line
        breaks between them; a range with a hyphen, a dash or two dots.
    where : str
        Name of the field, for the message.

    Returns
    -------
    tuple of Designator
        Each once; empty for an empty text.

    Raises
    ------
    PartsListError
        When something is no designator, a range runs backwards or holds more than 1,000, a designator
        stands there twice, or the text is too long.

    Examples
    --------
    >>> [str(one) for one in spread_designators("R1, R2, R5-R7")]
    ['R1', 'R2', 'R5', 'R6', 'R7']
    """
    if len(text) > LONGEST_CELL:
        raise _refused("A cell of designators is too long", f"{len(text)} characters", LONGEST_CELL, where)
    found: dict[Designator, None] = {}
    for word in _words(text):
        for one in _spread(word, where):
            if one in found:
                raise PartsListError(
                    f"{one} stands there twice.", given=text.strip()[:80], allowed="each designator once",
                    where=where,
                )  # fmt: skip
            found[one] = None
        if len(found) > MOST_IN_CELL:
            raise _refused("A cell names too many parts", f"more than {len(found) - 1}", MOST_IN_CELL, where)
    return tuple(found)


def _words(text: str) -> list[str]:
    # Blanks are made few first: trying every one of a long run as the first before a dash would take minutes.
    plain = " ".join(text.upper().split())
    return [word for word in _GAPS.split(_DASHES.sub("-", plain)) if word]


def _spread(word: str, where: str) -> list[Designator]:
    if "-" not in word:
        return [read_designator(word, where=where)]
    first, last = read_range(word, where=where)
    return [Designator(first.letters, n, "", len(str(n))) for n in range(first.number, last.number + 1)]


def read_range(word: str, *, where: str = "") -> tuple[Designator, Designator]:
    """Read a range of designators.

    Parameters
    ----------
    word : str
        Such as R5-R8 or R5-8.
    where : str
        Name of the field, for the message.

    Returns
    -------
    tuple of two Designator
        First and last.

    Raises
    ------
    PartsListError
        When it is no range, changes its letters, runs backwards, has leading zeros or is too long.
    """
    match = _RANGE.fullmatch(word.upper())
    if match is None or match[3] not in {"", match[1]}:
        raise PartsListError(
            f"{word[:40]!r} is no range of designators.",
            given=word[:80],
            allowed="such as R5-R8",
            where=where,
        )
    first, last = read_designator(match[1] + match[2]), read_designator(match[1] + match[4])
    if not (first.is_counted and last.is_counted and first.number < last.number):
        raise PartsListError(
            f"The range {word[:40]} does not count upwards.", given=word[:80], allowed="such as R5-R8",
            where=where,
        )  # fmt: skip
    size = last.number - first.number + 1
    if size > LONGEST_RANGE:
        raise _refused(f"The range {word[:40]} holds {size} parts", word[:80], LONGEST_RANGE, where)
    return first, last


def _refused(reason: str, given: str, most: int, where: str) -> PartsListError:
    return PartsListError(f"{reason}.", given=given, allowed=f"up to {most}", where=where)


def group_designators(designators: Iterable[Designator]) -> str:
    """Write designators as people do: sorted, three or more in a row as a range.

    Parameters
    ----------
    designators : iterable of Designator
        In any order.

    Returns
    -------
    str
        Such as ``R1, R2, R5-R8``; reads back as the same designators.

    Examples
    --------
    >>> group_designators(spread_designators("R10 R2 R1 R3"))
    'R1-R3, R10'
    """
    runs: list[list[Designator]] = []
    for one in sorted(set(designators)):
        if runs and _follows(runs[-1], one):
            runs[-1].append(one)
        else:
            runs.append([one])
    return ", ".join(_written(run) for run in runs)


def _follows(run: list[Designator], one: Designator) -> bool:
    last = run[-1]
    is_next = last.is_counted and one.is_counted and one.number == last.number + 1
    return is_next and one.letters == last.letters and len(run) < LONGEST_RANGE


def _written(run: list[Designator]) -> str:
    return f"{run[0]}-{run[-1]}" if len(run) > 2 else ", ".join(map(str, run))
