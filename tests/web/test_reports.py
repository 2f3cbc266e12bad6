"""The pages of reports, and the files made of them."""

from __future__ import annotations

from dataclasses import fields
from datetime import timedelta
from io import BytesIO

import pytest
from django.test import Client
from django.utils import timezone
from PIL import Image
from pypdf import PdfReader
from pytest_django import DjangoAssertNumQueries

from logbook.bench.commands import change_bench_session, open_bench_session
from logbook.bench.commands.evidence import attach_to_session
from logbook.bench.models import BenchSession
from logbook.common import jobs
from logbook.evidence.commands import add_evidence
from logbook.findings.commands import record_finding
from logbook.planning.commands import RiskSubject, decide_risks
from logbook.recall.models import Report
from logbook.web.reports.revision import RevisionReport
from logbook.web.reports.session import SessionReport
from logbook.web.views.reports import ReportListPage, ReportPage
from tests.builders import Bench
from tests.web.contexts import received

P = "/p/tern/"
REVISION = f"{P}rev/A/report/"
# Text a writer may try; the renderer of notes shows pictures as links and makes no HTML of theirs.
HOSTILE = '![x](http://elsewhere.example/a.png) <img src="http://elsewhere.example/b.png"> **bold µΩ**'


@pytest.fixture
def session(bench: Bench) -> BenchSession:
    """Return a session with two readings, a photo and a hostile note."""
    bench.target()
    started = timezone.now() - timedelta(hours=1)
    session = open_bench_session(
        actor=bench.actor,
        project=bench.project,
        title="First power",
        started_at=started,
        boards=[bench.board],
        instruments=[],
        values={"place": "bench 2", "ambient_c": 21.5, "note": HOSTILE},
    )
    bench.read("3.300 V", bench_session=session.pk, expanded_uncertainty=0.004, coverage_factor=2)
    bench.read("3.5 V", bench_session=session.pk, expanded_uncertainty=0.004, coverage_factor=2)
    return session


@pytest.fixture
def reader(bench: Bench, client: Client) -> Client:
    """Return a browser in which the reader is signed in."""
    client.force_login(bench.reader)
    return client


def made(client: Client, address: str) -> PdfReader:
    """Ask for a file, do the work and read it."""
    answer = client.post(address)
    assert answer.status_code == 302
    waiting = client.get(answer["Location"])
    assert "being laid out" in waiting.content.decode()
    assert client.get(f"{answer['Location']}state/").json()["at_work"] is True
    jobs.run_waiting()
    assert client.get(f"{answer['Location']}state/").json() == {
        "at_work": False,
        "state": "done",
        "progress": 100,
    }
    file = client.get(f"{answer['Location']}file/")
    assert file["Content-Type"] == "application/pdf"
    return PdfReader(BytesIO(file.content))


def text_of(pdf: PdfReader) -> str:
    """Return the words of a file; where its lines break depends on the fonts there are."""
    return " ".join(word for page in pdf.pages for word in page.extract_text().split())


def test_a_bring_up_report_says_what_was_read_and_who_made_it(reader: Client, session: BenchSession) -> None:
    answer = reader.get(f"{P}sessions/{session.pk}/report/")
    page = answer.content.decode()
    assert {field.name for field in fields(SessionReport)} <= received(answer)
    for said in ("1 pass, 1 fail", "3.234..3.366 V", "21.5 °C", "± 4.0 mV", "made by", "reader-tern"):
        assert said in page
    assert page.count("<svg") == 2


def test_the_file_says_the_same_on_numbered_pages(reader: Client, session: BenchSession) -> None:
    pdf = made(reader, f"{P}sessions/{session.pk}/report/")
    first = pdf.pages[0].extract_text()
    assert f"1 of {len(pdf.pages)}" in first
    assert "Tern · bring-up report · First power" in first
    text = text_of(pdf)
    for said in ("3.300 V", "± 4.0", "bold µΩ", "made by reader-tern", "of the record of changes"):
        assert said in text


def test_a_hostile_note_fetches_nothing(
    reader: Client, session: BenchSession, caplog: pytest.LogCaptureFixture
) -> None:
    pdf = made(reader, f"{P}sessions/{session.pk}/report/")
    assert [image for page in pdf.pages for image in page.images] == []
    assert "Failed to load" not in caplog.text


def test_photos_of_a_session_are_in_its_file(reader: Client, bench: Bench, session: BenchSession) -> None:
    stream = BytesIO()
    Image.new("RGB", (40, 30), "navy").save(stream, "PNG")
    stream.seek(0)
    evidence = add_evidence(
        actor=bench.actor, project=bench.project, name="edge.png", stream=stream, caption="rising edge"
    )
    jobs.run_waiting()
    attach_to_session(actor=bench.actor, session=session, evidence=evidence)
    pdf = made(reader, f"{P}sessions/{session.pk}/report/")
    # Pages share one list of pictures.
    assert len({image.name for page in pdf.pages for image in page.images}) == 1
    assert "rising edge" in text_of(pdf)


def test_a_finding_counts_as_found_meanwhile(reader: Client, bench: Bench, session: BenchSession) -> None:
    record_finding(
        actor=bench.actor,
        project=bench.project,
        key="F-01",
        title="rail too high",
        subsystem=bench.subsystem,
        found_on=bench.board,
    )
    address = f"{P}sessions/{session.pk}/report/"
    assert "rail too high" in reader.get(address).content.decode()
    change_bench_session(
        actor=bench.actor, session=session, values={"ended_at": timezone.now() - timedelta(minutes=30)}
    )
    assert "rail too high" not in reader.get(address).content.decode()


def test_a_revision_report_holds_coverage_risks_and_decisions(
    reader: Client, bench: Bench, session: BenchSession
) -> None:
    decide_risks(
        actor=bench.actor,
        revision=bench.revision,
        rows=[RiskSubject("target", "RLD-2", "failing")],
        decision="defer",
        owner="iv",
        reason="waits for the new divider",
        reopens_with="B",
    )
    answer = reader.get(REVISION)
    assert {field.name for field in fields(RevisionReport)} <= received(answer)
    text = text_of(made(reader, REVISION))
    for said in (
        "Report of revision A",
        "failing",
        "3.234..3.366 V",
        "waits for the new divider",
        "owner-tern",
    ):
        assert said in text


def test_a_revision_report_of_a_past_day_says_so(reader: Client, session: BenchSession) -> None:
    day = timezone.localdate() - timedelta(days=1)
    pdf = made(reader, f"{REVISION}?as_of={day}")
    assert f"as of {day}" in pdf.pages[0].extract_text()
    assert "Nothing has been named that has to be verified" in text_of(pdf)
    assert Report.objects.get().file_name == f"tern-rev-A-{day}.pdf"


def test_a_day_that_cannot_be_read_is_told(reader: Client, bench: Bench) -> None:
    for answer in (reader.get(f"{REVISION}?as_of=soon"), reader.post(f"{REVISION}?as_of=soon")):
        assert answer.status_code == 400
        assert "could not be read" in answer.content.decode()
    assert not Report.objects.exists()


def test_the_kept_page_holds_neither_form_nor_token(reader: Client, session: BenchSession) -> None:
    reader.post(REVISION)
    kept = Report.objects.get().page
    assert "<form" not in kept
    assert "csrf" not in kept


def test_the_list_offers_what_can_be_made_and_what_was(reader: Client, session: BenchSession) -> None:
    reader.post(REVISION)
    answer = reader.get(f"{P}reports/")
    assert {field.name for field in fields(ReportListPage)} <= received(answer)
    page = answer.content.decode()
    for said in ("First power", "Revision A", "Report of Tern, revision A", "being made"):
        assert said in page
    detail = reader.get(f"{P}reports/{Report.objects.get().pk}/")
    assert {field.name for field in fields(ReportPage)} <= received(detail)


@pytest.mark.parametrize(
    "door", ["reports/", "rev/A/report/", "reports/{0}/", "reports/{0}/file/", "reports/{0}/state/"]
)
def test_a_stranger_gets_nothing(client: Client, bench: Bench, session: BenchSession, door: str) -> None:
    client.force_login(bench.reader)
    made(client, REVISION)
    address = f"{P}{door.format(Report.objects.get().pk)}"
    assert client.get(address).status_code == 200
    client.force_login(bench.stranger)
    assert client.get(address).status_code == 404


def test_the_query_count_does_not_grow_with_the_readings(
    reader: Client, bench: Bench, session: BenchSession, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    """Session, person, membership; session with people, boards, instruments; readings, evidence, boards,
    differences, findings with four lists, the last entry of the record."""
    for number in range(20):
        bench.read(f"3.3{number:02d} V", bench_session=session.pk)
    with django_assert_max_num_queries(22):
        reader.get(f"{P}sessions/{session.pk}/report/")


def test_the_return_brief_becomes_a_file(bench: Bench, reader: Client) -> None:
    bench.target("RLD-7", "30 mV ± 5 %")
    asked = reader.post(f"{P}look-back/report/")
    jobs.run_waiting()
    report = Report.objects.get()
    assert asked.headers["Location"] == f"{P}reports/{report.pk}/"
    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(bytes(report.pdf or b""))).pages)
    assert "Return brief of Tern" in text
    assert "RLD-7" in text
    assert "Record" in text


def test_a_brief_of_an_unreadable_day_shows_nothing(bench: Bench, reader: Client) -> None:
    answer = reader.get(f"{P}look-back/report/", {"as_of": "yesterday"})
    assert answer.status_code == 400
    assert answer.context["brief"] is None
