"""What the invented demo says of its connectors, options and re-checks."""

from __future__ import annotations

import pytest

from logbook.bench.queries.reworks import rework_lines
from logbook.boards.queries import boards_of, connector_truths, option_table, reworks_of_project
from logbook.projects.models import Connector, Project, Revision

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


def test_every_board_but_0005_has_tia_232_levels_on_j7() -> None:
    # TIA-232: a driver gives -5 to -15 V at mark; the story of the demo says which board differs.
    project = Project.objects.get(slug="saltlark")
    j7 = Connector.objects.get(project=project, key="J7")
    truths = connector_truths(list(boards_of(project)), [j7])
    levels = {
        one.board.serial: [pin.pin.standard for pin in one.pins if pin.pin.number == "2"] for one in truths
    }
    logic = {serial for serial, standard in levels.items() if standard == ["3.3 V logic"]}
    tia_232 = {serial for serial, standard in levels.items() if standard == ["TIA-232"]}
    assert (logic, tia_232) == ({"0005"}, {"0001", "0002", "0003", "0004", "0006"})


def test_0006_came_with_both_resistors() -> None:
    rows = option_table(Revision.objects.get(project__slug="saltlark", label="C"))
    told = {row.standing.option.key: row.differences for row in rows if row.differences}
    assert told == {"J7-MODE": ("0006 built R88 and R89, ordered R88", "0006 found R88, built R88 and R89")}


def test_the_memory_wires_alone_wait_for_their_recheck() -> None:
    lines = rework_lines(reworks_of_project(Project.objects.get(slug="saltlark")))
    assert [line.rework.key for line in lines if line.is_recheck_open] == ["RW-08"]


def test_the_draft_leaves_the_cell_open() -> None:
    rows = option_table(Revision.objects.get(project__slug="saltlark", label="D"))
    assert [row.standing.option.key for row in rows if row.standing.is_open] == ["BT1"]
