"""The page of the check templates: looking, picking, and what comes of it."""

from __future__ import annotations

from dataclasses import fields
from itertools import pairwise
from typing import Any

import pytest
from django.test import Client

from logbook.bench.check_templates import library
from logbook.bench.commands import Pick, add_targets_from_templates
from logbook.bench.models import Target
from logbook.web.views.check_templates import CheckTemplatesPage
from tests.builders import Bench
from tests.web.contexts import received

PAGE = "/p/tern/check-templates/"
POWER = f"{PAGE}?kind=power"
CSV = "/p/tern/check-templates.csv"


@pytest.fixture
def editor(bench: Bench, client: Client) -> Client:
    client.force_login(bench.editor)
    return client


def sent(bench: Bench, *ticked: str, **given: Any) -> dict[str, Any]:
    ticks = {f"{key}-picked": "on" for key in ticked}
    typed = {name.replace("_", "-"): value for name, value in given.items()}
    return {"subsystem": bench.subsystem.pk} | ticks | typed


def text_of(response: Any) -> str:
    return " ".join(response.content.decode().split())


@pytest.mark.parametrize("address", [PAGE, POWER])
def test_the_page_gives_its_template_every_field(editor: Client, address: str) -> None:
    assert received(editor.get(address)) == {field.name for field in fields(CheckTemplatesPage)}


def test_it_first_asks_for_a_kind_and_names_the_subsystems_of_it(editor: Client) -> None:
    response = editor.get(PAGE)
    kinds = {one.kind: [sub.key for sub in one.subsystems] for one in response.context["kinds"]}
    assert (kinds["power"], kinds["memory"]) == (["RLD"], [])
    assert list(response.context["rows"]) == []


@pytest.mark.parametrize(
    ("query", "keys"),
    [
        ("kind=converter", ["A01", "A02", "A03", "A04"]),
        ("text=ripple", ["R04"]),
        ("kind=memory&text=march", ["M04", "M07"]),
        ("kind=plumbing", []),
        ("text=%00", []),
    ],
)
def test_it_is_filtered_by_the_query_string(editor: Client, query: str, keys: list[str]) -> None:
    rows = editor.get(f"{PAGE}?{query}").context["rows"]
    assert [row.check.key for row in rows] == keys


def test_all_of_them_can_be_seen_by_kind(editor: Client) -> None:
    kinds = [row.check.kind for row in editor.get(f"{PAGE}?kind=all").context["rows"]]
    assert len(kinds) == len(library())
    assert sum(one != other for one, other in pairwise(kinds)) == len(set(kinds)) - 1


def test_cautions_of_the_shown_checks_stand_below_with_their_text(editor: Client) -> None:
    text = text_of(editor.get(f"{POWER}&text=first+power"))
    assert "If it limits, stop and find the fault" in text
    assert "Charge stays after power-off" not in text
    assert 'href="#caution-P"' in text
    assert 'id="caution-P"' in text


def test_picked_checks_become_targets_and_the_page_says_what_they_need(bench: Bench, editor: Client) -> None:
    response = editor.post(
        POWER, sent(bench, "R01", "R04", R01_key="RLD-2", R01_nominal="3.3 V", R04_minutes="7")
    )
    text = text_of(response)
    assert response.status_code == 200
    assert "2 targets added" in text
    assert [(one.target.key, one.wired, one.missing) for one in response.context["added"]] == [
        ("RLD-2", (), ("P02",)),
        ("RLD-R04", ("RLD-2",), ()),
    ]
    assert Target.objects.get(key="RLD-R04").minutes == 7


def test_lines_that_are_not_ticked_are_left_alone(bench: Bench, editor: Client) -> None:
    editor.post(POWER, sent(bench, "U04", R04_limits="nonsense", R04_minutes="x"))
    assert [target.key for target in Target.objects.all()] == ["RLD-U04"]


def test_a_target_from_a_template_says_so_on_its_page(bench: Bench, editor: Client) -> None:
    editor.post(POWER, sent(bench, "U04"))
    text = text_of(editor.get("/p/tern/targets/RLD-U04/"))
    assert "judgement: common practice, from template U04" in text
    assert "data sheet" not in text


def test_its_cautions_stand_at_the_check_on_the_bench_page(bench: Bench, editor: Client) -> None:
    editor.post(POWER, sent(bench, "U05"))
    assert "Charge stays after power-off" in text_of(editor.get("/p/tern/bench/0001/?target=RLD-U05"))


@pytest.mark.parametrize(
    ("ticked", "given", "line", "field"),
    [
        (("U04", "R01"), {}, "R01", "nominal"),
        (("U04", "R06b"), {}, "R06b", "limits"),
        (("U04", "R04"), {"R04_limits": "< 1 %"}, "R04", "limits"),
        (("U04", "R04"), {"R04_minutes": "-1"}, "R04", "minutes"),
        (("U04", "R04"), {"R04_key": "a b"}, "R04", "key"),
        (("U04", "R04"), {"R04_key": "RLD-U04"}, "R04", "key"),
    ],
)
def test_a_wrong_line_is_marked_keeps_what_was_typed_and_nothing_is_added(
    bench: Bench, editor: Client, ticked: tuple[str, ...], given: dict[str, Any], line: str, field: str
) -> None:
    response = editor.post(POWER, sent(bench, *ticked, **given))
    wrong = {row.check.key: list(row.form.errors) for row in response.context["rows"] if row.form.errors}
    assert (response.status_code, wrong) == (400, {line: [field]})
    assert 'class="problems"' in text_of(response)
    assert all(f'value="{typed}"' in text_of(response).replace("&lt;", "<") for typed in given.values())
    assert not Target.objects.exists()


def test_picking_nothing_is_said(bench: Bench, editor: Client) -> None:
    response = editor.post(POWER, sent(bench))
    assert response.status_code == 400
    assert "Pick at least one check template" in text_of(response)


def test_a_subsystem_must_be_chosen(bench: Bench, editor: Client) -> None:
    response = editor.post(POWER, sent(bench, "U04") | {"subsystem": ""})
    assert response.status_code == 400
    assert "subsystem" in response.context["into"].errors


def test_sending_it_again_adds_nothing_twice(bench: Bench, editor: Client) -> None:
    editor.post(POWER, sent(bench, "U04"))
    response = editor.post(POWER, sent(bench, "U04"))
    assert response.status_code == 400
    assert "RLD-U04 is a target already" in text_of(response)
    assert Target.objects.count() == 1


def test_the_subsystem_of_that_kind_is_offered_first(bench: Bench, editor: Client) -> None:
    assert editor.get(POWER).context["into"]["subsystem"].value() == bench.subsystem.pk
    assert editor.get(f"{PAGE}?kind=memory").context["into"]["subsystem"].value() is None


def test_a_line_names_the_targets_there_are(bench: Bench, editor: Client) -> None:
    pick = Pick("R01", bench.subsystem, key="RLD-2", nominal="3.3 V")
    add_targets_from_templates(actor=bench.actor, project=bench.project, picks=[pick])
    rows = {row.check.key: row for row in editor.get(POWER).context["rows"]}
    assert [one.key for one in rows["R01"].targets] == ["RLD-2"]
    assert [(need.template, [one.key for one in need.targets]) for need in rows["R04"].needs] == [
        ("R01", ["RLD-2"])
    ]


def test_a_reader_may_look_but_not_pick(bench: Bench, client: Client) -> None:
    client.force_login(bench.reader)
    response = client.get(POWER)
    assert response.status_code == 200
    assert "R04-picked" not in text_of(response)
    assert "nominal ± 2 %" in text_of(response)
    assert client.post(POWER, sent(bench, "U04")).status_code == 403
    assert not Target.objects.exists()


@pytest.mark.parametrize("address", [PAGE, POWER, CSV])
def test_a_stranger_finds_nothing(bench: Bench, client: Client, address: str) -> None:
    client.force_login(bench.stranger)
    assert client.get(address).status_code == 404


def test_a_project_without_subsystems_says_what_to_do_first(bench: Bench, editor: Client) -> None:
    bench.subsystem.delete()
    text = text_of(editor.get(POWER))
    assert "A target belongs to a subsystem" in text
    assert "R04-picked" not in text


@pytest.mark.parametrize(("query", "lines"), [("", len(library()) + 1), ("?kind=converter", 5)])
def test_the_library_comes_as_csv(editor: Client, query: str, lines: int) -> None:
    text = editor.get(CSV + query).content.decode()
    assert len(text.splitlines()) == lines
    assert "A04,dynamic linearity,converter,number,,False,dB," in text


@pytest.mark.parametrize("address", ["/p/tern/", "/p/tern/targets/"])
def test_an_empty_project_leads_to_the_templates(editor: Client, address: str) -> None:
    text = text_of(editor.get(address))
    assert "No targets yet" in text
    assert f'href="{PAGE}"' in text


def test_it_asks_the_database_equally_often_however_many_checks(
    bench: Bench, editor: Client, django_assert_max_num_queries: Any
) -> None:
    picks = [Pick(key, bench.subsystem) for key in ("U01", "U04", "U05", "U06", "R04")]
    add_targets_from_templates(actor=bench.actor, project=bench.project, picks=picks)
    with django_assert_max_num_queries(8):
        editor.get(f"{PAGE}?kind=all")
