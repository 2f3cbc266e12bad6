"""Tolerance letters of marking codes.

References
----------
IEC 60062:2016, Marking codes for resistors and capacitors, tolerance letter code. Taken from memory;
B C D F G J K M are well known, the others are seldom met.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from logbook.core.errors import PreferredValueError, QuantityError
from logbook.core.quantities.spelling import quoted, shown


@dataclass(frozen=True, slots=True)
class LetterTolerance:
    """How far below and above its nominal a part may be, both as positive percent."""

    minus_percent: Decimal
    plus_percent: Decimal

    def __post_init__(self) -> None:
        if self.minus_percent < 0 or self.plus_percent < 0:
            raise QuantityError(
                "A tolerance is not below 0.", given=f"{self.minus_percent}, {self.plus_percent}"
            )


_SYMMETRIC = {
    "E": "0.005", "L": "0.01", "P": "0.02", "W": "0.05", "B": "0.1", "C": "0.25", "D": "0.5",
    "F": "1", "G": "2", "H": "3", "J": "5", "K": "10", "M": "20", "N": "30",
}  # fmt: skip
_ASYMMETRIC = {"Q": ("10", "30"), "T": ("10", "50"), "S": ("20", "50"), "Z": ("20", "80")}

LETTER_TOLERANCES: Mapping[str, LetterTolerance] = MappingProxyType(
    {letter: LetterTolerance(Decimal(size), Decimal(size)) for letter, size in _SYMMETRIC.items()}
    | {letter: LetterTolerance(Decimal(low), Decimal(high)) for letter, (low, high) in _ASYMMETRIC.items()}
)
# Below 10 pF these letters are absolute, in pF (IEC 60062:2016, from memory).
ABSOLUTE_PF: Mapping[str, Decimal] = MappingProxyType(
    {"B": Decimal("0.1"), "C": Decimal("0.25"), "D": Decimal("0.5"), "F": Decimal(1), "G": Decimal(2)}
)


def tolerance_of_letter(letter: str) -> LetterTolerance:
    """Return the tolerance a letter stands for on parts from 10 pF and on resistors.

    Parameters
    ----------
    letter : str
        One capital letter.

    Returns
    -------
    LetterTolerance
        Percent below and above the nominal.

    Raises
    ------
    PreferredValueError
        When the letter is no tolerance letter.

    References
    ----------
    IEC 60062:2016, tolerance letter code (from memory).

    Examples
    --------
    >>> tolerance_of_letter("J").plus_percent
    Decimal('5')
    """
    if not isinstance(letter, str) or letter not in LETTER_TOLERANCES:
        raise PreferredValueError(
            f"{quoted(letter)} is not a tolerance letter.",
            given=shown(letter),
            allowed=", ".join(LETTER_TOLERANCES),
            where="tolerance letter",
        )
    return LETTER_TOLERANCES[letter]
