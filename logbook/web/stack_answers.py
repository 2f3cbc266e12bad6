"""What the pages of tolerance stack-ups show: bands, shares and the picture."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from logbook.calculations.choices import Method
from logbook.calculations.lines import part_text, parts_of_lines
from logbook.calculations.models import Calculation
from logbook.calculations.translate import (
    Soundness,
    StackAsked,
    computed,
    read_parts,
    soundness_found,
    soundness_of,
)
from logbook.core.limits import Limits, parse_limits
from logbook.core.quantities import convert, unit_named
from logbook.core.tolerance import StackUp
from logbook.web.band_picture import BandPicture, picture_of

SHARE_WIDTH = 100
# Common practice: no capacitor or coil on a board has a thousand farad or henry.
LARGEST_PART = 1000
TOO_LARGE = {"F": "10 nF or 10 µF", "H": "10 nH or 10 µH"}


@dataclass(frozen=True)
class PartShare:
    """One part and its share of the root sum of squares, from 0 to 1."""

    name: str
    text: str
    share: float

    @property
    def width(self) -> float:
        """Return the length of its bar."""
        return round(self.share * SHARE_WIDTH, 2)

    @property
    def percent(self) -> str:
        """Return the share as text."""
        return f"{100 * self.share:.1f} %"


@dataclass(frozen=True)
class StackAnswer:
    """A stack-up ready to be shown."""

    nominal: str
    unit: str
    exact: bool
    limits_text: str
    picture: BandPicture
    shares: tuple[PartShare, ...]
    sound: Soundness
    has_band: bool
    remarks: tuple[str, ...] = ()


def asked_in(given: Mapping[str, Any]) -> StackAsked:
    """Return what a form of the calculator asks."""
    return StackAsked(
        formula=given["formula"],
        parts=parts_of_lines(given["parts"]),
        unit=given["unit"],
        samples=given["samples"],
        seed=given["seed"],
    )


def answer_stack(given: Mapping[str, Any]) -> StackAnswer:
    """Compute what a form of the calculator asks."""
    asked = asked_in(given)
    found = computed(asked)
    limits = (
        parse_limits(given["limits"], unit=found.unit or None, where="limits") if given["limits"] else None
    )
    return answer_of(found, asked.parts, limits)


def answer_of(found: StackUp, parts: Mapping[str, Any], limits: Limits | None = None) -> StackAnswer:
    """Return the answer of a stack-up that was computed."""
    bands = {method.value: (getattr(found, method).low, getattr(found, method).high) for method in Method}
    return _answer(
        found.nominal,
        bands,
        found.shares,
        parts,
        found.unit,
        soundness_found(found),
        exact=found.extreme.exact,
        limits=limits,
    )


def answer_kept(calculation: Calculation, limits: Limits | None = None) -> StackAnswer:
    """Return the answer a calculation keeps; nothing is computed anew."""
    kept = calculation.bands
    bands = {method.value: (float(kept[method]["low"]), float(kept[method]["high"])) for method in Method}
    shares = {name: float(share) for name, share in kept["shares"].items()}
    return _answer(
        float(kept["nominal"]),
        bands,
        shares,
        calculation.parts,
        calculation.unit,
        soundness_of(calculation),
        exact=kept["exact"],
        limits=limits,
    )


def _answer(
    nominal: float,
    bands: Mapping[str, tuple[float, float]],
    shares: Mapping[str, float],
    parts: Mapping[str, Any],
    unit: str,
    sound: Soundness,
    *,
    exact: bool,
    limits: Limits | None,
) -> StackAnswer:
    own = _in_unit(limits, unit) if limits else None
    lines = tuple(PartShare(name, part_text(parts[name]), share) for name, share in shares.items())
    return StackAnswer(
        nominal=f"{nominal:.6g} {unit}".rstrip(),
        unit=unit,
        exact=exact,
        limits_text=limits.text if limits else "",
        picture=picture_of(nominal, bands, unit, own, unusable=_unusable(sound)),
        shares=tuple(sorted(lines, key=lambda line: -line.share)),
        sound=sound,
        has_band=any(low < high for low, high in bands.values()),
        remarks=tuple(_implausible(parts)),
    )


def _implausible(parts: Mapping[str, Any]) -> Iterator[str]:
    """Say which parts are larger than any part on a board: most likely a slip in the prefix."""
    for part in read_parts(parts):
        example = TOO_LARGE.get(part.unit)
        if example and abs(part.nominal) >= LARGEST_PART:
            yield (
                f"{part.name} = {part_text(parts[part.name])} is read as {part.nominal:g} {part.unit}, "
                f"far larger than a part on a board. Check the prefix, such as {example}."
            )


def _unusable(sound: Soundness) -> frozenset[str]:
    return frozenset({Method.ROOT_SUM_SQUARE.value} if sound.linear_problem else ())


def _in_unit(limits: Limits, unit: str) -> Limits:
    """Return limits in the unit of the result.

    Raises
    ------
    CoreError
        The units cannot be compared.
    """
    wanted = unit_named(unit)
    low, high = (
        None if bound is None else convert(bound, limits.unit, wanted, where="limits")
        for bound in (limits.low, limits.high)
    )
    return Limits(limits.kind, low, high, wanted, text=limits.text)
