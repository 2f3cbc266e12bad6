"""A formula that was read, and what can be computed with it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from logbook.core.errors import FormulaError
from logbook.core.formulas.arithmetic import ENCLOSING, REAL
from logbook.core.formulas.intervals import Interval
from logbook.core.formulas.steps import Step, computed, run, slopes

Numbers = float | NDArray[np.float64]


@dataclass(frozen=True)
class Formula:
    """A formula over named parts; made by `parse_formula`.

    Parameters
    ----------
    text : str
        As typed.
    steps : tuple of Step
        In the order of computing; the last one is the result.
    """

    text: str
    steps: tuple[Step, ...]

    def __post_init__(self) -> None:
        if not self.steps or any(i >= place for place, s in enumerate(self.steps) for i in s.arguments):
            raise FormulaError("A step works on earlier steps only.", given=self.text[:40], where="formula")

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the parts, in the order they appear in the text."""
        return tuple(step.name for step in self.steps if step.kind == "name")

    def evaluate(self, values: Mapping[str, ArrayLike]) -> Numbers:
        """Return the value of the formula.

        Parameters
        ----------
        values : mapping of str to float or array_like
            One for each name, finite, in base units; arrays of one shape. Further names do no harm.

        Returns
        -------
        float or ndarray
            In base units; an array where any value is one.

        Raises
        ------
        FormulaError
            When a name has no value or a value is not finite, or when any step gives no finite number.

        Examples
        --------
        >>> from logbook.core.formulas import parse_formula
        >>> parse_formula("par(a, b)").evaluate({"a": 10000, "b": 10000})
        5000.0
        """
        return _plain(self._checked_run(self._inputs(values), "at these numbers")[-1])

    def gradient(
        self, values: Mapping[str, ArrayLike], names: Iterable[str] | None = None
    ) -> dict[str, Numbers]:
        """Return the partial derivatives of the formula.

        Parameters
        ----------
        values : mapping of str to float or array_like
            As for `evaluate`.
        names : iterable of str, optional
            Parts to derive for; all when left out. A part the formula does not hold has slope 0.

        Returns
        -------
        dict of str to float or ndarray
            Base unit of the result for one base unit of the part.

        Raises
        ------
        FormulaError
            As for `evaluate`, and where a slope is not finite.

        Notes
        -----
        Where |x|, min or max have a corner, the mean of the slopes of both sides is given.

        Examples
        --------
        >>> from logbook.core.formulas import parse_formula
        >>> parse_formula("v**2/r").gradient({"v": 2.0, "r": 4.0})
        {'v': 1.0, 'r': -0.25}
        """
        wanted = self.names if names is None else tuple(names)
        steps = self._checked_run(self._inputs(values), "at these numbers")
        try:
            with np.errstate(divide="raise", over="raise", invalid="raise", under="ignore"):
                found = slopes(self.steps, steps, frozenset(wanted), REAL)
        except (FloatingPointError, OverflowError, ZeroDivisionError):
            raise FormulaError(
                "The formula has no finite slope at these numbers.",
                given=self.text[:40],
                allowed="numbers where the formula is smooth",
                where="formula",
            ) from None
        return {name: _plain(found.get(name, 0.0)) for name in wanted}

    def enclose(self, ranges: Mapping[str, tuple[ArrayLike, ArrayLike]]) -> Interval:
        """Return an interval that surely holds all values of the formula over a box of parts.

        Parameters
        ----------
        ranges : mapping of str to (low, high)
            One range for each name, ``low <= high``, in base units; scalars or arrays of one shape.

        Returns
        -------
        Interval
            Often wider than the true range, never narrower; the whole line where the formula may be
            undefined.

        Raises
        ------
        FormulaError
            When a name has no range.

        Examples
        --------
        >>> from logbook.core.formulas import parse_formula
        >>> found = parse_formula("a - b").enclose({"a": (9, 11), "b": (1, 2)})
        >>> float(found.low), float(found.high)
        (7.0, 10.0)
        """
        self._require(ranges)
        box = {
            name: Interval(np.asarray(ranges[name][0], np.float64), np.asarray(ranges[name][1], np.float64))
            for name in self.names
        }
        return self.enclose_with_slopes(box, frozenset())[0]

    def enclose_with_slopes(
        self, box: Mapping[str, Interval], names: frozenset[str]
    ) -> tuple[Interval, dict[str, Interval], NDArray[np.bool_]]:
        """Return the enclosure of the value and of the partial derivatives over boxes.

        Parameters
        ----------
        box : mapping of str to Interval
            One for each name of the formula.
        names : frozenset of str
            Parts to derive for.

        Returns
        -------
        tuple of Interval, dict of str to Interval, and ndarray of bool
            Value; the slopes of those names the formula depends on; whether every step is surely defined
            and finite. Only there does a slope of one sign mean that the formula is monotonic.
        """
        with np.errstate(all="ignore"):
            values = run(self.steps, dict(box), ENCLOSING)
            found = slopes(self.steps, values, names, ENCLOSING) if names else {}
        is_sound = np.ones((), dtype=np.bool_)
        for value in values:
            is_sound = is_sound & np.isfinite(value.low) & np.isfinite(value.high)
        return values[-1], found, is_sound

    def _require(self, given: Mapping[str, object]) -> None:
        missing = [name for name in self.names if name not in given]
        if missing:
            raise FormulaError(
                f"The formula names {', '.join(missing)}, which is not among the parts.",
                given=", ".join(missing),
                allowed=", ".join(list(given)[:20]) or "a part of that name",
                where="formula",
            )

    def _inputs(self, values: Mapping[str, ArrayLike]) -> dict[str, Numbers]:
        self._require(values)
        inputs: dict[str, Numbers] = {
            name: np.asarray(values[name], dtype=np.float64)[()] for name in self.names
        }
        for name, value in inputs.items():
            if not np.all(np.isfinite(value)):
                raise FormulaError(f"{name} is not finite.", given=name, allowed="finite numbers", where=name)
        return inputs

    def _checked_run(self, inputs: Mapping[str, Numbers], at: str) -> list[Numbers]:
        values: list[Numbers] = []
        for step in self.steps:
            if step.kind == "number":
                values.append(np.float64(step.number))
            elif step.kind == "name":
                values.append(inputs[step.name])
            else:
                values.append(computed(step, tuple(values[i] for i in step.arguments), at))
        return values


def _plain(value: Numbers) -> Numbers:
    return value if isinstance(value, np.ndarray) else float(value)
