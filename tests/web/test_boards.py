"""Boards: adding, moving, reworking, options, and the pages that show them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from logbook.bench.commands import record_option_setting, record_rework, set_position_by_design
from logbook.bench.models import CurrentResult
from logbook.boards.models import Board, Rework
from logbook.projects.commands import add_option
from logbook.projects.models import Option
from tests.boards.choices_of_tern import add_link, add_mode
from tests.builders import Bench

BOARD = "/p/tern/boards/0001/"
REWORK = {
    "key": "RW-01",
    "kind": "removed part",
    "intent": "modification",
    "what": "R89 removed",
    "subsystems": ["RLD"],
    "reversible": "on",
}


@pytest.fixture
def editor(bench: Bench, client: Client) -> Client:
    """Return a browser in which the editor is signed in."""
    client.force_login(bench.editor)
    return client


@pytest.fixture
def option(bench: Bench) -> Option:
    """Return an option that is by design at 1-2."""
    option = add_option(
        actor=bench.actor,
        project=bench.project,
        subsystem=bench.subsystem,
        key="JP3",
        name="boot source",
        positions=[("1-2", "flash"), ("2-3", "loader")],
    )
    first = option.positions.get(name="1-2")
    set_position_by_design(actor=bench.actor, revision=bench.revision, option=option, position=first)
    return option


def test_a_new_board_is_added_with_its_place(editor: Client) -> None:
    given = {"serial": "0006", "revision": "A", "state": "in use", "location": "bench, left"}
    assert editor.post("/p/tern/boards/new/", given)["Location"] == "/p/tern/boards/0006/"
    assert Board.objects.get(serial="0006").events.get().location == "bench, left"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"serial": "0001"}, None),
        ({"serial": "a b"}, "serial"),
        ({"revision": "Z"}, "revision"),
        ({"state": "lost"}, "state"),
    ],
    ids=["serial taken", "bad serial", "no such revision", "no such state"],
)
def test_what_is_wrong_with_a_board_is_said(
    editor: Client, change: dict[str, str], field: str | None
) -> None:
    given = {"serial": "0006", "revision": "A", "state": "in use"}
    errors = editor.post("/p/tern/boards/new/", given | change).context["form"].errors
    assert list(errors) == [field or "__all__"]
    assert Board.objects.count() == 1


def test_a_board_keeps_its_serial_when_it_is_changed(editor: Client, bench: Bench) -> None:
    editor.post(f"{BOARD}edit/", {"serial": "9999", "note": "scratched", "last_powered": "12 V"})
    bench.board.refresh_from_db()
    assert (bench.board.serial, bench.board.note, bench.board.last_powered) == ("0001", "scratched", "12 V")


def test_a_new_place_is_an_event(editor: Client, bench: Bench) -> None:
    editor.post(f"{BOARD}state/", {"state": "lent", "location": "university pool"})
    bench.board.refresh_from_db()
    assert (bench.board.state, bench.board.location) == ("lent", "university pool")
    assert "university pool" in editor.get(BOARD).content.decode()


def test_an_event_of_tomorrow_is_refused_at_its_field(editor: Client) -> None:
    tomorrow = f"{timezone.now() + timedelta(days=1):%Y-%m-%dT%H:%M}"
    answer = editor.post(f"{BOARD}state/", {"state": "lent", "at": tomorrow})
    assert "This lies in the future" in str(answer.context["form"].errors["at"])


def test_a_rework_makes_the_readings_count_no_longer(editor: Client, bench: Bench) -> None:
    bench.target()
    editor.post(f"{BOARD}reworks/new/", REWORK)
    bench.read("3.3")
    assert CurrentResult.objects.get().designed is None
    assert "RW-01: R89 removed" in editor.get(BOARD).content.decode()


def test_a_rework_dated_back_reaches_older_readings(editor: Client, bench: Bench) -> None:
    bench.target()
    bench.read("3.3", taken_at=timezone.now() - timedelta(hours=1))
    earlier = f"{timezone.now() - timedelta(hours=2):%Y-%m-%dT%H:%M}"
    editor.post(f"{BOARD}reworks/new/", REWORK | {"in_force_from": earlier})
    assert CurrentResult.objects.get().designed is None


def test_a_rework_names_a_subsystem(editor: Client) -> None:
    answer = editor.post(f"{BOARD}reworks/new/", REWORK | {"subsystems": []})
    assert "subsystems" in answer.context["form"].errors
    assert not Rework.objects.exists()


def test_the_solder_caution_stands_where_reworks_are_recorded(editor: Client) -> None:
    assert "Extract the fumes" in editor.get(f"{BOARD}reworks/new/").content.decode()


def test_the_caution_of_first_power_stands_on_the_board(editor: Client) -> None:
    html = editor.get(BOARD).content.decode()
    assert "If it limits, stop and find the fault" in html
    assert "Never connect:" in html


def test_a_rework_is_undone_once(editor: Client, bench: Bench) -> None:
    record_rework(
        actor=bench.actor,
        board=bench.board,
        key="RW-01",
        kind="wire link",
        intent="repair",
        what="link",
        subsystems=[bench.subsystem],
        in_force_from=timezone.now() - timedelta(hours=1),
    )
    assert editor.post(f"{BOARD}reworks/RW-01/undo/", {"note": "lifted"}).status_code == 302
    answer = editor.post(f"{BOARD}reworks/RW-01/undo/", {})
    assert "was already undone" in answer.content.decode()


def test_a_rework_to_drawing_makes_no_board_differ(editor: Client, bench: Bench) -> None:
    editor.post(f"{BOARD}reworks/new/", REWORK | {"intent": "to drawing"})
    html = editor.get(BOARD).content.decode()
    assert "As drawn: no rework that departs from it" in html
    assert "Reworked to drawing: RW-01." in html


def test_an_option_off_its_design_is_said(editor: Client, option: Option) -> None:
    editor.post(f"{BOARD}options/", {"setting": "JP3|at 2-3", "note": "to load 0.6.0"})
    html = editor.get(BOARD).content.decode()
    assert "JP3 at 2-3, not as designed" in html


def test_an_option_may_be_found_not_fitted(editor: Client, option: Option, bench: Bench) -> None:
    editor.post(f"{BOARD}options/", {"setting": "JP3|none"})
    assert bench.board.option_settings.get().position is None
    assert "JP3 not fitted, though by design it is" in editor.get(BOARD).content.decode()


@pytest.mark.parametrize("setting", ["JP3|at 9-9", "JP9|none", "", "JP3"])
def test_a_position_that_is_not_there_is_refused(
    editor: Client, option: Option, bench: Bench, setting: str
) -> None:
    answer = editor.post(f"{BOARD}options/", {"setting": setting})
    assert "setting" in answer.context["form"].errors
    assert not bench.board.option_settings.exists()


def test_settings_over_time_are_listed(editor: Client, option: Option, bench: Bench) -> None:
    positions = option.positions.all()
    for hours, position in ((2, positions[1]), (1, positions[0])):
        moment = timezone.now() - timedelta(hours=hours)
        record_option_setting(
            actor=bench.actor, board=bench.board, option=option, position=position, in_force_from=moment
        )
    context = editor.get(BOARD).context
    assert [str(row.position) for row in context["settings"]] == ["1-2", "2-3"]
    assert context["differs"] == ()


@pytest.mark.parametrize(
    ("asked", "serials"),
    [
        ("", ["0001", "0002"]),
        ("?state=lent", ["0001"]),
        ("?q=pool", ["0001"]),
        ("?revision=B", []),
        ("?q=0002", ["0002"]),
    ],
)
def test_boards_are_narrowed(editor: Client, bench: Bench, asked: str, serials: list[str]) -> None:
    bench.extra_board("0002")
    Board.objects.filter(serial="0001").update(state="lent", location="university pool")
    rows = editor.get(f"/p/tern/boards/{asked}").context["boards"]
    assert [row.board.serial for row in rows] == serials


def test_the_table_says_what_differs(editor: Client) -> None:
    editor.post(f"{BOARD}reworks/new/", REWORK)
    lines = editor.get("/p/tern/boards.csv").content.decode().splitlines()
    assert lines == [
        "serial,revision,state,location,last_powered,differs",
        "0001,A,in use,,,RW-01: R89 removed",
    ]


def test_a_board_of_another_project_is_not_found(editor: Client) -> None:
    assert editor.get("/p/tern/boards/7777/").status_code == 404


def test_the_list_costs_the_same_for_many_boards(
    editor: Client, bench: Bench, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(2, 14):
        bench.extra_board(f"00{number:02}")
    # Session, person, membership, boards; reworks and settings for what differs. No option is designed here.
    with django_assert_num_queries(6):
        editor.get("/p/tern/boards/")


def test_the_page_has_one_date_since_an_option_stands_as_it_does(editor: Client, bench: Bench) -> None:
    """Looked at twice with the same position, it has stood so since the first look."""
    option = add_mode(bench)
    add_link(bench, option)
    position = option.positions.get(name="R88")
    for day in (3, 9):
        record_option_setting(
            actor=bench.actor, board=bench.board, option=option, position=position,
            in_force_from=datetime(2026, 2, day, 10, tzinfo=UTC),
        )  # fmt: skip
    answer = editor.get(BOARD)
    (line,) = answer.context["options"]
    (truth,) = answer.context["connectors"]
    assert line.since == truth.options[0].since == datetime(2026, 2, 3, 10, tzinfo=UTC)
    page = answer.content.decode()
    shown, history = page.split("As they were found over time")
    assert "2026-02-03" in shown
    assert "2026-02-09" not in shown
    assert "2026-02-09" in history
