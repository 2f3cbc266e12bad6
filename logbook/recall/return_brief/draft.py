"""A draft of the shelving note from what the site knows already, for a person to correct."""

from __future__ import annotations

from collections.abc import Iterable

from logbook.recall.return_brief.boards import BoardThen
from logbook.recall.return_brief.brief import ReturnBrief


def shelving_draft(brief: ReturnBrief) -> dict[str, str]:
    """Return the parts of the note that follow from the record; what only a person knows stays empty."""
    event, last = brief.shelving.laid_aside, brief.last_day.next_step_in
    parts = {
        "why_stopped": event.note if event else "",
        "next_steps": last.next_step if last else "",
        "unsafe": _lines(f"{one.subject}: {one.says}" for one in brief.dangers if one.subject),
        "half_done": _lines(
            f"{one.board} {rework.rework.key}: {rework.rework.what} (not re-checked)"
            for one in brief.boards
            for rework in one.reworks
            if rework.is_half_done
        ),
        "never_verified": ", ".join(brief.never_verified),
        "accepted": _lines(
            f"{held.record.subject}: {held.says}" for held in (*brief.ends.accepted, *brief.ends.lapsed)
        ),
        "boards": _lines(f"{one.board}: {one.state}{_differs(one)}" for one in brief.boards),
        "whereabouts": _lines(
            f"{one.board}: {one.event.location or 'not on record'}" for one in brief.boards
        ),
        "toolchain": _lines(f"{one.board}: firmware {one.firmware}" for one in brief.boards if one.firmware),
    }
    return {name: text for name, text in parts.items() if text}


def _differs(one: BoardThen) -> str:
    differs = [rework.rework.key for rework in one.reworks]
    differs += [f"{option.key} {option.position}" for option in one.off_design]
    return f"; {', '.join(differs)}" if differs else ""


def _lines(texts: Iterable[str]) -> str:
    return "\n".join(f"- {text}" for text in texts)
