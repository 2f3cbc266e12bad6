"""The shape of a ready-made calculation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from logbook.core.errors import FormulaError
from logbook.core.formulas import Formula, parse_formula
from logbook.core.quantities import as_unit
from logbook.core.tolerance import Part, parse_part


@dataclass(frozen=True, slots=True)
class ReadyPart:
    """One part of a ready-made calculation.

    Parameters
    ----------
    name : str
        As in the formula.
    meaning : str
        What it is.
    unit : str
        Base unit; empty for a plain number.
    example : str
        Example of the nominal value, with its unit.
    tolerance : str
        Example of the tolerance; empty for an exact value.
    """

    name: str
    meaning: str
    unit: str
    example: str
    tolerance: str = ""

    def __post_init__(self) -> None:
        if self.part().unit != self.unit:
            raise FormulaError(
                f"{self.name} is not in {self.unit or 'a plain number'}.", given=self.example, where=self.name
            )

    def part(self) -> Part:
        """Return the example as a part of a stack-up."""
        return parse_part(self.name, {"nominal": self.example, "tolerance": self.tolerance})


@dataclass(frozen=True, slots=True)
class Caution:
    """What to say where a number is above a bound.

    Parameters
    ----------
    above : float
        Bound, in the base unit; passed only by what is larger.
    text : str
        What to say.
    part : str
        Name of the part the bound is for; empty for the result.
    """

    above: float
    text: str
    part: str = ""


@dataclass(frozen=True)
class ReadyMade:
    """A calculation of the trade as data.

    Parameters
    ----------
    key, name : str
        Short name for addresses, and what people call it.
    formula_text : str
        Over the parts, in base units.
    parts : tuple of ReadyPart
        One for each name of the formula.
    unit : str
        Unit of the result.
    source : str
        Where the formula comes from.
    cautions : tuple of Caution
        What may have to be said beside the result.
    """

    key: str
    name: str
    formula_text: str
    parts: tuple[ReadyPart, ...]
    unit: str
    source: str
    cautions: tuple[Caution, ...] = ()

    def __post_init__(self) -> None:
        if {part.name for part in self.parts} != set(self.formula.names) or not self.source:
            raise FormulaError(
                f"{self.key} needs a source and one part for each name.",
                given=self.formula_text[:40],
                allowed=", ".join(self.formula.names),
                where=self.key,
            )
        as_unit(self.unit)

    @property
    def formula(self) -> Formula:
        """The formula, read."""
        return parse_formula(self.formula_text)

    def example_parts(self) -> list[Part]:
        """Return the examples as parts of a stack-up."""
        return [part.part() for part in self.parts]

    def evaluate(self, values: Mapping[str, float]) -> float:
        """Return the result.

        Parameters
        ----------
        values : mapping of str to float
            One for each part, in base units.

        Returns
        -------
        float
            In `unit`.

        Raises
        ------
        FormulaError
            When a value is missing or the formula has no value there.
        """
        return float(self.formula.evaluate(values)) / float(as_unit(self.unit).factor)

    def cautions_for(self, values: Mapping[str, float]) -> tuple[str, ...]:
        """Return what has to be said at these values.

        Parameters
        ----------
        values : mapping of str to float
            One for each part, in base units.

        Returns
        -------
        tuple of str
            Empty where nothing is above its bound.

        Raises
        ------
        FormulaError
            As for `evaluate`.
        """
        result = float(self.formula.evaluate(values))
        return tuple(c.text for c in self.cautions if (values[c.part] if c.part else result) > c.above)
