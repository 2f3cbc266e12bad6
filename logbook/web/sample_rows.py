"""What small samples say, and what they cannot say, in the words of a page."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.core.limits import format_limits
from logbook.core.quantities import format_quantity
from logbook.core.samples import MOSTLY_ASSUMED
from logbook.core.uncertainty import relative_deviation_of_s
from logbook.planning.queries import PointSample, Share
from logbook.web.risk_rows import percent_text
from logbook.web.sample_plot import name_of

# Below this share a percentage has more zeros than digits.
SMALLEST_PERCENT = 1e-4
ENOUGH_TO_KNOW_THE_SPREAD = 25


@dataclass(frozen=True)
class SampleRow:
    """One sample as a page shows it; an empty text is what it cannot say."""

    name: str
    limits: str
    n: int
    mean: str
    s: str
    range: str
    tolerance: str
    cpk: str
    cpk_bounds: str
    chance: str
    chance_basis: str
    prior: str
    degrees_of_freedom: int | None
    boards: str
    errors: str
    cannot_say: tuple[str, ...]


def sample_row(one: PointSample) -> SampleRow:
    """Return a sample as text."""
    found, index, following = one.sample, one.capability, one.predictive
    spread = found.s if found else None
    # One tenth of the spread is the finest digit worth reading.
    fine = spread / 3 if spread else None
    return SampleRow(
        name=name_of(one),
        limits=format_limits(one.limits) if one.limits else "",
        n=found.n if found else 0 if one.is_number else len(one.readings),
        mean=format_quantity(found.mean, one.unit, uncertainty=fine) if found else "",
        s=format_quantity(spread, one.unit, digits=2) if spread is not None else "",
        range=format_quantity(found.range, one.unit) if found and found.n > 1 else "",
        tolerance=_interval(one.tolerance, one, fine),
        cpk=f"{index.cpk:.2f}" if index and index.cpk is not None else "",
        cpk_bounds="{:.2f} to {:.2f}".format(*index.cpk_interval) if index and index.cpk_interval else "",
        chance=percent_text(following.p_out) if following else "",
        chance_basis=following.basis if following and following.basis == MOSTLY_ASSUMED else "",
        prior=format_quantity(following.prior_spread, one.unit, digits=3) if following else "",
        degrees_of_freedom=following.degrees_of_freedom if following else None,
        boards=share_text(one.boards, "board", "failed") if one.boards else "",
        errors=share_text(one.errors, "trial", "failed") if one.errors else "",
        cannot_say=tuple(_cannot_say(one)),
    )


def _interval(ends: tuple[float, float] | None, one: PointSample, fine: float | None) -> str:
    if ends is None:
        return ""
    return " to ".join(format_quantity(end, one.unit, uncertainty=fine) for end in ends)


def share_text(share: Share, of: str, what: str) -> str:
    """Return how many failed, and how large the true share may be."""
    trials = f"{share.trials:,}".replace(",", "\u202f")
    counted = f"{share.failures} of {trials} {of}{'' if share.trials == 1 else 's'} {what}"
    if share.is_one_sided:
        return f"{counted}: the true share is up to {_share(share.bounds.upper)} (95 % confidence, one-sided)"
    low, high = _share(share.bounds.lower), _share(share.bounds.upper)
    return f"{counted}: the true share is {low} to {high} (95 % confidence)"


def _share(value: float) -> str:
    if 0 < value < SMALLEST_PERCENT:
        digits, _, power = f"{value:.1e}".partition("e")
        return f"{digits}e{int(power)}"
    return f"{100 * value:.3g} %"


def _cannot_say(one: PointSample) -> list[str]:
    """Return in words what the number of boards leaves open."""
    if not one.is_number:
        return _few(one)
    if one.sample is None:
        return ["No board reads a number that counts here."]
    n, words = one.sample.n, []
    if n == 1:
        words.append(
            "One board shows that it can work. Spread, tolerance interval and Cpk cannot be said from one."
        )
    elif not one.sample.s:
        words.append(f"All {n} boards read the same to the last digit; their spread is below what was read.")
    elif n < ENOUGH_TO_KNOW_THE_SPREAD:
        doubt = 100 * relative_deviation_of_s(n)
        words.append(f"From {n} boards the spread itself is known to about ± {doubt:.0f} % (one s).")
    if n == 2:
        words.append("How far Cpk can be trusted cannot be said from 2 boards.")
    if one.predictive is None:
        words.append(
            "The chance for the next board cannot be said: nothing states a spread to start from"
            f"{' without limits' if one.limits is None else ', as with a limit of 0'}."
        )
    return words


def _few(one: PointSample) -> list[str]:
    share = one.boards
    if share is None:
        return ["No board has a verdict that counts here."]
    boards = f"{share.trials} board{'' if share.trials == 1 else 's'}"
    return [f"{boards} cannot tell a rare fault from none."] if share.failures == 0 else []
