"""Drawings of a revision for paper: every board of a target, with uncertainty, against its limits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from logbook.bench.choices import TargetKind
from logbook.bench.translate import limits_of
from logbook.core.limits import Limits
from logbook.core.quantities import canonical_text, unit_named
from logbook.core.state import State
from logbook.core.verdict import Verdict
from logbook.planning.queries import BoardResult, CoverageRow, PointResult
from logbook.web.scales import Scale, scale_for
from logbook.web.tones import tone_of_verdict

# What a reader takes in; the table holds the rest.
MOST_PLOTS, MOST_BOARDS = 24, 20
FEWEST_READINGS = 2
DRAWN, WORDS = 210, 130
# Room for the serials, by their length.
CHARACTER, FEWEST_NAMED, MOST_NAMED = 7, 5, 13
LINE, TOP, FOOT = 18, 6, 20
FIRST = (State.FAILING, State.MARGINAL, State.PARTLY_VERIFIED)


@dataclass(frozen=True)
class Spot:
    """One reading; ``begin`` and ``end`` are those of its uncertainty, ``beyond`` -1 or 1 outside."""

    x: float
    y: float
    begin: float
    end: float
    beyond: int
    tone: str

    @property
    def arrow(self) -> str:
        """Return the corners of the arrow that stands for a value outside."""
        back = self.x - self.beyond * 9
        return f"{self.x:g},{self.y:g} {back:g},{self.y - 5:g} {back:g},{self.y + 5:g}"


@dataclass(frozen=True)
class BoardLine:
    """One board: its readings, and what they say in words."""

    serial: str
    y: float
    spots: tuple[Spot, ...]
    words: str

    @property
    def text_y(self) -> float:
        """Return the base line of its words."""
        return self.y + 4


@dataclass(frozen=True)
class LimitMark:
    """One limit, with its number beneath; ``anchor`` keeps two that are close apart."""

    x: float
    text: str
    anchor: str


@dataclass(frozen=True)
class BoardPlot:
    """All boards of one target on one scale; ``left_out`` boards had no room."""

    key: str
    name: str
    limits_text: str
    names: int
    zone_x: float
    zone_width: float
    marks: tuple[LimitMark, ...]
    lines: tuple[BoardLine, ...]
    left_out: int

    @property
    def width(self) -> int:
        """Return the width of the picture."""
        return self.names + DRAWN + WORDS

    @property
    def axis(self) -> tuple[int, int]:
        """Return where the scale begins and ends."""
        return self.names, self.names + DRAWN

    @property
    def words_x(self) -> int:
        """Return where the words of a board begin."""
        return self.names + DRAWN + 8

    @property
    def floor(self) -> int:
        """Return the height below the last board."""
        return TOP + LINE * len(self.lines)

    @property
    def foot(self) -> int:
        """Return the base line of the limits' numbers."""
        return self.floor + 14

    @property
    def height(self) -> int:
        """Return the height of the picture."""
        return self.floor + FOOT

    @property
    def label(self) -> str:
        """Return the picture in words."""
        read = "; ".join(f"{line.serial}: {line.words}" for line in self.lines)
        return f"{self.key} against {self.limits_text}: {read}"


@dataclass(frozen=True)
class BoardPlots:
    """The drawings, failing and marginal targets first; ``left_out`` targets had no room."""

    drawn: tuple[BoardPlot, ...]
    left_out: int


def board_plots(rows: Iterable[CoverageRow]) -> BoardPlots:
    """Return drawings of the targets with limits and at least two readings that count. No query."""
    fit = [(row, limits) for row, limits in _with_limits(rows) if len(list(_numbers(row))) >= FEWEST_READINGS]
    order = sorted(range(len(fit)), key=lambda place: (_place(fit[place][0]), place))
    chosen = order[:MOST_PLOTS]
    return BoardPlots(tuple(_plot(*fit[place]) for place in chosen), len(fit) - len(chosen))


def _with_limits(rows: Iterable[CoverageRow]) -> Iterator[tuple[CoverageRow, Limits]]:
    for row in rows:
        limits = limits_of(row.issue) if row.issue.kind == TargetKind.NUMBER else None
        if limits is not None:
            yield row, limits


def _place(row: CoverageRow) -> int:
    return FIRST.index(State(row.state)) if row.state in FIRST else len(FIRST)


def _numbers(row: CoverageRow) -> Iterator[PointResult]:
    return (
        point
        for board in row.boards
        for point in board.points
        if point.measurement is not None and point.measurement.value_base is not None
    )


def _plot(row: CoverageRow, limits: Limits) -> BoardPlot:
    boards = [board for board in row.boards if any(_reach(point, row) for point in board.points)]
    boards.sort(key=lambda board: (board.verdict == Verdict.PASS, board.board))
    shown = sorted(boards[:MOST_BOARDS], key=lambda board: board.board)
    ends = [end for board in shown for point in board.points for end in _reach(point, row)]
    scale = scale_for(limits, None, ends, width=DRAWN)
    begin, end = _zone(limits, scale)
    longest = max(len(board.board) for board in shown)
    names = CHARACTER * min(max(longest + 1, FEWEST_NAMED), MOST_NAMED)
    return BoardPlot(
        key=row.target.key,
        name=row.target.name,
        limits_text=row.issue.limits_text,
        names=names,
        zone_x=names + begin,
        zone_width=round(end - begin, 2),
        marks=_marks(limits, scale, names),
        lines=tuple(_line(one, row, scale, (names, TOP + LINE * (at + 0.5))) for at, one in enumerate(shown)),
        left_out=len(boards) - len(shown),
    )


def _zone(limits: Limits, scale: Scale) -> tuple[float, float]:
    low = 0.0 if limits.low is None else scale.x(float(limits.low))
    return low, float(DRAWN) if limits.high is None else scale.x(float(limits.high))


def _marks(limits: Limits, scale: Scale, names: int) -> tuple[LimitMark, ...]:
    anchors = ("end", "start") if limits.low is not None and limits.high is not None else ("middle", "middle")
    return tuple(
        LimitMark(
            names + scale.x(float(bound)), f"{canonical_text(bound)} {limits.unit.symbol}".strip(), anchor
        )
        for bound, anchor in zip((limits.low, limits.high), anchors, strict=True)
        if bound is not None
    )


def _reach(point: PointResult, row: CoverageRow) -> tuple[float, ...]:
    """Return a reading and the ends of its uncertainty in the unit of the limits; empty where none counts."""
    reading = point.measurement
    if reading is None or reading.value_base is None:
        return ()
    factor = float(unit_named(row.issue.unit).factor)
    value = reading.value_base / factor
    if not reading.expanded_uncertainty:
        return (value,)
    spread = float(reading.expanded_uncertainty) * float(unit_named(reading.unit).factor) / factor
    return (value, value - spread, value + spread)


def _line(board: BoardResult, row: CoverageRow, scale: Scale, at: tuple[int, float]) -> BoardLine:
    reaches = [(point, _reach(point, row)) for point in board.points]
    spots = tuple(_spot(point, reach, scale, at) for point, reach in reaches if reach)
    return BoardLine(board.board, at[1], spots, _words([point for point, reach in reaches if reach]))


def _spot(point: PointResult, reach: Sequence[float], scale: Scale, at: tuple[int, float]) -> Spot:
    names, y = at
    x, beyond = scale.sign(reach[0])
    begin, end = scale.x(min(reach)), scale.x(max(reach))
    return Spot(names + x, y, names + begin, names + end, beyond, tone_of_verdict(point.verdict))


def _words(points: Sequence[PointResult]) -> str:
    """Return the one reading with its uncertainty, or how many points were read."""
    if len(points) != 1:
        return f"{len(points)} points"
    reading = points[0].measurement
    assert reading is not None  # noqa: S101 - only such points are given
    stated = f" ± {reading.expanded_uncertainty}" if reading.expanded_uncertainty else ""
    return f"{reading.value}{stated} {reading.unit}".rstrip()
