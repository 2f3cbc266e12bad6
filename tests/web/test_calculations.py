"""Tolerance stack-ups on pages: calculators, calculations kept on a project, limits taken from them."""

from __future__ import annotations

from dataclasses import fields
from typing import Any
from urllib.parse import urlencode

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from logbook.calculations.commands import change_calculation, save_calculation
from logbook.calculations.models import Calculation
from logbook.calculations.translate import StackAsked
from logbook.core.trade import READY_MADE
from logbook.web.views.calculations import calculators, saved
from tests.builders import Bench
from tests.web.contexts import received

HOT = {"ta": "40 °C", "vin": "5 V", "vout": "3.3 V", "iout": "0.3 A", "theta": "90"}
LIST = "/p/tern/calculations/"
ONE = f"{LIST}VDIV-1/"
PARTS = "vref = 0.6 V 1 %\nrtop = 45.3k 1 %\nrbot = 10k 1 %"
GIVEN = {"formula": "vref*(1 + rtop/rbot)", "parts": PARTS, "unit": "V", "samples": "10000", "seed": "1"}
TOLERANCE = "/calculators/tolerance/"
PAGES = {
    TOLERANCE: calculators.StackPage,
    "/calculators/divider/": calculators.DividerPage,
    "/calculators/ready-made/": calculators.ReadyMadeListPage,
    "/calculators/ready-made/rc-corner/": calculators.ReadyMadePage,
    LIST: saved.CalculationListPage,
    ONE: saved.CalculationPage,
    f"{ONE}edit/": saved.CalculationFormPage,
    f"{LIST}new/": saved.CalculationFormPage,
}


def kept(bench: Bench, key: str = "VDIV-1") -> Calculation:
    parts = {
        "vref": {"nominal": "0.6 V", "tolerance": "1 %"},
        "rtop": {"nominal": "45.3k", "tolerance": "1 %"},
        "rbot": {"nominal": "10k", "tolerance": "1 %"},
    }
    asked = StackAsked(GIVEN["formula"], parts, "V", samples=1_000)
    return save_calculation(actor=bench.actor, project=bench.project, key=key, name="divider", asked=asked)


def loosened(bench: Bench, calculation: Calculation) -> None:
    parts = {**calculation.parts, "rtop": {"nominal": "45.3k", "tolerance": "5 %"}}
    change_calculation(actor=bench.actor, calculation=calculation, values={"parts": parts})


@pytest.fixture
def editor(bench: Bench, client: Client) -> Client:
    client.force_login(bench.editor)
    return client


@pytest.mark.parametrize(("address", "page"), PAGES.items())
def test_the_template_gets_the_fields_of_the_page(
    bench: Bench, editor: Client, address: str, page: Any
) -> None:
    kept(bench)
    assert received(editor.get(address)) == {field.name for field in fields(page)}


@pytest.mark.parametrize("address", [LIST, ONE, f"{ONE}edit/", f"{LIST}new/", "/p/tern/calculations.csv"])
def test_a_stranger_finds_nothing(bench: Bench, client: Client, address: str) -> None:
    kept(bench)
    client.force_login(bench.stranger)
    assert client.get(address).status_code == 404


@pytest.mark.parametrize("address", [f"{ONE}edit/", f"{LIST}new/", f"{ONE}limits/?band=extreme"])
def test_a_reader_may_not_write(bench: Bench, client: Client, address: str) -> None:
    kept(bench)
    client.force_login(bench.reader)
    assert client.get(ONE).status_code == 200
    assert client.get(address).status_code == 403


def test_the_calculator_holds_the_bands_against_limits(editor: Client) -> None:
    answer = editor.get(f"{TOLERANCE}?{urlencode({**GIVEN, 'limits': '3.3 V ± 2 %'})}").context["answer"]
    rows = answer.picture.rows
    # B-03 and B-04 of the check values: 3.2315..3.4066 V and 3.2672..3.3688 V against 3.234..3.366 V.
    assert [(row.label, row.verdict) for row in rows[:2]] == [
        ("extreme", "beyond the limits"),
        ("root sum square", "beyond the limits"),
    ]
    assert rows[0].low == pytest.approx(3.23153643564, rel=1e-9)
    assert sum(part.share for part in answer.shares) == pytest.approx(1)


def test_the_picture_says_in_words_what_it_draws(editor: Client) -> None:
    page = editor.get(f"{TOLERANCE}?{urlencode({**GIVEN, 'limits': '3 V to 4 V'})}").content.decode()
    assert 'role="img" aria-label="nominal 3.318 V; extreme 3.23' in page
    assert "within the limits" in page
    assert "style=" not in page


@pytest.mark.parametrize("name", ["tolerance", "divider"])
def test_every_example_gives_an_answer(editor: Client, name: str) -> None:
    examples = editor.get(f"/calculators/{name}/").context["examples"]
    pages = [editor.get(one.address) for one in examples if name in one.address]
    assert pages
    assert all(page.status_code == 200 for page in pages)
    assert all(page.context["answer" if name == "tolerance" else "pairs"] for page in pages)


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"formula": "9**9**9"}, "formula"),
        ({"formula": "vref.__class__"}, "formula"),
        ({"parts": "vref 0.6"}, "parts"),
        ({"limits": "3 A to 4 A"}, "limits"),
        ({"unit": "bananas"}, "unit"),
        ({"samples": "3000000"}, "samples"),
    ],
)
def test_a_slip_stands_at_its_field(editor: Client, more: dict[str, str], field: str) -> None:
    answer = editor.get(f"{TOLERANCE}?{urlencode({**GIVEN, **more})}")
    assert answer.status_code == 400
    assert list(answer.context["form"].errors) == [field]


@pytest.mark.parametrize("key", READY_MADE)
def test_every_ready_made_calculation_answers_with_its_example_and_source(editor: Client, key: str) -> None:
    page = editor.get(f"/calculators/ready-made/{key}/")
    assert page.status_code == 200
    assert page.context["answer"] is not None
    assert editor.get(page.context["stack_address"]).context["answer"] is not None


@pytest.mark.parametrize(
    ("key", "given", "letter"),
    [
        ("capacitor-energy", {"c": "470 µF 20 %", "v": "35 V"}, "C"),
        ("capacitor-energy", {"c": "1 µF", "v": "5 V"}, None),
        ("junction-temperature", HOT, "H"),
    ],
    ids=["bulk", "small", "hot"],
)  # fmt: skip
def test_a_caution_stands_where_the_risk_is(
    editor: Client, key: str, given: dict[str, str], letter: str | None
) -> None:
    page = editor.get(f"/calculators/ready-made/{key}/?{urlencode(given)}")
    caution = page.context["caution"]
    assert (caution.key if caution else None) == letter
    assert bool(page.context["warnings"]) == (letter is not None)


def test_the_result_can_be_saved_on_a_project(bench: Bench, editor: Client) -> None:
    (save,) = editor.get(f"{TOLERANCE}?{urlencode(GIVEN)}").context["saves"]
    form = editor.get(save.address).context["form"]
    assert form["parts"].value() == PARTS
    sent = {**GIVEN, "key": "VDIV-1", "name": "divider"}
    assert editor.post(f"{LIST}new/", sent).headers["Location"] == ONE
    assert Calculation.objects.get().bands["nominal"] == "3.318"


def test_a_change_shows_as_a_version_with_old_and_new(bench: Bench, editor: Client) -> None:
    kept(bench)
    changed = {**GIVEN, "name": "divider", "parts": PARTS.replace("45.3k 1 %", "47k 1 %")}
    assert editor.post(f"{ONE}edit/", changed).status_code == 302
    page = editor.get(ONE).content.decode()
    assert "45.3k ± 1 % → 47k ± 1 %" in page
    assert Calculation.objects.get().version == 2


def test_saving_the_form_unchanged_makes_no_new_version(bench: Bench, editor: Client) -> None:
    kept(bench)
    form = editor.get(f"{ONE}edit/").context["form"]
    editor.post(f"{ONE}edit/", {name: form[name].value() for name in form.fields})
    assert Calculation.objects.get().version == 1


def test_a_band_goes_to_the_form_of_a_target(bench: Bench, editor: Client) -> None:
    kept(bench)
    bench.target()
    answer = editor.get(f"{ONE}limits/?target=RLD-2&band=extreme", follow=True)
    form = answer.context["form"]
    assert form["calculation_band"].value() == "extreme"
    given = {name: form[name].value() or "" for name in form.fields}
    assert editor.post("/p/tern/targets/RLD-2/issue/", given).status_code == 302
    assert bench.project.targets.get().issues.latest("number").high == "3.4067"


def test_a_band_goes_to_the_form_of_a_new_target(bench: Bench, editor: Client) -> None:
    kept(bench)
    form = editor.get(f"{ONE}limits/?band=monte_carlo", follow=True).context["form"]
    assert form["calculation"].value() == Calculation.objects.get().pk


def test_a_moved_basis_is_said_on_both_pages_and_mended_with_one_button(bench: Bench, editor: Client) -> None:
    calculation = kept(bench)
    bench.target(limits="", calculation=calculation, calculation_band="extreme")
    target = "/p/tern/targets/RLD-2/"
    assert "unchanged" in editor.get(target).content.decode()
    loosened(bench, calculation)
    pages = [editor.get(address).content.decode() for address in (target, ONE)]
    assert all("has moved" in page and "3.2315 … 3.4067 V" in page for page in pages)
    editor.post(f"{ONE}targets/RLD-2/")
    assert "has moved.</strong>" not in editor.get(target).content.decode()
    assert bench.project.targets.get().issues.count() == 2


def test_a_reader_sees_that_the_basis_moved_without_the_button(bench: Bench, client: Client) -> None:
    calculation = kept(bench)
    bench.target(limits="", calculation=calculation, calculation_band="extreme")
    loosened(bench, calculation)
    client.force_login(bench.reader)
    page = client.get("/p/tern/targets/RLD-2/").content.decode()
    assert "has moved" in page
    assert "anew with this band" not in page
    assert client.post(f"{ONE}targets/RLD-2/").status_code == 403


def test_the_list_is_filtered_and_exported(bench: Bench, editor: Client) -> None:
    kept(bench)
    kept(bench, "OTHER")
    rows = editor.get(f"{LIST}?text=vdiv").context["rows"]
    table = editor.get("/p/tern/calculations.csv?text=vdiv").content.decode()
    assert [row.calculation.key for row in rows] == ["VDIV-1"]
    assert "rtop = 45.3k ± 1 %" in table
    assert "OTHER" not in table


def test_the_list_costs_the_same_however_long_it_is(
    bench: Bench, editor: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(4):
        kept(bench, f"C-{number}")
    with django_assert_num_queries(4):  # session, person, membership, calculations
        editor.get(LIST)


CURVED = {"formula": "v/x", "parts": "v = 1 V\nx = 0.5 to 1.5", "unit": "V", "samples": "1000", "seed": "1"}


def test_a_root_sum_of_squares_that_does_not_hold_is_said_and_not_offered(
    bench: Bench, editor: Client
) -> None:
    editor.post(f"{LIST}new/", {**CURVED, "key": "CURVE", "name": "curved"})
    page = editor.get(f"{LIST}CURVE/")
    assert "Root sum square is not usable here:" in page.content.decode()
    choices = [value for value, _ in page.context["as_limits"].fields["band"].choices]
    assert choices == ["extreme", "monte_carlo"]


def test_a_calculation_without_tolerances_shows_its_number_once(editor: Client) -> None:
    text = editor.get("/calculators/ready-made/volt-to-dbv/?v=2+V").content.decode()
    assert text.count("6.0206") == 1
    assert "No part has a tolerance" in text


def test_it_says_whether_units_were_checked(editor: Client) -> None:
    ohms = GIVEN["parts"].replace("k", " kΩ")
    fit, plain = (
        editor.get(TOLERANCE, {**GIVEN, "parts": parts}).content.decode() for parts in (ohms, GIVEN["parts"])
    )
    assert "Units checked: those of all parts fit together and give V." in fit
    assert "Units not checked throughout: rtop, rbot are plain numbers" in plain
