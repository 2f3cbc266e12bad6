"""The pages of connectors, options and reworks."""

from __future__ import annotations

from dataclasses import fields

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from logbook.bench.commands import record_option_setting, record_rework
from logbook.boards.commands import PathInput
from logbook.boards.models import Rework
from logbook.findings.commands import record_finding
from logbook.projects.models import Connector, Option, OptionDecision, OrderedPosition
from logbook.web.views.structure.connectors import ConnectorListPage, ConnectorPage
from logbook.web.views.structure.option_list import OptionListPage
from logbook.web.views.structure.reworks import ReworkListPage, ReworkPage
from tests.boards.choices_of_tern import LOGIC, MARK, add_link, add_mode
from tests.builders import Bench
from tests.web.contexts import received

P = "/p/tern/"
REWORK = "/p/tern/boards/0001/reworks/RW-01/"


@pytest.fixture
def option(bench: Bench) -> Option:
    """Return the option that decides pin 2 of J7."""
    return add_mode(bench)


@pytest.fixture
def connector(bench: Bench, option: Option) -> Connector:
    """Return J7."""
    return add_link(bench, option)


@pytest.fixture
def rework(bench: Bench) -> Rework:
    """Return a rework of board 0001."""
    return record_rework(
        actor=bench.actor,
        board=bench.board,
        key="RW-01",
        kind="wire link",
        intent="repair",
        what="wire to J7",
        subsystems=[bench.subsystem],
        paths=[PathInput("U5.3", "J7.2", "0.2 mm", "34 mm")],
    )


@pytest.fixture
def editor(bench: Bench, client: Client) -> Client:
    """Return a browser in which the editor is signed in."""
    client.force_login(bench.editor)
    return client


def found_at(bench: Bench, option: Option, name: str, serial: str = "0001") -> None:
    record_option_setting(
        actor=bench.actor,
        board=bench.project.boards.get(serial=serial),
        option=option,
        position=option.positions.get(name=name),
    )


@pytest.mark.parametrize(
    ("address", "context"),
    [
        ("connectors/", ConnectorListPage),
        ("connectors/J7/", ConnectorPage),
        ("options/", OptionListPage),
        ("reworks/", ReworkListPage),
        ("boards/0001/reworks/RW-01/", ReworkPage),
    ],
)
def test_a_page_gets_what_its_context_says(
    editor: Client, connector: Connector, rework: Rework, address: str, context: type
) -> None:
    answer = editor.get(P + address)
    assert answer.status_code == 200
    assert received(answer) == {field.name for field in fields(context)}


@pytest.mark.parametrize(
    ("address", "says"),
    [
        ("connectors/", "No connector yet"),
        ("connectors/?q=x", "No connector fits"),
        ("options/", "No option yet"),
        ("reworks/", "No rework yet"),
        ("reworks/?recheck=open", "No rework fits"),
    ],
)
def test_an_empty_list_says_why(editor: Client, bench: Bench, address: str, says: str) -> None:
    assert says in editor.get(P + address).content.decode()


def test_boards_that_do_not_agree_are_named(
    editor: Client, bench: Bench, connector: Connector, option: Option
) -> None:
    bench.extra_board("0002")
    found_at(bench, option, "R88")
    found_at(bench, option, "R89", "0002")
    page = editor.get(f"{P}connectors/J7/").content.decode()
    assert "The boards do not agree" in page
    # TIA-232: a driver gives -5 to -15 V at mark.
    assert MARK in page
    assert LOGIC in page
    assert "MODE at R89 since" in page


def test_the_page_of_a_board_says_what_is_on_its_connectors(
    editor: Client, bench: Bench, connector: Connector, rework: Rework
) -> None:
    page = editor.get(f"{P}boards/0001/").content.decode()
    assert "MODE at R88 by design, not looked at on this board" in page
    assert "RW-01 (repair) names J7: wire to J7" in page
    assert "re-check open" in page
    assert "U5.3 → J7.2 (0.2 mm, 34 mm)" in page


def test_pins_are_typed_one_to_a_line(editor: Client, bench: Bench, connector: Connector) -> None:
    address = f"{P}connectors/J7/pins/"
    shown = editor.get(f"{address}?revision=A&holds=MODE|R89").context["form"]
    assert shown.initial["pins"] == f"2; TX; out; {LOGIC}; 3.3 V CMOS"
    lines = "2; TX; out; 3.3 V, idles high\n\n3; RX; in"
    answer = editor.post(address, {"revision": "A", "holds": "MODE|R89", "pins": lines})
    assert answer.status_code == 302
    rows = connector.pins.filter(replaced_at=None, position__name="R89")
    assert list(rows.values_list("number", "name", "level")) == [
        ("2", "TX", "3.3 V, idles high"),
        ("3", "RX", ""),
    ]


@pytest.mark.parametrize(
    ("lines", "says"),
    [("1; VIN", "line 1, direction"), ("1; a; out\n1; b; out", "Pin 1 is in the table twice")],
    ids=["too short", "twice"],
)
def test_what_is_wrong_with_a_line_is_said_at_the_table(
    editor: Client, connector: Connector, lines: str, says: str
) -> None:
    answer = editor.post(f"{P}connectors/J7/pins/", {"revision": "A", "holds": "always", "pins": lines})
    assert says.lower() in " ".join(answer.context["form"].errors["pins"]).lower()


def test_a_connector_is_added_and_changed(editor: Client, bench: Bench) -> None:
    given = {"key": "J3", "name": "debug", "subsystem": "RLD", "pin_1": "dot"}
    assert editor.post(f"{P}connectors/new/", given)["Location"] == f"{P}connectors/J3/pins/"
    editor.post(f"{P}connectors/J3/edit/", {"name": "debug header", "subsystem": "RLD", "cable": "straight"})
    stored = Connector.objects.get(key="J3")
    assert (stored.name, stored.cable, stored.pin_1) == ("debug header", "straight", "")


def test_an_option_is_decided_left_open_and_ordered(editor: Client, bench: Bench, option: Option) -> None:
    path = f"{P}options/MODE/"
    answer = editor.post(f"{path}decide/", {"revision": "A", "decision": "left open", "because": "no buoy"})
    assert answer["Location"] == f"{P}options/?revision=A"
    editor.post(f"{path}decide/", {"revision": "A", "decision": "at R89", "because": "the buoy is bought"})
    editor.post(f"{path}ordered/", {"revision": "A", "position": "none", "note": "by mail"})
    assert [one.word for one in OptionDecision.objects.all()] == ["left open", "decided"]
    assert OrderedPosition.objects.get().position is None
    page = editor.get(f"{P}options/").content.decode()
    assert "decided R89, designed R88" in page
    assert "ordered not fitted, designed R88" in page


def test_options_can_be_narrowed_and_taken_as_csv(editor: Client, bench: Bench, option: Option) -> None:
    found_at(bench, option, "R89")
    assert len(editor.get(f"{P}options/?only=differing").context["rows"]) == 1
    assert editor.get(f"{P}options/?only=open").context["rows"] == []
    (line,) = editor.get(f"{P}options.csv").content.decode().splitlines()[1:]
    assert line.startswith("A,MODE,J7 mode,R88,,as drawn; no decision recorded,0001,R89,R89,")


def test_a_rework_is_rechecked_by_a_reading(editor: Client, bench: Bench, rework: Rework) -> None:
    bench.target()
    reading = bench.read("3.3", taken_at=timezone.now())
    assert editor.get(f"{P}reworks/?recheck=open").context["rows"] != []
    assert editor.post(f"{REWORK}re-check/", {"measurement": reading.pk}).status_code == 302
    assert editor.get(f"{P}reworks/?recheck=open").context["rows"] == []
    refused = editor.post(f"{REWORK}re-check/", {})
    assert refused.status_code == 400
    assert "note" in refused.context["form"].errors


def test_a_rework_names_the_finding_it_was_done_for(editor: Client, bench: Bench, rework: Rework) -> None:
    record_finding(
        actor=bench.actor, project=bench.project, key="F-01", title="too low", subsystem=bench.subsystem
    )
    for _ in range(2):
        assert editor.post(f"{REWORK}findings/", {"finding": "F-01"}).status_code == 302
    assert [one.key for one in editor.get(REWORK).context["findings"]] == ["F-01"]


def test_paths_are_typed_one_to_a_line(editor: Client, rework: Rework) -> None:
    shown = editor.get(f"{REWORK}edit/").context["form"]
    assert shown.initial["paths"] == "U5.3 -> J7.2, 0.2 mm, 34 mm"
    given = {"kind": "wire link", "what": "two wires", "reversible": "on"}
    editor.post(f"{REWORK}edit/", given | {"paths": "U5.3 → J7.2\ntrace at U7.22\nA -> B, 0.1 mm"})
    stored = [(one.begins_at, one.leads_to, one.wire) for one in rework.paths.all()]
    assert stored == [("U5.3", "J7.2", ""), ("trace at U7.22", "", ""), ("A", "B", "0.1 mm")]


def test_the_page_of_a_reading_says_how_its_board_was(
    editor: Client, bench: Bench, option: Option, rework: Rework
) -> None:
    bench.target()
    found_at(bench, option, "R89")
    reading = bench.read("3.3", taken_at=timezone.now())
    then = editor.get(f"{P}measurements/{reading.pk}/").context["board_then"]
    assert [one.key for one in then.reworks] == ["RW-01"]
    assert [str(one) for one in then.settings] == ["MODE R89"]


@pytest.mark.parametrize("address", ["connectors/new/", "connectors/J7/pins/", "options/MODE/decide/"])
def test_a_reader_may_not_write(client: Client, bench: Bench, connector: Connector, address: str) -> None:
    client.force_login(bench.reader)
    assert client.get(P + address).status_code == 403


@pytest.mark.parametrize(
    ("address", "most"), [("connectors/J7/", 20), ("options/", 18), ("reworks/", 14), ("boards/0001/", 40)]
)
def test_pages_cost_no_query_a_row(
    editor: Client,
    bench: Bench,
    connector: Connector,
    rework: Rework,
    django_assert_max_num_queries: DjangoAssertNumQueries,
    address: str,
    most: int,
) -> None:
    for number in range(8):
        board = bench.extra_board(f"01{number:02}")
        for own in (board, bench.board):
            record_rework(
                actor=bench.actor, board=own, key=f"RW-1{number}", kind="other", intent="repair",
                what="x", subsystems=[bench.subsystem],
            )  # fmt: skip
    with django_assert_max_num_queries(most):
        assert editor.get(P + address).status_code == 200
