"""The calculators: answers, slips at their fields, links."""

from __future__ import annotations

from dataclasses import fields
from typing import Any
from urllib.parse import urlencode

import pytest
from django.test import Client

from logbook.web.views import calculators
from tests.builders import Bench
from tests.web.contexts import received

NAMES = {
    "verdict": calculators.VerdictPage,
    "uncertainty": calculators.UncertaintyPage,
    "quantity": calculators.QuantityPage,
    "preferred-value": calculators.PreferredPage,
    "sample": calculators.SamplePage,
    "attribute": calculators.AttributePage,
    "conventions": calculators.ConventionsPage,
}
JUDGED = {"limits": "≤ 3 V", "value": "3 V"}


@pytest.fixture
def person(bench: Bench, client: Client) -> Client:
    client.force_login(bench.stranger)
    return client


def shown(client: Client, name: str, status: int = 200, **given: str) -> str:
    answer = client.get(f"/calculators/{name}/?{urlencode(given)}")
    assert answer.status_code == status, answer.content.decode()
    return answer.content.decode()


@pytest.mark.parametrize("name", NAMES)
def test_it_sends_the_anonymous_to_sign_in(db: None, client: Client, name: str) -> None:
    assert client.get(f"/calculators/{name}/").headers["Location"].startswith("/sign-in/")


@pytest.mark.parametrize(("name", "page"), NAMES.items())
def test_the_template_gets_the_fields_of_the_page(person: Client, name: str, page: Any) -> None:
    assert received(person.get(f"/calculators/{name}/")) == {field.name for field in fields(page)}


def test_the_list_names_every_calculator(person: Client) -> None:
    listed = person.get("/calculators/").content.decode()
    assert all(f"/calculators/{name}/" in listed for name in NAMES)


@pytest.mark.parametrize("name", [name for name in NAMES if name != "conventions"])
def test_every_example_gives_an_answer(person: Client, name: str) -> None:
    examples = person.get(f"/calculators/{name}/").context["examples"]
    answers = [person.get(f"/calculators/{name}/?{one.query}").context["answer"] for one in examples]
    assert answers
    assert None not in answers


@pytest.mark.parametrize(
    ("limits", "value", "uncertainty", "word"),
    [
        # ILAC-G8:09/2019, 4.2.3, non-binary statements with w = U; borders belong to the better side.
        ("≤ 30 mV", "28 mV", "2 mV", "pass"),
        ("≤ 30 mV", "30 mV", "2 mV", "conditional pass"),
        ("≤ 30 mV", "32 mV", "2 mV", "conditional fail"),
        ("≤ 30 mV", "32.1 mV", "2 mV", "fail"),
        ("≤ 3.465 V", "3465 mV", "", "pass"),
        ("100 of 100", "99 of 100", "", "fail"),
        ("yes", "no", "", "fail"),
    ],
)
def test_it_judges(person: Client, limits: str, value: str, uncertainty: str, word: str) -> None:
    given = {"limits": limits, "value": value, "expanded_uncertainty": uncertainty}
    answer = person.get(f"/calculators/verdict/?{urlencode(given)}").context["answer"]
    assert answer.judgement.verdict == word


def test_a_verdict_draws_its_strip_and_says_why(person: Client) -> None:
    page = shown(person, "verdict", limits="3.234..3.366 V", value="3.317 V", expanded_uncertainty="1 mV")
    assert '<svg class="strip large pass"' in page
    assert "by 49 mV" in page


def test_it_says_when_no_reading_could_pass(person: Client) -> None:
    page = shown(person, "verdict", limits="3.3 V ± 1 mV", value="3.3 V", expanded_uncertainty="5 mV")
    assert "undecidable with this uncertainty" in page


def test_an_uncertainty_shows_its_budget(person: Client) -> None:
    page = shown(
        person, "uncertainty", reading="3.298 V", percent_of_reading="0.05", counts="3", resolution="1 mV"
    )
    # Bound 0.05 % × 3.298 V + 3 mV = 4.649 mV; u = bound / √3 (JCGM 100:2008, 4.3.7); U = 2 u, rounded up.
    assert "U = 0.005369 V" in page
    assert "2.684 mV" in page
    assert "rectangular" in page
    assert "100.0 %" in page


def test_repeats_take_the_place_of_the_reading(person: Client) -> None:
    page = shown(person, "uncertainty", reading="3.301 V", repeats="3.301; 3.303\n3.300 3.302")
    # Mean 3.3015 V, s/√4 with 3 degrees of freedom: k = 3.31 (JCGM 100:2008, Table G.2).
    assert "mean of 4" in page
    assert 'k = <span class="num">3.307' in page


@pytest.mark.parametrize(
    ("given", "engineering", "band"),
    [
        # IEC 60062:2016, letter and digit code with tolerance letter.
        ({"text": "4k7J", "kind": "resistance"}, "4.7 kΩ", "4.465 kΩ to 4.935 kΩ"),
        ({"text": "4p7C", "kind": "capacitance"}, "4.7 pF", "4.45 pF to 4.95 pF"),
        ({"text": "12.288 MHz"}, "12.288 MHz", ""),
    ],
)
def test_it_reads_a_quantity(person: Client, given: dict[str, str], engineering: str, band: str) -> None:
    answer = person.get(f"/calculators/quantity/?{urlencode(given)}").context["answer"]
    assert (answer.engineering, answer.band) == (engineering, band)


@pytest.mark.parametrize(
    ("value", "series", "nearest"),
    # IEC 60063:2015, Tables 1 and 2; nearest by ratio.
    [("5000 Ω", "E12", "4.7 kΩ"), ("5k", "E96", "4.99 kΩ"), ("9.6 Ω", "E24", "10 Ω")],
)
def test_it_finds_the_nearest_preferred_value(person: Client, value: str, series: str, nearest: str) -> None:
    given = urlencode({"value": value, "series": series})
    assert person.get(f"/calculators/preferred-value/?{given}").context["answer"].asked.nearest == nearest


def test_a_single_reading_says_what_it_cannot_say(person: Client) -> None:
    page = shown(person, "sample", values="3.317 V", limits="3.234..3.366 V")
    assert "cannot be said from 1 reading" in page
    assert "12 %" in page


def test_no_failure_is_a_bound(person: Client) -> None:
    page = shown(person, "attribute", failures="0", trials="1e9", sides="upper")
    # The rule of three: 3/N, exactly 1 − 0.05^(1/N) (common practice).
    assert "2.996e-09" in page


@pytest.mark.parametrize(
    ("name", "given", "field"),
    [
        ("verdict", {"limits": "around 3 V", "value": "3 V"}, "limits"),
        ("verdict", {"limits": "≤ 3 V", "value": "3 Hz"}, "value"),
        ("verdict", {"limits": "≤ 3 V", "value": "3,0 V"}, "value"),
        ("verdict", {**JUDGED, "expanded_uncertainty": "-1 V"}, "expanded_uncertainty"),
        ("verdict", {**JUDGED, "expanded_uncertainty": "1 V", "coverage_factor": "0"}, "coverage_factor"),
        ("verdict", {"limits": "≤ 3 V"}, "value"),
        ("uncertainty", {"reading": "3 V", "counts": "3"}, "resolution"),
        ("uncertainty", {"reading": "3 V", "percent_of_range": "1"}, "range_value"),
        ("uncertainty", {"reading": "3 V", "percent_of_reading": "-1"}, "percent_of_reading"),
        ("uncertainty", {"reading": "3 V", "repeats": "3 V"}, "repeats"),
        ("quantity", {"text": "4,7 kΩ"}, "text"),
        ("quantity", {"text": "4k7", "kind": "colour"}, "kind"),
        ("preferred-value", {"value": "0"}, "value"),
        ("preferred-value", {"value": "4k7", "series": "E5"}, "series"),
        ("sample", {"values": "3 V; many"}, "values"),
        ("sample", {"values": "3 V; 4 V", "content": "2"}, "content"),
        ("sample", {"values": "3 V; 4 V", "limits": "yes"}, "limits"),
        ("attribute", {"failures": "3", "trials": "2"}, "failures"),
        ("attribute", {"failures": "0", "trials": "0"}, "trials"),
        ("attribute", {"failures": "0.5", "trials": "2"}, "failures"),
    ],
)
def test_a_slip_is_shown_at_its_field(person: Client, name: str, given: dict[str, str], field: str) -> None:
    answer = person.get(f"/calculators/{name}/?{urlencode(given)}")
    assert answer.status_code == 400
    assert list(answer.context["form"].errors) == [field]
    assert answer.context["answer"] is None


def test_what_was_typed_is_shown_as_text(person: Client) -> None:
    page = shown(person, "quantity", 400, text="<script>alert(1)</script>")
    assert "<script>alert" not in page


def test_the_verdict_calculator_takes_degrees_of_freedom(client: Client, bench: Bench) -> None:
    """JCGM 106:2012, 7.2 with a Student distribution: 3.452 V, u 8 mV, nu 4, at most 3.465 V."""
    client.force_login(bench.reader)
    asked = {"limits": "<= 3.465 V", "value": "3.452 V", "expanded_uncertainty": "16 mV"}
    answer = client.get("/calculators/verdict/", asked | {"degrees_of_freedom": "4"})
    assert answer.context["answer"].judgement.conformance_probability == pytest.approx(0.91025614315)


@pytest.mark.parametrize(("values", "is_said"), [("3.31 V", True), ("3.31 V, 3.30 V, 3.32 V", False)])
def test_a_chance_from_one_reading_is_marked(person: Client, values: str, *, is_said: bool) -> None:
    given = {"values": values, "limits": "3.3 V ± 2 %", "content": "0.95", "confidence": "0.95"}
    text = person.get("/calculators/sample/", given).content.decode()
    assert ("mostly assumed" in text) is is_said
