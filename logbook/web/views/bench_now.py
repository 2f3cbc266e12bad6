"""What the bench page shows of the checks: the one in hand, what it needs first, what follows."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from logbook.bench.choices import TargetKind
from logbook.bench.models import Measurement, TargetIssue
from logbook.bench.translate import limits_of
from logbook.boards.choices import BoardState
from logbook.boards.models import Board
from logbook.core.limits import format_limits
from logbook.core.verdict import Verdict, worst_of
from logbook.planning.queries import BenchLine
from logbook.web.cautions import CAUTIONS
from logbook.web.strips import Strip, strip_for

SHOWN_NEXT = 7
SHOWN_KEYS = 2
NOT_READ = "not read here"


@dataclass(frozen=True)
class Need:
    """A check this one needs first, and how it stands on the board in hand."""

    key: str
    word: str
    url: str
    stops: bool


@dataclass(frozen=True)
class ListedLine:
    """One line of the list: what it asks, how it stands here, and where it leads."""

    line: BenchLine
    asks: str
    url: str
    is_now: bool
    strip: Strip | None
    waits: str
    is_decimal: bool


@dataclass(frozen=True)
class Now:
    """The check in hand."""

    line: BenchLine
    asks: str
    strip: Strip
    standing: Measurement | None
    needs: tuple[Need, ...]
    caution_letters: str
    stress_warning: str
    previous_url: str
    next_url: str
    words: tuple[str, ...]
    is_decimal: bool


def check_url(board: Board, line: BenchLine, **more: object) -> str:
    """Return the address of the bench page with this check in hand."""
    asked = {"target": line.target.key, **({"point": line.point} if line.point else {}), **more}
    return f"{reverse('bench-page', args=[board.project.slug, board.serial])}?{urlencode(asked)}"


def asks_of(issue: TargetIssue) -> str:
    """Return what an issue asks, in one line."""
    limits = limits_of(issue)
    return format_limits(limits) if limits else "seen working"


def line_of(lines: Sequence[BenchLine], key: str, point: str) -> BenchLine | None:
    """Return the line of a target and point; of its first open point when none is named."""
    same = [line for line in lines if line.target.key == key]
    named = next((line for line in same if line.point == point), None)
    return named or next((line for line in same if line.is_open), next(iter(same), None))


def next_line(lines: Sequence[BenchLine], after: BenchLine | None = None) -> BenchLine | None:
    """Return the open line to do next: in order after ``after``, ready ones first, never behind a stop."""
    start = next((place + 1 for place, line in enumerate(lines) if line is after), 0)
    turned = [line for line in (*lines[start:], *lines[:start]) if line is not after]
    possible = [line for line in turned if line.is_open and not line.stop]
    return next((line for line in possible if not line.waits_for), next(iter(possible), None))


def line_named_in(lines: Sequence[BenchLine], text: str) -> BenchLine | None:
    """Return the open line of the check a text names first; none behind a stop."""
    places: dict[int, BenchLine] = {}
    for line in lines:
        named = re.search(rf"(?<![\w-]){re.escape(line.target.key)}(?![\w-])", text)
        if named and line.is_open and not line.stop:
            places.setdefault(named.start(), line)
    return places[min(places)] if places else None


def now_of(board: Board, lines: Sequence[BenchLine], line: BenchLine, standing: Measurement | None) -> Now:
    """Return the check in hand with everything to know before the probe touches the board."""
    place = next(index for index, one in enumerate(lines) if one is line)
    before, behind = lines[place - 1], lines[(place + 1) % len(lines)]
    return Now(
        line=line,
        asks=asks_of(line.issue),
        strip=strip_for(line.issue, measurement=standing, sisters=line.sisters),
        standing=standing,
        needs=tuple(_needs(board, lines, line)),
        caution_letters="".join(letter for letter in line.target.cautions if letter in CAUTIONS),
        stress_warning=_stress_warning(board, line),
        previous_url=check_url(board, before),
        next_url=check_url(board, behind),
        words=_words(line.issue),
        is_decimal=_is_decimal(line.issue),
    )


def _words(issue: TargetIssue) -> tuple[str, ...]:
    """Return the words offered as buttons beside the field."""
    if issue.kind == TargetKind.YES_NO:
        return ("yes", "no", "inconclusive")
    if issue.kind == TargetKind.SEEN_WORKING:
        return ("seen working", "not working", "inconclusive")
    return ("inconclusive",)


def _is_decimal(issue: TargetIssue) -> bool:
    """Say whether a telephone's number pad, which may have no minus sign, can type the value."""
    limits = limits_of(issue)
    if issue.kind != TargetKind.NUMBER or limits is None or limits.unit.logarithmic:
        return False
    return (limits.low is not None and limits.low >= 0) or limits.unit.non_negative


def _stress_warning(board: Board, line: BenchLine) -> str:
    if not line.target.stresses_board:
        return ""
    if board.state == BoardState.REFERENCE:
        return f"This check stresses the board, and {board.serial} is the reference. Use another one."
    return "This check stresses the board. Do it last."


def _needs(board: Board, lines: Sequence[BenchLine], line: BenchLine) -> Iterator[Need]:
    """Return the direct prerequisites, and those further down that fail here."""
    direct = {one.needs.key for one in line.target.prerequisites.select_related("needs")}
    for key in sorted(direct | set(line.stop)):
        same = [one for one in lines if one.target.key == key]
        if same:
            yield Need(key, word_of(same), check_url(board, same[0]), key in line.stop)


def word_of(lines: Sequence[BenchLine]) -> str:
    """Return how one target stands on the board: the worst of its points."""
    worst = worst_of(Verdict(line.verdict) for line in lines if line.verdict)
    if worst is not None and worst.is_failing:
        return worst.value
    if all(line.found is None for line in lines):
        return NOT_READ
    if any(not line.verdict for line in lines):
        return "partly read"
    return worst.value if worst else NOT_READ


def listed(
    board: Board,
    lines: Sequence[BenchLine],
    now: BenchLine | None,
    readings: dict[int, Measurement] | None = None,
) -> list[ListedLine]:
    """Return lines as the page lists them; with ``readings`` each carries its small strip."""
    return [_listed_line(board, line, now, readings) for line in lines]


def _listed_line(
    board: Board, line: BenchLine, now: BenchLine | None, readings: dict[int, Measurement] | None
) -> ListedLine:
    strip = None
    if readings is not None:
        found = readings.get(line.found.id) if line.found else None
        strip = strip_for(line.issue, measurement=found, sisters=line.sisters, size="small")
    return ListedLine(
        line,
        asks_of(line.issue),
        check_url(board, line),
        line is now,
        strip,
        _waits(line),
        _is_decimal(line.issue),
    )


def _waits(line: BenchLine) -> str:
    word, keys = ("stopped by", line.stop) if line.stop else ("after", line.waits_for)
    if not keys:
        return ""
    more = f" and {len(keys) - SHOWN_KEYS} more" if len(keys) > SHOWN_KEYS else ""
    return f"{word} {', '.join(keys[:SHOWN_KEYS])}{more}"


def following(lines: Sequence[BenchLine], now: BenchLine | None) -> list[BenchLine]:
    """Return the open lines after the one in hand, in order."""
    start = next((place + 1 for place, line in enumerate(lines) if line is now), 0)
    return [line for line in (*lines[start:], *lines[:start]) if line.is_open and line is not now][
        :SHOWN_NEXT
    ]
