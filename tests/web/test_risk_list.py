"""The rows of the open-risk list as HTML: what was typed stays text, and only who may decides."""

from __future__ import annotations

import pytest
from django.test import Client

from logbook.bench.models import Target
from logbook.planning.commands import RiskSubject, decide_risks
from tests.builders import Bench

PAGE = "/p/tern/rev/A/risks/"
TYPED = '<script>alert("x")</script> & <b>'
ESCAPED = "&lt;script&gt;alert(&quot;x&quot;)&lt;/script&gt; &amp; &lt;b&gt;"


def page_of(bench: Bench, client: Client, who: str = "editor") -> str:
    client.force_login(getattr(bench, who))
    return client.get(PAGE).content.decode()


@pytest.fixture
def decided(bench: Bench) -> None:
    """Decide a row with text that would be taken for HTML wherever it was not escaped."""
    bench.target(values={"severity": "S4"})
    Target.objects.update(name=TYPED)
    decide_risks(
        actor=bench.actor, revision=bench.revision, rows=[RiskSubject("target", "RLD-2")],
        decision="accept", owner=TYPED, reason=TYPED, expires_with="B",
    )  # fmt: skip


@pytest.mark.usefixtures("decided")
def test_what_was_typed_stays_text(bench: Bench, client: Client) -> None:
    page = page_of(bench, client)
    assert "alert(" in page
    assert TYPED not in page
    assert page.count(ESCAPED) >= 3
    assert "<b>" not in page


@pytest.mark.usefixtures("decided")
def test_a_decision_that_holds_can_be_withdrawn_and_made_anew(bench: Bench, client: Client) -> None:
    page = page_of(bench, client)
    assert '<tr id="targetrld-2never-tried" class="decided">' in page
    assert "/p/tern/rev/A/dispositions/" in page
    assert '/p/tern/rev/A/risks/decide/?row=target/RLD-2/never%20tried">decide anew</a>' in page


def test_a_reader_marks_and_decides_nothing(bench: Bench, client: Client) -> None:
    bench.target(values={"severity": "S2"})
    page = page_of(bench, client, "reader")
    assert "RLD-2" in page
    assert "checkbox" not in page
    assert "risks/decide/" not in page
