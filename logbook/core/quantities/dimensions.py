"""What units are made of, to tell whether values may be added: powers of metre, kilogram, second, ampere, …

The base units multiply without factors: a volt times an ampere is a watt. Units that do not (gram, turns a
minute, degrees of an angle, LSB) are a dimension of their own, so they fit nothing but themselves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product
from types import MappingProxyType

# SI Brochure, 9th ed. (2019), Tables 4 and 5. Rms, peak and peak to peak of one quantity are of one kind.
_MADE_OF = MappingProxyType(
    {
        "V": "kg m2 s-3 A-1", "A": "A", "Ω": "kg m2 s-3 A-2", "F": "kg-1 m-2 s4 A2", "H": "kg m2 s-2 A-2",
        "Hz": "s-1", "W": "kg m2 s-3", "J": "kg m2 s-2", "C": "A s", "s": "s", "m": "m", "K": "K",
        "N": "kg m s-2", "Pa": "kg m-1 s-2", "S": "kg-1 m-2 s3 A2", "T": "kg s-2 A-1",
        "V/K": "kg m2 s-3 A-1 K-1", "V/s": "kg m2 s-4 A-1", "V/√Hz": "kg m2 s-2.5 A-1", "A/√Hz": "A s0.5",
        "1/K": "K-1", "bit": "bit", "bit/s": "bit s-1", "": "", "VA": "kg m2 s-3", "N m": "kg m2 s-2",
        "Vrms": "kg m2 s-3 A-1", "Vpp": "kg m2 s-3 A-1", "Vpk": "kg m2 s-3 A-1", "Arms": "A", "App": "A",
        "s rms": "s", "s/day": "", "°C": "K", "S/s": "s-1", "Bd": "s-1",
        "g": "g", "lx": "lx", "rpm": "rpm", "LSB": "LSB", "°": "°",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Dimension:
    """Powers of base units, without those that are 0.

    Parameters
    ----------
    powers : tuple of (str, float)
        Sorted by the name of the base unit.
    """

    powers: tuple[tuple[str, float], ...] = ()

    def times(self, other: Dimension, exponent: float = 1.0) -> Dimension:
        """Return the dimension of a product with a power of the other."""
        found = dict(self.powers)
        for base, power in other.powers:
            found[base] = found.get(base, 0.0) + power * exponent
        return _of_powers(found)

    def raised(self, exponent: float) -> Dimension:
        """Return the dimension of a power."""
        return Dimension().times(self, exponent)

    @property
    def name(self) -> str:
        """How it is called: V, V/Ω, V²; powers of base units where no short name fits."""
        return _NAMES.get(self) or _spelled(self.powers)


def _spelled(powers: tuple[tuple[str, float], ...]) -> str:
    """Write the powers out, the positive ones first: kg·m·s^-2."""
    ordered = sorted(powers, key=lambda one: (one[1] < 0, one[0]))
    return "·".join(base if power == 1 else f"{base}^{power:g}" for base, power in ordered)


def _of_powers(powers: Mapping[str, float]) -> Dimension:
    # Exponents such as 1/0.725 leave rounding behind; nine decimals tell any two apart.
    rounded = {base: round(power, 9) for base, power in powers.items()}
    return Dimension(tuple(sorted((base, power) for base, power in rounded.items() if power)))


def _read(text: str) -> Dimension:
    powers = {}
    for factor in text.split():
        base = factor.rstrip("0123456789.-")
        powers[base] = float(factor.removeprefix(base) or 1)
    return _of_powers(powers)


_DIMENSIONS = MappingProxyType({base: _read(text) for base, text in _MADE_OF.items()})
DIMENSIONS_KNOWN = frozenset(_DIMENSIONS)


def dimension_of(base: str) -> Dimension | None:
    """Return what a base unit is made of.

    Parameters
    ----------
    base : str
        Symbol of a base unit, such as V; empty for a plain number.

    Returns
    -------
    Dimension or None
        None for a level in decibels, which is a number of no unit about a reference of its own.

    Examples
    --------
    >>> dimension_of("V") == dimension_of("A").times(dimension_of("Ω"))
    True
    """
    return _DIMENSIONS.get(base)


def _all_names() -> dict[Dimension, str]:
    """Return names of dimensions, the plainest first: V, then V², 1/V, V·A, V/A."""
    units = [base for base in _MADE_OF if base and dimension_of(base) != Dimension()]
    names = {Dimension(): "a plain number"}
    for base in units:
        names.setdefault(_DIMENSIONS[base], base)
    for base, (exponent, form) in product(units, ((2.0, "{}²"), (-1.0, "1/{}"), (0.5, "√{}"), (3.0, "{}³"))):
        names.setdefault(_DIMENSIONS[base].raised(exponent), form.format(base))
    for one, other in product(units[:12], repeat=2):
        names.setdefault(_DIMENSIONS[one].times(_DIMENSIONS[other], -1.0), f"{one}/{other}")
        names.setdefault(_DIMENSIONS[one].times(_DIMENSIONS[other]), f"{one}·{other}")
    return names


_NAMES = MappingProxyType(_all_names())
