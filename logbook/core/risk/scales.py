"""Severity, harm, probability bands and the matrix that turns them into a level."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from logbook.core.errors import RiskError


class Severity(StrEnum):
    """What it means for the function when the target is out of limits."""

    S1 = "S1"  # can damage the board or what is connected
    S2 = "S2"  # blocks a subsystem or the next check
    S3 = "S3"  # degrades with a workaround
    S4 = "S4"  # nuisance
    S5 = "S5"  # cosmetic

    @property
    def column(self) -> int:
        """Column of the matrix: 1 to 4, nuisance and cosmetic sharing the last."""
        return min(int(self[1]), 4)


class Harm(StrEnum):
    """Harm to people, in the words of MIL-STD-882E; never averaged with the severity."""

    CATASTROPHIC = "catastrophic"
    CRITICAL = "critical"
    MARGINAL = "marginal"
    NEGLIGIBLE = "negligible"

    @property
    def column(self) -> int:
        """Column of the matrix, 1 to 4."""
        return tuple(Harm).index(self) + 1


class Level(StrEnum):
    """Level of a risk, worst first. Eliminated is only what the design has removed, never a probability."""

    HIGH = "High"
    SERIOUS = "Serious"
    MEDIUM = "Medium"
    LOW = "Low"
    ELIMINATED = "Eliminated"

    @property
    def rank(self) -> int:
        """Place in a list that shows the worst first: 0 for High."""
        return tuple(Level).index(self)


# MIL-STD-882E (2012), Table III: rows probability, columns severity 1 to 4.
RISK_MATRIX: Mapping[str, tuple[Level, Level, Level, Level]] = MappingProxyType(
    {
        "A": (Level.HIGH, Level.HIGH, Level.SERIOUS, Level.MEDIUM),
        "B": (Level.HIGH, Level.HIGH, Level.SERIOUS, Level.MEDIUM),
        "C": (Level.HIGH, Level.SERIOUS, Level.MEDIUM, Level.LOW),
        "D": (Level.SERIOUS, Level.MEDIUM, Level.MEDIUM, Level.LOW),
        "E": (Level.MEDIUM, Level.MEDIUM, Level.MEDIUM, Level.LOW),
        "F": (Level.ELIMINATED, Level.ELIMINATED, Level.ELIMINATED, Level.ELIMINATED),
    }
)

# Judgement: hours that finding it now saves over finding it after ordering; each project sets its own.
HOURS_SAVED: Mapping[Severity, float] = MappingProxyType(
    {Severity.S1: 80.0, Severity.S2: 40.0, Severity.S3: 8.0, Severity.S4: 2.0, Severity.S5: 0.5}
)


@dataclass(frozen=True, slots=True)
class ProbabilityBands:
    """Lower bounds of the probability rows A to D; below the last is E.

    Parameters
    ----------
    a, b, c, d : float
        Descending, between 0 and 1, both left out.

    Raises
    ------
    RiskError
        When they do not descend between 1 and 0.
    """

    a: float
    b: float
    c: float
    d: float

    def __post_init__(self) -> None:
        if not 1 > self.a > self.b > self.c > self.d > 0:
            given = f"{self.a}, {self.b}, {self.c}, {self.d}"
            allowed = "four bounds descending between 1 and 0"
            raise RiskError(f"Bands {given} are not {allowed}.", given=given, allowed=allowed, where="bands")

    def row(self, probability: float) -> str:
        """Row of the matrix, A to E.

        Parameters
        ----------
        probability : float
            0 to 1. A value on a bound belongs to the higher row.

        Returns
        -------
        str
            One letter.

        Raises
        ------
        RiskError
            When it is no probability.
        """
        if math.isnan(probability) or not 0 <= probability <= 1:
            raise RiskError(
                f"{probability} is no probability.",
                given=str(probability),
                allowed="0 to 1",
                where="probability",
            )
        bounds = (("A", self.a), ("B", self.b), ("C", self.c), ("D", self.d))
        return next((row for row, bound in bounds if probability >= bound), "E")


# MIL-STD-882E (2012), Table A-II, example quantitative levels over the life of an item.
HARM_BANDS = ProbabilityBands(0.1, 0.01, 0.001, 1e-6)
# Judgement: tailored to bring-up, where one board in fifty out of limits is already worth a question.
FUNCTION_BANDS = ProbabilityBands(0.5, 0.1, 0.02, 0.001)


def level_of(probability: float, column: int, bands: ProbabilityBands) -> Level:
    """Level of a risk by the matrix.

    Parameters
    ----------
    probability : float
        0 to 1.
    column : int
        Severity column, 1 to 4: `Severity.column` or `Harm.column`.
    bands : ProbabilityBands
        `FUNCTION_BANDS` or a project's own for function, `HARM_BANDS` for harm.

    Returns
    -------
    Level
        High to Low; a value on a border belongs to the higher level.

    Raises
    ------
    RiskError
        When the probability or the column is impossible.

    References
    ----------
    MIL-STD-882E (2012), Table III.

    Examples
    --------
    >>> level_of(0.25, Severity.S2.column, FUNCTION_BANDS)
    <Level.HIGH: 'High'>
    """
    row = bands.row(probability)
    if column not in (1, 2, 3, 4):
        raise RiskError(f"No column {column}.", given=str(column), allowed="1 to 4", where="column")
    return RISK_MATRIX[row][column - 1]


def worse_level(first: Level, second: Level | None) -> Level:
    """The worse of two levels.

    Parameters
    ----------
    first : Level
        Of the function.
    second : Level or None
        Of harm, where there is any.

    Returns
    -------
    Level
        The one with the lower rank.

    Examples
    --------
    >>> worse_level(Level.LOW, Level.SERIOUS)
    <Level.SERIOUS: 'Serious'>
    """
    return first if second is None or first.rank <= second.rank else second
