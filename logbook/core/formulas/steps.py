"""A formula as a flat list of steps: no recursion, equal pieces computed once, constants folded."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from logbook.core.errors import FormulaError
from logbook.core.formulas.arithmetic import REAL, Arithmetic, Value
from logbook.core.formulas.operations import OPERATIONS, Operation, raised_to


@dataclass(frozen=True, slots=True)
class Step:
    """A number, a named part, or an operation on earlier steps.

    Parameters
    ----------
    kind : str
        number, name, raised, or a key of `OPERATIONS`.
    arguments : tuple of int
        Places of the earlier steps it works on.
    number : float
        The number, or the exponent of ``raised``.
    name : str
        Name of the part.
    is_plain : bool
        Of a number: whether it surely carries no unit, as whole numbers and pi; 1.38e-23 may be one of J/K.
    """

    kind: str
    arguments: tuple[int, ...] = ()
    number: float = 0.0
    name: str = ""
    is_plain: bool = True

    @property
    def operation(self) -> Operation:
        """How the step is computed; not for numbers and names."""
        return raised_to(self.number) if self.kind == "raised" else OPERATIONS[self.kind]


def failure(step: Step, at: str) -> FormulaError:
    """Return the error for a step that gives no finite number."""
    return FormulaError(
        f"The formula has no value {at}: {step.operation.failure}.",
        given=step.kind,
        allowed="finite numbers throughout",
        where="formula",
    )


def computed(step: Step, arguments: tuple[Value, ...], at: str) -> Value:
    """Return the result of one operation on plain numbers or arrays.

    Parameters
    ----------
    step : Step
        An operation.
    arguments : tuple of ndarray or float
        Finite.
    at : str
        At which numbers, for the message.

    Returns
    -------
    ndarray or float
        Finite.

    Raises
    ------
    FormulaError
        When any result is not finite.
    """
    operation = step.operation
    try:
        with np.errstate(divide="raise", over="raise", invalid="raise", under="ignore"):
            return operation.value(REAL, arguments)
    except (FloatingPointError, OverflowError, ZeroDivisionError):
        raise failure(step, at) from None


class StepList:
    """Collects the steps of a formula while it is read."""

    def __init__(self) -> None:
        self.steps: list[Step] = []
        self._places: dict[Step, int] = {}

    def _place_of(self, step: Step) -> int:
        if step not in self._places:
            self._places[step] = len(self.steps)
            self.steps.append(step)
        return self._places[step]

    def number(self, value: float, *, is_plain: bool = True) -> int:
        """Add a number; return its place."""
        # Minus zero equals zero, so it would be taken for it.
        return self._place_of(Step("number", number=value + 0.0, is_plain=is_plain))

    def name(self, name: str) -> int:
        """Add a part; return its place."""
        return self._place_of(Step("name", name=name))

    def operation(self, kind: str, *arguments: int) -> int:
        """Add an operation, or the number it comes to; return its place."""
        inputs = [self.steps[place] for place in arguments]
        if all(step.kind == "number" for step in inputs):
            numbers = tuple(np.float64(step.number) for step in inputs)
            value = float(computed(Step(kind, arguments), numbers, "anywhere"))
            return self.number(value, is_plain=all(step.is_plain for step in inputs))
        if kind == "power" and inputs[1].kind == "number":
            return self._raised(arguments[0], inputs[1].number)
        return self._place_of(Step(kind, arguments))

    def _raised(self, base: int, exponent: float) -> int:
        if exponent == 0:
            return self.number(1.0)
        return base if exponent == 1 else self._place_of(Step("raised", (base,), number=exponent))

    def up_to(self, last: int) -> tuple[Step, ...]:
        """Return the steps the one at `last` needs, itself at the end."""
        needed = {last}
        for place in range(last, -1, -1):
            if place in needed:
                needed.update(self.steps[place].arguments)
        new_places = {old: new for new, old in enumerate(sorted(needed))}
        return tuple(
            replace(step, arguments=tuple(new_places[argument] for argument in step.arguments))
            for step in (self.steps[place] for place in sorted(needed))
        )


def run(steps: tuple[Step, ...], inputs: dict[str, Value], arithmetic: Arithmetic) -> list[Any]:
    """Return the value of every step without any check, for intervals.

    Parameters
    ----------
    steps : tuple of Step
        Steps in order.
    inputs : dict of str to value
        One value for each name.
    arithmetic : Arithmetic
        Of these values.

    Returns
    -------
    list of value
        One for each step.
    """
    values: list[Any] = []
    for step in steps:
        if step.kind == "number":
            values.append(arithmetic.number(step.number))
        elif step.kind == "name":
            values.append(inputs[step.name])
        else:
            values.append(step.operation.value(arithmetic, tuple(values[i] for i in step.arguments)))
    return values


def slopes(
    steps: tuple[Step, ...], values: list[Any], names: frozenset[str], arithmetic: Arithmetic
) -> dict[str, Value]:
    """Return the partial derivative of the last step for each name, by the chain rule backwards.

    Parameters
    ----------
    steps : tuple of Step
        Steps in order.
    values : list of value
        Their values.
    names : frozenset of str
        Parts to derive for.
    arithmetic : Arithmetic
        Of these values.

    Returns
    -------
    dict of str to value
        Only the names the formula depends on.
    """
    depends = [False] * len(steps)
    for place, step in enumerate(steps):
        depends[place] = step.name in names or any(depends[i] for i in step.arguments)
    weights: dict[int, Value] = {len(steps) - 1: arithmetic.number(1.0)}
    found: dict[str, Value] = {}
    for place in range(len(steps) - 1, -1, -1):
        step, weight = steps[place], weights.pop(place, None)
        if weight is None or not depends[place]:
            continue
        if step.kind == "name":
            found[step.name] = weight
            continue
        partials = step.operation.partials(
            arithmetic, tuple(values[i] for i in step.arguments), values[place]
        )
        for argument, partial in zip(step.arguments, partials, strict=True):
            if depends[argument]:
                carried = partial * weight
                weights[argument] = carried if argument not in weights else weights[argument] + carried
    return found
