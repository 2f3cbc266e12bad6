"""The bench page of one board, without JavaScript."""

from __future__ import annotations

from dataclasses import fields
from datetime import date, datetime
from typing import Any

import pytest
from django.test import Client

from logbook.bench.commands import (
    add_instrument,
    issue_target,
    open_bench_session,
    record_calibration,
    record_rework,
    set_ranges,
    withdraw_measurement,
)
from logbook.bench.commands.targets import Asked
from logbook.bench.models import Measurement
from logbook.boards.commands import change_board
from logbook.web.views.bench_page import BenchPage
from tests.builders import Bench

PAGE = "/p/tern/bench/0001/"
RECORD = "/p/tern/bench/0001/record/"
TEN_VOLTS = {"name": "10 V", "unit": "V", "full_scale": "10", "percent_of_reading": "0.02"}


@pytest.fixture
def at_bench(bench: Bench, client: Client) -> Bench:
    bench.target("RLD-1", "5.88..6.12 V")
    bench.target("RLD-2", needs=["RLD-1"])
    bench.target("RLD-5", "<= 30 mVpp", needs=["RLD-2"])
    client.force_login(bench.editor)
    return bench


def entered(client: Client, value: str, target: str = "RLD-2", **more: Any) -> Any:
    return client.post(RECORD, {"value": value, "target": target, "point": "", **more}, follow=True)


def shown(response: Any) -> BenchPage:
    return BenchPage(**{field.name: response.context[field.name] for field in fields(BenchPage)})


def test_it_says_which_board_is_in_hand_and_how_to_power_it(at_bench: Bench, client: Client) -> None:
    text = client.get(PAGE).content.decode()
    for said in ("0001", "9 to 16 V", "150 mA", "mains</span>", "never powered on record", "First power"):
        assert said in text


def test_it_begins_with_the_check_that_needs_nothing(at_bench: Bench, client: Client) -> None:
    now = shown(client.get(PAGE)).now
    assert now is not None
    assert now.line.target.key == "RLD-1"


def test_it_gives_the_template_every_field_of_the_page(at_bench: Bench, client: Client) -> None:
    assert {field.name for field in fields(BenchPage)} <= set(client.get(PAGE).context.keys())


def test_it_records_and_leads_on_to_the_next_check(at_bench: Bench, client: Client) -> None:
    page = shown(entered(client, "6.00", "RLD-1"))
    assert page.result is not None
    assert page.now is not None
    assert (page.result.measurement.verdict, page.now.line.target.key) == ("pass", "RLD-2")


def test_a_value_a_thousand_times_off_is_asked_about_once(at_bench: Bench, client: Client) -> None:
    asked = client.post(RECORD, {"value": "3298", "target": "RLD-2", "point": ""})
    assert asked.status_code == 422
    assert "3298 is about a thousand times the 3.234..3.366 V asked" in asked.content.decode()
    assert not Measurement.objects.exists()
    surely = asked.context["form"]["surely"].value()
    assert f'name="surely" value="{surely}"' in asked.content.decode()
    page = shown(entered(client, "3298", surely=surely))
    assert page.result is not None
    assert page.result.measurement.verdict == "fail"


def test_the_result_says_when_its_meter_is_out_of_calibration(at_bench: Bench, client: Client) -> None:
    meter = add_instrument(actor=at_bench.actor, name="M-1", kind="meter")
    set_ranges(actor=at_bench.actor, instrument=meter, ranges=[TEN_VOLTS])
    due = date(2025, 5, 28)
    record_calibration(
        actor=at_bench.actor, instrument=meter, number="K1", on=date(2024, 5, 28), result="in limits",
        next_due=due,
    )  # fmt: skip
    text = entered(client, "3.298", meter="M-1").content.decode()
    assert "Taken out of calibration:</strong> M-1 out of calibration since 2025-05-28." in text


def test_another_value_is_asked_about_anew(at_bench: Bench, client: Client) -> None:
    assert entered(client, "-3.3", surely="3298").status_code == 422
    assert shown(entered(client, "3298 mV")).result is not None


def test_the_result_says_verdict_and_reason(at_bench: Bench, client: Client) -> None:
    text = entered(client, "3.298", expanded_uncertainty="4 mV").content.decode()
    assert 'role="status"' in text
    assert "Inside 3.234 … 3.366 V by 64 mV, 16 times the uncertainty" in text


def test_the_value_field_is_labelled_and_takes_the_focus(at_bench: Bench, client: Client) -> None:
    text = client.get(PAGE).content.decode()
    assert '<label for="reads">reads</label>' in text
    assert text.count("autofocus") == 1
    assert ">Record</button>" in text


def test_it_counts_the_reading_through_the_page(at_bench: Bench, client: Client) -> None:
    entered(client, "3.298")
    stored = Measurement.objects.get()
    assert (stored.via, stored.recorded_by) == ("page", at_bench.editor)


def test_a_second_press_of_the_same_form_stores_nothing_twice(at_bench: Bench, client: Client) -> None:
    entered(client, "3.298", key="k1")
    entered(client, "3.298", key="k1")
    assert Measurement.objects.count() == 1


def test_another_value_under_the_same_key_is_refused_and_gets_a_new_key(
    at_bench: Bench, client: Client
) -> None:
    entered(client, "3.298", key="k1")
    response = entered(client, "3.300", key="k1")
    assert response.status_code == 422
    form = shown(response).form
    assert form is not None
    assert form["key"].value() != "k1"
    assert entered(client, "3.300", key=form["key"].value()).status_code == 200


@pytest.mark.parametrize("value", ["3,298", "banana", "", "3.3 Hz"])
def test_a_refusal_keeps_what_was_typed_and_stores_nothing(
    at_bench: Bench, client: Client, value: str
) -> None:
    response = entered(client, value, note="probe slipped")
    assert response.status_code == 422
    assert "probe slipped" in response.content.decode()
    assert f'value="{value}"' in response.content.decode()
    assert not Measurement.objects.exists()


def test_it_stops_where_a_prerequisite_failed_here(at_bench: Bench, client: Client) -> None:
    at_bench.read("5.0", "RLD-1")
    response = entered(client, "3.298")
    assert response.status_code == 422
    assert "RLD-1 failed on this board" in response.content.decode()
    assert Measurement.objects.count() == 1


def test_facts_are_facts_when_record_anyway_is_ticked(at_bench: Bench, client: Client) -> None:
    at_bench.read("5.0", "RLD-1")
    text = entered(client, "3.298", despite_stop="on").content.decode()
    assert "taken while RLD-1 failed here" in text


def test_it_never_leads_on_behind_a_stop(at_bench: Bench, client: Client) -> None:
    page = shown(entered(client, "5.0", "RLD-1"))
    assert page.now is None
    assert page.stopped == ("RLD-1",)


def test_the_instrument_is_chosen_once_for_a_kind_of_quantity(at_bench: Bench, client: Client) -> None:
    ranges = [
        {"name": "10 V", "unit": "V", "full_scale": "10", "percent_of_reading": "0.02", "resolution": "1 mV"}
    ]
    add_instrument(actor=at_bench.actor, name="DMM-1", kind="meter", ranges=ranges)
    response = entered(client, "6.00", "RLD-1", meter="DMM-1|10 V")
    form = shown(response).form
    assert form is not None
    assert form["meter"].value() == "DMM-1|10 V"
    assert Measurement.objects.get().uncertainty_from == "instrument"


def test_the_instrument_of_the_session_is_offered_first(at_bench: Bench, client: Client) -> None:
    meter = add_instrument(actor=at_bench.actor, name="DMM-1", kind="meter", ranges=[TEN_VOLTS])
    session = open_bench_session(
        actor=at_bench.actor,
        project=at_bench.project,
        title="rails",
        boards=[at_bench.board],
        instruments=[meter],
        values={"firmware": "0.6.0"},
    )
    form = shown(client.get(PAGE)).form
    assert form is not None
    assert form["meter"].value() == "DMM-1"
    entered(client, "6.00", "RLD-1", meter="DMM-1", bench_session=session.pk)
    assert Measurement.objects.get().firmware == "0.6.0"


def test_an_unknown_instrument_is_named_at_its_field(at_bench: Bench, client: Client) -> None:
    response = entered(client, "6.00", "RLD-1", meter="NONE-1")
    assert response.status_code == 422
    form = shown(response).form
    assert form is not None
    assert "NONE-1" in str(form.errors["meter"])


@pytest.mark.parametrize(
    ("kind", "limits", "value", "verdict"),
    [
        ("yes/no", "yes", "yes", "pass"),
        ("count", "100 of 100", "99 of 100", "fail"),
        ("seen working", "", "seen working", ""),
        ("number", "<= 3 V", "inconclusive", ""),
    ],
)
def test_it_takes_words(
    at_bench: Bench, client: Client, kind: str, limits: str, value: str, verdict: str
) -> None:
    at_bench.target("UI-1", limits, kind=kind)
    assert entered(client, value, "UI-1").status_code == 200
    assert Measurement.objects.get().verdict == verdict


def test_a_pressed_word_is_the_value(at_bench: Bench, client: Client) -> None:
    entered(client, "", word="inconclusive")
    assert Measurement.objects.get().outcome == "inconclusive"


def test_it_says_which_uncertainty_would_do(at_bench: Bench, client: Client) -> None:
    text = entered(client, "3.3", expanded_uncertainty="100 mV").content.decode()
    assert "undecidable" in text
    assert "66 mV or less would do" in text


def test_it_shows_sister_boards_and_what_it_needs(at_bench: Bench, client: Client) -> None:
    at_bench.extra_board("0002")
    at_bench.read("3.322", board="0002")
    now = shown(client.get(f"{PAGE}?target=RLD-2")).now
    assert now is not None
    assert [(one.serial, one.text) for one in now.line.sisters] == [("0002", "3.322")]
    assert [(need.key, need.word) for need in now.needs] == [("RLD-1", "not read here")]


@pytest.mark.parametrize(
    ("intent", "differs", "said"),
    [
        ("modification", True, "<strong>RW-09</strong> R89 removed"),
        ("to drawing", False, "reworked to drawing: RW-09"),
    ],
    ids=["departs from the drawing", "brings it to the drawing"],
)
def test_it_shows_what_makes_the_board_differ(
    at_bench: Bench, client: Client, intent: str, differs: bool, said: str
) -> None:
    record_rework(
        actor=at_bench.actor,
        board=at_bench.board,
        key="RW-09",
        kind="removed part",
        intent=intent,
        what="R89 removed",
        subsystems=[at_bench.subsystem],
    )
    page = client.get(PAGE)
    assert shown(page).hand.differs is differs
    assert said in page.content.decode()


def test_it_warns_before_a_board_that_is_not_in_use(at_bench: Bench, client: Client) -> None:
    change_board(actor=at_bench.actor, board=at_bench.board, values={"state": "quarantined"})
    assert shown(client.get(PAGE)).care
    assert "Know why before you power or touch it" in client.get(PAGE).content.decode()


def test_it_shows_cautions_and_warns_of_stress_on_the_reference(at_bench: Bench, client: Client) -> None:
    at_bench.target("PIN-2", "<= 1 mA", values={"cautions": "CH", "stresses_board": True})
    change_board(actor=at_bench.actor, board=at_bench.board, values={"state": "reference"})
    text = client.get(f"{PAGE}?target=PIN-2").content.decode()
    assert "Charge stays after power-off." in text
    assert "0001 is the reference" in text


def test_it_shows_the_next_step_of_the_session(at_bench: Bench, client: Client) -> None:
    open_bench_session(
        actor=at_bench.actor,
        project=at_bench.project,
        title="rails",
        boards=[at_bench.board],
        values={"next_step": "headphones on the dummy load first"},
    )
    assert "headphones on the dummy load first" in client.get(PAGE).content.decode()


def test_it_leads_through_the_points_of_a_target(at_bench: Bench, client: Client) -> None:
    at_bench.target("AFE-1", "19.8..20.2 dB", points=("CH1", "CH2"))
    page = shown(entered(client, "20.0", "AFE-1", point="CH1"))
    assert page.now is not None
    assert (page.now.line.target.key, page.now.line.point) == ("AFE-1", "CH2")


def test_the_living_part_alone_is_sent_when_the_page_asks_for_it(at_bench: Bench, client: Client) -> None:
    response = client.get(PAGE, headers={"X-Logbook-Fragment": "bench"})
    assert response["X-Logbook-Fragment"] == "bench"
    assert "<html" not in response.content.decode()


def test_recording_from_the_page_answers_with_the_living_part(at_bench: Bench, client: Client) -> None:
    given = {"value": "6.0", "target": "RLD-1", "point": "", "taken_at": "2026-01-05T10:22:00.123Z"}
    response = client.post(RECORD, given, headers={"X-Logbook-Fragment": "bench"})
    number = Measurement.objects.get().pk
    assert response["X-Logbook-Fragment"] == "bench"
    assert response["X-Logbook-Address"] == f"{PAGE}?target=RLD-2&last={number}"
    assert Measurement.objects.get().taken_at == datetime.fromisoformat("2026-01-05T10:22:00.123+00:00")


def test_withdrawing_leads_back_to_the_check(at_bench: Bench, client: Client) -> None:
    entered(client, "32.98")
    number = Measurement.objects.get().pk
    address = f"/p/tern/measurements/{number}/withdraw/"
    page = shown(client.post(address, {"because": "mistyped", "back": "bench"}, follow=True))
    assert page.now is not None
    assert page.now.line.target.key == "RLD-2"
    assert Measurement.objects.get().withdrawn_because == "mistyped"


def test_a_withdrawn_reading_makes_its_check_open_again(at_bench: Bench, client: Client) -> None:
    measurement = at_bench.read("6.0", "RLD-1")
    withdraw_measurement(actor=at_bench.actor, measurement=measurement, because="wrong board")
    now = shown(client.get(PAGE)).now
    assert now is not None
    assert now.line.target.key == "RLD-1"


def test_a_reading_under_a_wider_issue_stands_with_todays_verdict(at_bench: Bench, client: Client) -> None:
    at_bench.read("3.4")
    target = at_bench.project.targets.get(key="RLD-2")
    issue_target(actor=at_bench.actor, target=target, asked=Asked(limits="3.1..3.5 V"), reason="wider")
    now = shown(client.get(f"{PAGE}?target=RLD-2")).now
    assert now is not None
    assert now.line.verdict == "pass"


def test_a_reader_sees_the_page_without_a_form(at_bench: Bench, client: Client) -> None:
    client.force_login(at_bench.reader)
    assert 'id="reads"' not in client.get(PAGE).content.decode()
    assert client.post(RECORD, {"value": "1", "target": "RLD-2"}).status_code == 403


def test_a_stranger_finds_nothing(at_bench: Bench, client: Client) -> None:
    client.force_login(at_bench.stranger)
    assert client.get(PAGE).status_code == 404
    assert client.post(RECORD, {"value": "1", "target": "RLD-2"}).status_code == 404


def test_nobody_is_led_to_the_sign_in(at_bench: Bench, client: Client) -> None:
    client.logout()
    assert client.get(PAGE).status_code == 302


def test_an_empty_project_says_what_to_do_first(bench: Bench, client: Client) -> None:
    client.force_login(bench.editor)
    assert "Add a target" in client.get(PAGE).content.decode()


def test_it_asks_the_database_equally_often_however_long_the_history(
    at_bench: Bench, client: Client, django_assert_max_num_queries: Any
) -> None:
    for value in ("3.30", "3.31", "3.32"):
        at_bench.read(value)
    for number in range(8):
        at_bench.target(f"X-{number}", "<= 1 V")
    with django_assert_max_num_queries(32):
        client.get(PAGE)
