"""Rows that follow from no target's state. Whoever adds a kind of row adds its function to the list below."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from logbook.core.risk import risk_of_option
from logbook.planning.queries.lessons_open import lesson_rows
from logbook.planning.queries.open_reworks import rework_rows
from logbook.planning.queries.open_row import OpenRow
from logbook.planning.queries.options_open import options_left_open
from logbook.planning.queries.target_risks import TargetRisks


def option_rows(found: TargetRisks) -> list[OpenRow]:
    """Return one row for each option the revision leaves open. One query."""
    rows = []
    standing = found.standing
    for option in options_left_open(standing.revision, standing.until, standing.line):
        stakes = found.stakes_of(found.in_subsystems({option.subsystem_id}))
        stakes = replace(stakes, base=found.counts.of(option.subsystem))
        risk = risk_of_option(option.key, option.name, stakes)
        rows.append(OpenRow(risk, option.name, (option.subsystem.key,)))
    return rows


SOURCES: tuple[Callable[[TargetRisks], list[OpenRow]], ...] = (rework_rows, option_rows, lesson_rows)


def other_rows(found: TargetRisks) -> list[OpenRow]:
    """Return the rows of every source; findings stand apart, because they take in rows of targets."""
    return [row for source in SOURCES for row in source(found)]
