"""Which mark stands before the decimals of a file: a point, or a comma where other marks part the columns.

Rule: one file has one mark. It is the one of its last number with decimals, and a number with the other one
is refused by whoever reads the rows.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

POINT, COMMA = ".", ","
_WHOLE = r"[+-]?{number}(?:[eE][+-]?\d+)?"
_WITH_COMMA = re.compile(_WHOLE.format(number=r"(?:\d+,\d*|,\d+)"), re.ASCII)
_WITH_POINT = re.compile(_WHOLE.format(number=r"(?:\d+\.\d*|\.\d+)"), re.ASCII)
_SETTING = re.compile(r"((?:^|[:=])\s*[+-]?\d+),(?=\d)", re.ASCII)


@dataclass(frozen=True, slots=True)
class DecimalMark:
    """The mark of a file.

    Parameters
    ----------
    sign : str
        A point or a comma.
    line : int
        Line that decided it, counted from 1; 0 where every number is whole.
    """

    sign: str = POINT
    line: int = 0

    @property
    def is_comma(self) -> bool:
        """Whether decimals stand behind a comma."""
        return self.sign == COMMA

    def with_points(self, text: str) -> str:
        """Write the numbers of data with points.

        Parameters
        ----------
        text : str
            Cells or lines of data.

        Returns
        -------
        str
            The same where they have points already.
        """
        return text.replace(COMMA, POINT) if self.is_comma else text

    def setting_with_points(self, cell: str) -> str:
        """Write the number a cell of the head begins with, or names after a colon, with a point.

        Parameters
        ----------
        cell : str
            Such as ``dt: 1,5E-6``.

        Returns
        -------
        str
            The same where the file has points.
        """
        return _SETTING.sub(r"\1.", cell) if self.is_comma else cell

    def is_other(self, cell: str) -> bool:
        """Whether a cell is a number with the other mark.

        Parameters
        ----------
        cell : str
            One cell of data.

        Returns
        -------
        bool
            False for whole numbers and for text.
        """
        return (_WITH_POINT if self.is_comma else _WITH_COMMA).fullmatch(cell) is not None


def decimal_mark_of(text: str, delimiter: str) -> DecimalMark:
    """Find the mark of a file from its end upwards.

    Parameters
    ----------
    text : str
        The whole file, lines ending with a line feed.
    delimiter : str
        What keeps its columns apart; a comma leaves the point only.

    Returns
    -------
    DecimalMark
        A point where every number is whole.

    Examples
    --------
    >>> decimal_mark_of("t;U\\n0;1,5\\n1;2", ";")
    DecimalMark(sign=',', line=2)
    """
    if delimiter == COMMA or COMMA not in text:
        return DecimalMark()
    end = comma = point = len(text)
    while True:
        # Only a mark that was passed is looked for again, so that every sign is looked at once.
        comma = text.rfind(COMMA, 0, end) if comma >= end else comma
        point = text.rfind(POINT, 0, end) if point >= end else point
        at = max(comma, point)
        if at < 0:
            return DecimalMark()
        begins = text.rfind("\n", 0, at) + 1
        stops = text.find("\n", at)
        for cell in text[begins : stops if stops >= 0 else len(text)].split(delimiter):
            for sign, pattern in ((COMMA, _WITH_COMMA), (POINT, _WITH_POINT)):
                if pattern.fullmatch(cell.strip().strip('"').strip()):
                    return DecimalMark(sign, text.count("\n", 0, begins) + 1)
        end = begins
