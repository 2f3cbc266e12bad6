"""Whether the units of the parts fit together in a formula, and give the unit asked for.

Rule: what is surely wrong is refused; where a number may carry a unit that nobody wrote, it is taken as it is
and said so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from logbook.core.errors import UnitMismatchError
from logbook.core.formulas import Formula
from logbook.core.formulas.steps import Step
from logbook.core.quantities import Unit
from logbook.core.quantities.dimensions import Dimension, dimension_of

_LOGARITHMS = {"ln", "log10"}
_OF_PLAIN_NUMBERS = {"exp", "sin", "cos", "tan", "atan"}
_OF_ONE_UNIT = {
    "+": "added",
    "-": "subtracted",
    "min": "compared",
    "max": "compared",
    "par": "put in parallel",
}
_MOST_NAMES = 4


@dataclass(frozen=True, slots=True)
class UnitCheck:
    """Whether the units were checked throughout.

    Parameters
    ----------
    is_checked : bool
        True: every part and the result have a unit, and all of them fit.
    reason : str
        Why not, without a full stop; empty where they were checked.
    """

    is_checked: bool
    reason: str = ""

    def __post_init__(self) -> None:
        if self.is_checked and self.reason:
            raise UnitMismatchError("Checked units need no reason.", given=self.reason)


@dataclass(frozen=True, slots=True)
class _Held:
    """The dimension of a step; not sure where a number in it may carry a unit of its own."""

    dimension: Dimension
    is_sure: bool
    names: tuple[str, ...] = ()
    number: float | None = None

    @property
    def title(self) -> str:
        """The dimension, and the first parts it comes from."""
        if self.number is not None:
            return f"{self.number:.6g}"
        names = ", ".join(self.names[:_MOST_NAMES])
        return f"{self.dimension.name} ({names})" if names else self.dimension.name


def check_units(formula: Formula, units: Mapping[str, str], result: Unit) -> UnitCheck:
    """Follow the units of the parts through a formula.

    Parameters
    ----------
    formula : Formula
        Over the parts.
    units : mapping of str to str
        Base unit of each part; empty for a plain number.
    result : Unit
        Unit the result is written in; without symbol where none was asked for.

    Returns
    -------
    UnitCheck
        Whether everything was checked, and if not, why.

    Raises
    ------
    UnitMismatchError
        When unlike units are added or compared, a function of plain numbers is given a unit, or the
        result has another unit than asked for; only where no number may carry a unit that was not written.

    Notes
    -----
    Whole numbers and pi in a formula are plain numbers; another constant (1.38e-23) may have a unit, as may a
    part given without one. A number beside a value with a unit (t - 20) is taken in that unit. Rms, peak and
    peak to peak are not told apart, nor are °C and K; levels in decibels count as plain numbers.

    Examples
    --------
    >>> from logbook.core.formulas import parse_formula
    >>> from logbook.core.quantities import as_unit
    >>> check_units(parse_formula("v/r"), {"v": "V", "r": "Ω"}, as_unit("mA"))
    UnitCheck(is_checked=True, reason='')
    """
    follower = _Follower(formula, units)
    found = follower.follow()
    follower.meet(found, result)
    return UnitCheck(not follower.notes, "; ".join(dict.fromkeys(follower.notes)))


@dataclass
class _Follower:
    formula: Formula
    units: Mapping[str, str]
    notes: list[str] = field(default_factory=list)

    def follow(self) -> _Held:
        held: list[_Held] = []
        for step in self.formula.steps:
            held.append(self._held(step, [held[place] for place in step.arguments]))
        plain = [name for name in self.formula.names if not self.units.get(name)]
        if plain:
            listed = ", ".join(plain[:_MOST_NAMES]) + (" …" if len(plain) > _MOST_NAMES else "")
            said = "is a plain number, taken as it is"
            if len(plain) > 1:
                said = "are plain numbers, taken as they are"
            self.notes.insert(0, f"{listed} {said}")
        return held[-1]

    def meet(self, found: _Held, result: Unit) -> None:
        """Hold the unit of the formula against the unit asked for."""
        wanted = dimension_of(result.base)
        if wanted is None:
            wanted = Dimension()
        if found.dimension == wanted:
            return
        if not result.symbol:
            self.notes.append(f"no unit is asked for; the formula gives {found.dimension.name}")
        elif found.is_sure:
            raise UnitMismatchError(
                f"The formula gives {found.dimension.name}, which does not fit {result.symbol}.",
                given=result.symbol,
                allowed=f"a unit of {found.dimension.name}",
                where="unit",
            )
        else:
            gives = f"the formula gives {found.dimension.name}, taken as {result.base or 'a plain number'}"
            self.notes.append(f"{gives}: its numbers may carry the rest")

    def _held(self, step: Step, given: list[_Held]) -> _Held:
        if step.kind == "number":
            return _Held(Dimension(), step.is_plain, number=step.number)
        if step.kind == "name":
            dimension = dimension_of(self.units.get(step.name, ""))
            is_sure = bool(self.units.get(step.name)) and dimension is not None
            return _Held(dimension or Dimension(), is_sure, (step.name,))
        if step.kind in _OF_ONE_UNIT:
            return self._alike(step.kind, *given)
        return self._changed(step, given)

    def _changed(self, step: Step, given: list[_Held]) -> _Held:
        first, names = given[0], _names(given)
        is_sure = all(one.is_sure for one in given)
        if step.kind in ("*", "/"):
            exponent = 1.0 if step.kind == "*" else -1.0
            return _Held(first.dimension.times(given[1].dimension, exponent), is_sure, names)
        if step.kind in ("raised", "sqrt"):
            exponent = step.number if step.kind == "raised" else 0.5
            return _Held(first.dimension.raised(exponent), is_sure, names)
        if step.kind in _LOGARITHMS and first.dimension != Dimension():
            self.notes.append(f"{step.kind} takes {first.title} as a plain number")
            return _Held(Dimension(), is_sure=False, names=names)
        if step.kind in _OF_PLAIN_NUMBERS:
            self._need_plain(step.kind, first)
        if step.kind == "power":
            self._need_plain("an exponent", given[1])
            if first.dimension != Dimension():
                self.notes.append(f"a power that varies takes {first.title} as a plain number")
                is_sure = False
            return _Held(Dimension(), is_sure, names)
        return _Held(first.dimension if step.kind in ("abs", "negative") else Dimension(), is_sure, names)

    def _need_plain(self, what: str, given: _Held) -> None:
        if given.dimension == Dimension():
            return
        if given.is_sure:
            raise UnitMismatchError(
                f"{what} takes a plain number, not {given.title}.",
                given=given.dimension.name,
                allowed="a plain number, such as a ratio of two voltages",
                where="formula",
            )
        self.notes.append(f"{what} takes {given.title} as a plain number")

    def _alike(self, kind: str, a: _Held, b: _Held) -> _Held:
        names = _names([a, b])
        if a.dimension == b.dimension:
            return _Held(a.dimension, a.is_sure or b.is_sure, names)
        for number, other in ((a, b), (b, a)):
            if number.number is not None and other.is_sure:
                if number.number != 0:
                    self.notes.append(f"{number.number:.6g} beside {other.title} is taken in that unit")
                return _Held(other.dimension, is_sure=True, names=names)
        if a.is_sure and b.is_sure:
            raise UnitMismatchError(
                f"{a.title} and {b.title} cannot be {_OF_ONE_UNIT[kind]}.",
                given=f"{a.dimension.name} and {b.dimension.name}",
                allowed="values of one unit",
                where="formula",
            )
        self.notes.append(f"{a.title} and {b.title} are {_OF_ONE_UNIT[kind]} as they are")
        return _Held((a if a.is_sure else b).dimension, a.is_sure or b.is_sure, names)


def _names(given: list[_Held]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for one in given for name in one.names))
