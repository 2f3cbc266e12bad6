"""Coverage as the page shows it: subsystems in dependency order, and the rows of each as HTML.

A project of 300 targets on 20 boards has 6,000 results on one page; a template for each would take seconds,
so the rows are written here. Every text goes through the ``escape`` of the standard library where it enters
the HTML; ``format_html`` would take longer over it than everything else together.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from itertools import groupby

from django.utils.safestring import SafeString

from logbook.bench.choices import Outcome
from logbook.core.graph import dependency_order
from logbook.core.state import State
from logbook.core.verdict import Verdict
from logbook.planning.queries import BoardResult, CoverageRow, PointResult
from logbook.projects.models import Project, Subsystem
from logbook.web.addresses import target_page
from logbook.web.coverage_path import way_back
from logbook.web.coverage_strip import strip_of_row
from logbook.web.tones import tone_of_state, tone_of_verdict

PLACES = {str(word): place for place, word in enumerate((*reversed(Verdict), State.PARTLY_VERIFIED))}
CLOSED = frozenset({State.VERIFIED, State.WAIVED, State.NOT_APPLICABLE, State.CARRIED_OVER})
UNDECIDABLE = ", undecidable"
NO_RESULT = '<span class="quiet">no reading yet</span>'
NONE_HERE = '<span class="quiet">none on this revision</span>'
NEVER_READ = frozenset({State.NEVER_TRIED, State.BLOCKED})


@dataclass(frozen=True)
class SubsystemGroup:
    """The targets of one subsystem, as rows of a table."""

    subsystem: Subsystem
    needs: str
    counts: str
    body: SafeString


@dataclass(frozen=True)
class BoardsAtHand:
    """Addresses of the boards of the revision: bench pages of those that can be measured, in order."""

    benches: Mapping[str, str]
    pages: Mapping[str, str]
    add_url: str
    older: OlderBoard | None = None


@dataclass(frozen=True)
class OlderBoard:
    """The board to read on where the revision has none at hand: one of its nearest ancestor with some."""

    serial: str
    label: str
    bench: str
    weights: Mapping[str, float]

    def counts(self, subsystem: str) -> str:
        """Return what a reading on it counts for a subsystem of the revision; empty where nothing."""
        weight = self.weights.get(subsystem, 0.0)
        if weight == 1:
            return "carries over in full"
        return f"counts at weight {weight:.3g}" if weight > 0 else ""


def groups_of(
    project: Project,
    subsystems: Iterable[Subsystem],
    needs: Mapping[str, set[str]],
    rows: Sequence[CoverageRow],
    boards: BoardsAtHand,
) -> tuple[SubsystemGroup, ...]:
    """Return the subsystems that have rows, each after those it depends on."""
    by_key = {subsystem.key: subsystem for subsystem in subsystems}
    by_subsystem: dict[str, list[CoverageRow]] = defaultdict(list)
    for row in rows:
        by_subsystem[row.target.subsystem.key].append(row)
    order = dependency_order({key: needs.get(key, set()) for key in by_key})
    return tuple(
        SubsystemGroup(
            subsystem=by_key[key],
            needs=", ".join(sorted(needs.get(key, ()))),
            counts=counts_in_words(Counter(row.state for row in by_subsystem[key])),
            body=_body(project, by_subsystem[key], boards),
        )
        for key in order
        if by_subsystem[key]
    )


def counts_in_words(counts: Mapping[str, int]) -> str:
    """Return ``3 verified, 1 failing`` in the order of the states."""
    return ", ".join(f"{counts[state]} {state}" for state in State if counts.get(state))


def _body(project: Project, rows: Sequence[CoverageRow], boards: BoardsAtHand) -> SafeString:
    return SafeString("".join(_row(project.slug, row, boards) for row in rows))


def _row(slug: str, row: CoverageRow, boards: BoardsAtHand) -> str:
    key, tone = escape(row.target.key), tone_of_state(row.state)
    return (
        f'<tr id="{key}"><th scope="row"><a href="{escape(target_page(slug, row.target.key))}">{key}</a>'
        f" {escape(row.target.name)}</th>"
        f'<td data-label="limits" class="limits">{escape(limits_text(row))}</td>'
        f'<td data-label="state"><span class="word {tone}{" inherited" if row.path else ""}">'
        f'{escape(row.state)}</span><p class="why">{escape(row.reason)}</p>{way_back(slug, row.path)}</td>'
        f'<td data-label="results">{_results(row, boards)}</td>'
        f'<td data-label="to close">{_to_close(slug, row, boards)}</td></tr>'
    )


def limits_text(row: CoverageRow) -> str:
    """Return what the issue in force asks, in one line."""
    return row.issue.limits_text or row.issue.get_kind_display()


def _results(row: CoverageRow, boards: BoardsAtHand) -> str:
    """Return the strip of the row and its boards, the worst first, grouped under their word."""
    if not row.boards:
        return NO_RESULT if row.state in NEVER_READ else NONE_HERE
    ordered = sorted((_badness(board), board) for board in row.boards)
    groups = "".join(
        f'<p class="shown"><span class="word {_tone(word)}">{escape(word or "no verdict")}</span>'
        f" {_boards(row, word, [board for _, board in same], boards)}</p>"
        for word, same in groupby(ordered, key=lambda one: one[0][1])
    )
    return f"{strip_of_row(row)}{groups}"


def _tone(word: str) -> str:
    return tone_of_verdict(word.removesuffix(UNDECIDABLE))


def _word(board: BoardResult) -> str:
    if board.verdict and any(point.undecidable for point in board.points):
        return f"{board.verdict}{UNDECIDABLE}"
    return board.verdict


def _badness(board: BoardResult) -> tuple[int, str, str]:
    return PLACES.get(board.verdict, len(PLACES)), _word(board), board.board


def _boards(row: CoverageRow, word: str, same: Iterable[BoardResult], boards: BoardsAtHand) -> str:
    """Return the boards that share a word; those that do not plainly pass lead to their page."""
    has_points = len(row.issue.points) > 1
    return " ".join(
        f'<span class="one">{_serial(board.board, word, boards)} '
        f"{_points(board) if has_points else _value(board)}</span>"
        for board in same
    )


def _serial(serial: str, word: str, boards: BoardsAtHand) -> str:
    if word == Verdict.PASS or serial not in boards.pages:
        return f"<i>{escape(serial)}</i>"
    return f'<a href="{escape(boards.pages[serial])}">{escape(serial)}</a>'


def _value(board: BoardResult) -> str:
    return _shown_point(board.points[0]) if board.points else ""


def _points(board: BoardResult) -> str:
    return "; ".join(
        f"{escape(point.point)} {_shown_point(point)}{_own_word(point, board)}" for point in board.points
    )


def _own_word(point: PointResult, board: BoardResult) -> str:
    return f" {escape(point.verdict)}" if point.verdict != board.verdict else ""


def _shown_point(point: PointResult) -> str:
    """Return the value of a point, or why none counts."""
    if point.measurement is None:
        return f'<span class="quiet">not counted: {escape(point.not_counted)}</span>'
    return f'<span class="num">{escape(value_text(point))}</span>'


def value_text(point: PointResult) -> str:
    """Return the reading as text with its unit; empty where none counts."""
    reading = point.measurement
    if reading is None:
        return ""
    if reading.outcome == Outcome.NUMBER:
        return f"{reading.value} {reading.unit}".rstrip()
    if reading.outcome == Outcome.COUNT:
        return f"{reading.value} of {reading.trials}" if reading.trials else reading.value
    if reading.outcome == Outcome.YES_NO:
        return "yes" if reading.value == "1" else "no"
    return reading.outcome


def _to_close(slug: str, row: CoverageRow, boards: BoardsAtHand) -> str:
    """Return the link to the board on which reading it again, or first, would change the state."""
    if row.state in CLOSED:
        return ""
    if not boards.benches:
        return _without_board(slug, row, boards)
    serial = best_board(row, boards)
    address = escape(f"{boards.benches[serial]}?target={row.target.key}")
    return f'<a class="nowrap" href="{address}">bench {escape(serial)}</a>'


def _without_board(slug: str, row: CoverageRow, boards: BoardsAtHand) -> str:
    """Return what helps before there is a board: the readings that fail, or a board of an ancestor."""
    key = escape(row.target.key)
    if row.state in {State.FAILING, State.MARGINAL}:
        return f'<a href="{escape(target_page(slug, row.target.key))}">readings of {key}</a>'
    older = boards.older
    counts = older.counts(row.target.subsystem.key) if older else ""
    if older and counts:
        return (
            f'<a class="nowrap" href="{escape(older.bench)}?target={key}">bench {escape(older.serial)} of '
            f'{escape(older.label)}</a><p class="why">{counts}</p>'
        )
    add = f'<a href="{escape(boards.add_url)}">add a board</a>' if boards.add_url else ""
    told = f"a reading on {escape(older.label)} counts nothing here" if older else ""
    return f'{add}<p class="why">{told}</p>' if told else add


def best_board(row: CoverageRow, boards: BoardsAtHand) -> str:
    """Return the board to read next: the worst one for a failing target, else one that does not pass."""
    words = {board.board: board.verdict for board in row.boards}
    if row.state in {State.FAILING, State.MARGINAL}:
        worst = next(
            (one.board for one in sorted(row.boards, key=_badness) if one.board in boards.benches), ""
        )
        if worst:
            return worst
    fresh = (serial for serial in boards.benches if words.get(serial) != Verdict.PASS)
    return next(fresh, next(iter(boards.benches)))
