"""One line for each state, naming boards, readings and limits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from logbook.core.state.boards import PARTLY, RANKS, BoardResult, Tally
from logbook.core.state.evidence import CellEvidence, TargetFacts
from logbook.core.state.target_state import Argument, Inherited, Link, State
from logbook.core.verdict import Verdict

# Longer lists no longer fit on one line of the coverage table.
SHOWN = 4
# Outcomes and kinds that are said and asked in plain words rather than within limits.
PLAIN = frozenset({"yes_no", "yes/no", "count"})
NEVER_TRIED = "no reading on any board of this revision"


def not_fitted(option: str) -> str:
    """Why a target is not applicable."""
    return f"option {option} is not fitted on this revision"


def decided_not_applicable(decided: str) -> str:
    """Who decided that a target does not apply, and why."""
    return f"decided not applicable by {decided}"


def failing(facts: TargetFacts, tally: Tally) -> str:
    """Every cell outside its limits."""
    cells = [cell for cell in tally.judged_cells if Verdict(cell.judged_as or "").is_failing]
    return f"{_listed(_cell_text(facts, cell) for cell in _worst_first(cells))}{_against(facts)}"


def conditional(facts: TargetFacts, tally: Tally) -> str:
    """Every cell whose uncertainty reaches across a limit."""
    cells = [cell for cell in tally.judged_cells if cell.judged_as == Verdict.CONDITIONAL_PASS]
    return f"{_listed(_cell_text(facts, cell) for cell in cells)}{_against(facts)}"


def next_board_doubtful(facts: TargetFacts, odds: Mapping[str, float]) -> str:
    """The point at which the next board is most likely out of limits."""
    point, probability = max(odds.items(), key=lambda item: item[1])
    at = f" at {point}" if point else ""
    chance = f"{100 * probability:.0f} %"
    return f"all read pass, but the next board is out of limits{at} with {chance}{_against(facts)}"


def undecidable(tally: Tally) -> str:
    """Boards read with an uncertainty under which nothing could pass."""
    return f"no reading with this uncertainty could pass: {_listed(tally.judged)}"


def verified(facts: TargetFacts, boards: Sequence[BoardResult]) -> str:
    """Boards that pass, against the number asked for."""
    passing = [board.board for board in boards if board.verdict == Verdict.PASS]
    return f"passes on {_listed(passing)}; {facts.boards_needed} asked for"


def partly_verified(facts: TargetFacts, boards: Sequence[BoardResult], passing: int) -> str:
    """How many boards pass, and which points are missing where."""
    parts = [f"passes on {passing} of {facts.boards_needed}"]
    parts += [
        f"{_listed(point or 'the unnamed point' for point in board.missing_points)} not read on {board.board}"
        for board in boards
        if board.verdict == PARTLY
    ][:SHOWN]
    return "; ".join(parts)


def observed(tally: Tally) -> str:
    """Boards that were looked at without a verdict."""
    return _listed(f"{cell.outcome} on {board}" for board, cell in tally.observed.items()) + ", no verdict"


def uncounted(tally: Tally) -> str:
    """Boards with readings, and why none of them counts."""
    boards = _listed(f"{board}: {why}" for board, why in tally.uncounted.items())
    return f"only readings that do not count: {boards}"


def blocked(blockers: Sequence[tuple[str, str]]) -> str:
    """Prerequisites that stand in the way."""
    return "needs " + _listed(f"{key}, which is {state}" for key, state in blockers)


def silent(found: Inherited) -> str:
    """A revision on the way that says nothing of what it changed."""
    return f"tried on {found.revision}, but {found.silent} records no changes"


def failing_there(found: Inherited, subsystem: str) -> str:
    """Failing on an ancestor, and nothing was done about it since."""
    return f"inherited from {found.revision}: {found.state.reason}; no change since touches {subsystem}"


def fix_unproven(found: Inherited, subsystem: str) -> str:
    """Failing on an ancestor, and a change touches it."""
    link = found.touched
    changed = f"{_listed(link.changes)} of {link.revision} touches {subsystem}" if link else ""
    return f"failed on {found.revision}; {changed}: fix unproven"


def uncounted_there(found: Inherited) -> str:
    """Only readings that do not count, on an ancestor."""
    return f"on {found.revision} {found.state.reason}"


def on_rework(found: Inherited) -> str:
    """Readings on a rework that a change since folds in."""
    text = f"{_word_there(found)} with {_listed(found.reworks)}, since folded in"
    return f"{text}{_discounts(found)}: weight {found.weight:.3g}"


def stale(found: Inherited) -> str:
    """Evidence that a change came near to."""
    return f"{_word_there(found)}{_discounts(found)}: weight {found.weight:.3g}"


def carried_over(found: Inherited, subsystem: str) -> str:
    """Evidence no change came near to."""
    return f"{_word_there(found)}; no change since comes within two steps of {subsystem}"


def carried_by_hand(found: Inherited) -> str:
    """Evidence a person vouches for."""
    said = f"{found.argument.by}: {found.argument.text}" if found.argument else ""
    return f"{_word_there(found)}; carried over by {said}"


def lapsed(argument: Argument, why: Iterable[str]) -> str:
    """What a person vouched for and no longer holds."""
    on = f" on {argument.day}" if argument.day else ""
    return f"carried over by {argument.by}{on}, no longer: {_listed(why)}"


def _word_there(found: Inherited) -> str:
    there = found.state
    partly = there.state == State.PARTLY_VERIFIED
    boards = f", {there.passing_boards} of {there.needed}" if partly else ""
    return f"{there.state} on {found.revision}{boards}"


def _discounts(found: Inherited) -> str:
    return "".join(f"; {discount(link)}" for link in found.links if link.weight < 1)


def discount(link: Link) -> str:
    """Which changes touch what, and how far that is from the target."""
    touches = f"{_listed(link.changes)} of {link.revision} touches {link.way[-1]}"
    steps = len(link.way) - 1
    if not steps:
        return touches
    return f"{touches}, {'one step' if steps == 1 else 'two steps'} from {link.way[0]}"


def _worst_first(cells: Sequence[CellEvidence]) -> list[CellEvidence]:
    return sorted(cells, key=lambda cell: RANKS[cell.judged_as or ""])


def _cell_text(facts: TargetFacts, cell: CellEvidence) -> str:
    place = f"{cell.board} {cell.point}".rstrip()
    reading = cell.text or _number(cell.value, facts.unit)
    if reading and cell.outcome in PLAIN:
        return f"{place} read {reading}"
    said = "not working" if cell.outcome == "not working" else cell.judged_as
    return f"{place}: {reading} {said}" if reading else f"{place}: {said}"


def _against(facts: TargetFacts) -> str:
    limits = facts.limits_text or _limits(facts)
    if limits and facts.kind in PLAIN:
        return f", asked {limits}"
    return f" (limits {limits})" if limits else ""


def _limits(facts: TargetFacts) -> str:
    if facts.low is None and facts.high is None:
        return ""
    if facts.low is None:
        return f"≤ {_number(facts.high, facts.unit)}"
    if facts.high is None:
        return f"≥ {_number(facts.low, facts.unit)}"
    return f"{_number(facts.low, '')} to {_number(facts.high, facts.unit)}"


def _number(value: float | None, unit: str) -> str:
    return "" if value is None else f"{value:.6g} {unit}".rstrip()


def _listed(items: Iterable[str]) -> str:
    texts = list(items)
    more = len(texts) - SHOWN
    return ", ".join(texts[:SHOWN]) + (f" and {more} more" if more > 0 else "")
