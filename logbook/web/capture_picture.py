"""A capture drawn for paper and for browsers without JavaScript."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal

from logbook.core.errors import CoreError
from logbook.core.quantities import format_quantity
from logbook.core.signals.mask import parse_mask
from logbook.evidence.levels import View

WIDTH, HEIGHT = 720, 260
LEFT, RIGHT, TOP, BOTTOM = 78, 10, 10, 34
MASK_STEPS = 24
LONGEST_NUMBER = 18
Place = Callable[[float], float]


@dataclass(frozen=True)
class Tick:
    """A line across the picture and what it stands for."""

    at: float
    text: str
    anchor: str = "middle"


@dataclass(frozen=True)
class Overview:
    """The whole capture as one picture: a path through lowest and highest, and the limits of a mask."""

    path: str
    masks: tuple[str, ...]
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]
    says: str
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    right: int = WIDTH - RIGHT
    top: int = TOP
    bottom: int = HEIGHT - BOTTOM


def shown_number(value: float, unit: str, digits: int = 5) -> str:
    """Return a number with its unit, with a prefix where the unit takes one."""
    try:
        text = format_quantity(Decimal(f"{value:.{digits}g}").normalize(), unit)
    except CoreError:
        text = ""
    # A unit without prefixes, such as %, would be written with all its zeros.
    return text if 0 < len(text) <= LONGEST_NUMBER else f"{value:.{digits}g} {unit}".rstrip()


def overview_of(
    view: View, *, is_log: bool, mask: str = "", tops_only: bool = False, least_span: float = 0.0
) -> Overview:
    """Return the picture of a view, over at least ``least_span`` of its levels.

    ``is_log`` draws x by its logarithm, ``tops_only`` the highest of each pair, as of a spectrum.
    """
    if tops_only:
        view = replace(view, low=view.high)
    limits = mask_lines(mask, is_log=is_log) if mask else ()
    levels = [y for line in limits for _, y in line]
    low, high = min([*view.low, *levels]), max([*view.high, *levels])
    short = max(least_span - (high - low), 0.0) / 2
    low, high = low - short, high + short
    room = (high - low) * 0.06 or abs(high) * 0.1 or 1.0
    low, high = low - room, high + room
    last = view.x_end
    x_of = _scale(view.x[0], last, LEFT, WIDTH - RIGHT, is_log=is_log)
    y_of = _scale(low, high, HEIGHT - BOTTOM, TOP, is_log=False)
    says = (
        f"{view.name} over {view.x_name}, from {shown_number(min(view.low), view.unit)} "
        f"to {shown_number(max(view.high), view.unit)}"
    )
    x_marks = _decades(view.x[0], last) if is_log else _even(view.x[0], last)
    return Overview(
        path=_path(view, x_of, y_of),
        masks=tuple(_line([(x_of(x), y_of(y)) for x, y in line]) for line in limits),
        x_ticks=tuple(_x_tick(x_of(x), shown_number(x, view.x_unit, 4)) for x in x_marks),
        y_ticks=tuple(Tick(round(y_of(y), 1), shown_number(y, view.unit, 4)) for y in _even(low, high)),
        says=says,
    )


def _x_tick(at: float, text: str) -> Tick:
    """Return a mark of the x axis; the last one is written to its left, inside the picture."""
    return Tick(round(at, 1), text, "end" if at > WIDTH - RIGHT - 30 else "middle")


def mask_lines(mask: str, *, is_log: bool) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Return the pieces of a mask's limits as lines that are straight enough on either axis."""
    read = parse_mask(mask, "log" if is_log else "linear")
    return tuple(
        tuple(
            _between(piece, share / MASK_STEPS, is_log=read.interpolation == "log")
            for share in range(MASK_STEPS + 1)
        )
        for piece in (*read.segments("low"), *read.segments("high"))
    )


def _between(piece: tuple[float, float, float, float], share: float, *, is_log: bool) -> tuple[float, float]:
    begin, end, first, last = piece
    x = begin * (end / begin) ** share if is_log else begin + (end - begin) * share
    return x, first + (last - first) * share


def _path(view: View, x_of: Place, y_of: Place) -> str:
    """Return a path that goes up and down once in each pair."""
    points: list[tuple[float, float]] = []
    for x, low, high in zip(view.x, view.low, view.high, strict=True):
        points.append((x_of(x), y_of(low)))
        if high != low:
            points.append((x_of(x), y_of(high)))
    return _line(points)


def _line(points: list[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)


def _scale(low: float, high: float, begins: float, ends: float, *, is_log: bool) -> Place:
    first, last = (math.log10(low), math.log10(high)) if is_log else (low, high)
    span = last - first or 1.0

    def place(value: float) -> float:
        at = math.log10(value) if is_log and value > 0 else value
        return begins + (at - first) / span * (ends - begins)

    return place


def _even(low: float, high: float) -> list[float]:
    """Return three to seven round numbers from low to high."""
    size = (high - low) / 6
    if not size > 0:
        return [low]
    power = 10.0 ** math.floor(math.log10(size))
    step = next(times * power for times in (1, 2, 5, 10) if times * power >= size * 0.999)
    first = math.ceil(low / step - 1e-9)
    return [place * step for place in range(first, math.floor(high / step + 1e-9) + 1)]


def _decades(low: float, high: float) -> list[float]:
    """Return the decades from low to high, or round numbers where there are fewer than two."""
    if high < 10 * low:
        return _even(low, high)
    return [10.0**power for power in range(math.ceil(math.log10(low)), math.floor(math.log10(high)) + 1)]
