"""The preferred value nearest to a wanted one."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from logbook.core.errors import PreferredValueError
from logbook.core.preferred.series import checked_series, series_values, usual_tolerance_percent
from logbook.core.quantities import EXACT, decimal_of


@dataclass(frozen=True, slots=True)
class PreferredValue:
    """A wanted value placed in a series; all values in the unit of the wanted one.

    Parameters
    ----------
    nearest : decimal.Decimal
        Member nearest by ratio.
    below, above : decimal.Decimal
        Largest member not above the wanted value, smallest member not below it; both are the value
        itself where it is a member.
    usual_tolerance_percent : decimal.Decimal or None
        Tolerance commonly paired with the series.
    member : bool
        Whether the wanted value is a member.
    """

    nearest: Decimal
    below: Decimal
    above: Decimal
    usual_tolerance_percent: Decimal | None
    member: bool

    def __post_init__(self) -> None:
        if not 0 < self.below <= self.nearest <= self.above or self.member != (self.below == self.above):
            raise PreferredValueError(
                "The neighbours of a preferred value do not fit.", given=str(self.nearest)
            )


def nearest_value(value: Decimal | int | float | str, series: str) -> PreferredValue:
    """Return the nearest preferred value and its neighbours.

    Parameters
    ----------
    value : decimal.Decimal, int, float or str
        Wanted value, above 0, in any unit.
    series : str
        E3, E6, E12, E24, E48, E96 or E192.

    Returns
    -------
    PreferredValue
        In the same unit; a neighbour may lie in the next decade.

    Raises
    ------
    PreferredValueError
        When the value is not above 0 or there is no such series.
    QuantityError
        When the value is no number.

    Notes
    -----
    Near means the smallest ratio, because tolerances are ratios. In the middle of two members the lower
    one is taken.

    References
    ----------
    IEC 60063:2015, Tables 1 and 2; choice by ratio is common practice.

    Examples
    --------
    >>> found = nearest_value(31250, "E96")
    >>> int(found.nearest), int(found.below), int(found.above), found.member
    (31600, 30900, 31600, False)
    """
    wanted = decimal_of(value, where="value")
    name = checked_series(series)
    if wanted <= 0:
        raise PreferredValueError(
            "A preferred value is above 0.", given=str(value)[:40], allowed="above 0", where="value"
        )
    below, above = _neighbours(wanted, series_values(name))
    # By ratio: wanted/below against above/wanted, compared without division or logarithm.
    is_nearer_below = EXACT.multiply(wanted, wanted) <= EXACT.multiply(below, above)
    return PreferredValue(
        nearest=below if is_nearer_below else above,
        below=below,
        above=above,
        usual_tolerance_percent=usual_tolerance_percent(name),
        member=below == above,
    )


def _neighbours(wanted: Decimal, members: tuple[int, ...]) -> tuple[Decimal, Decimal]:
    scale = Decimal(wanted.adjusted() - (len(str(members[0])) - 1))
    decade = [EXACT.scaleb(Decimal(member), scale) for member in (*members, 10 * members[0])]
    below = max(member for member in decade if member <= wanted)
    return below, min(member for member in decade if member >= wanted)
