"""Reports as PDF files: what is in them, what they cannot reach, and what becomes of them."""

from __future__ import annotations

import socket
from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from PIL import Image
from pypdf import PdfReader

from logbook.common import clock, jobs
from logbook.common.errors import NotFoundError
from logbook.common.models import ChangeRecord, Job
from logbook.evidence.commands import add_evidence
from logbook.evidence.models import Evidence
from logbook.recall.models import Report
from logbook.recall.printing import PrintingUnavailableError
from logbook.recall.reports import jobs as report_jobs
from logbook.recall.reports.choices import KEPT_FOR, MAKE_REPORT, ReportKind, ReportState
from logbook.recall.reports.commands import ask_report
from logbook.recall.reports.painting import painted
from logbook.recall.reports.queries import imprint_of, pdf_of_report, report_of
from tests.builders import Bench, build_bench

ADDRESS = "https://logbook.example/p/tern/rev/A/report/"


def asked(bench: Bench, body: str, pictures: dict[str, int] | None = None) -> Report:
    page = f'<!doctype html><html lang="en"><head><title>Report</title></head><body>{body}</body></html>'
    return ask_report(
        actor=bench.actor,
        project=bench.project,
        kind=ReportKind.REVISION,
        title="Report of Tern",
        file_name="tern.pdf",
        address=ADDRESS,
        page=page,
        pictures=pictures or {},
    )


def made(report: Report) -> PdfReader:
    """Do the waiting work and read the file."""
    jobs.run_job(Job.objects.get(name=MAKE_REPORT, subject_id=report.pk).pk)
    report.refresh_from_db()
    assert report.state == ReportState.DONE, report.problem
    return PdfReader(BytesIO(pdf_of_report(report)))


def photo(bench: Bench) -> Evidence:
    stream = BytesIO()
    Image.new("RGB", (40, 30), "navy").save(stream, "PNG")
    stream.seek(0)
    found = add_evidence(actor=bench.actor, project=bench.project, name="edge.png", stream=stream)
    jobs.run_waiting()
    return found


def test_the_signs_of_the_trade_are_in_the_file(bench: Bench) -> None:
    text = made(asked(bench, "<p>4.7 kΩ, 3.3 µVrms, ±5 %, ≤ 40 °C, √Hz</p>")).pages[0].extract_text()
    assert "4.7 kΩ, 3.3 µVrms, ±5 %, ≤ 40 °C, √Hz" in text


def test_the_page_is_kept_only_until_the_file_is_there(bench: Bench) -> None:
    report = asked(bench, "<p>kept</p>")
    assert "kept" in report.page
    made(report)
    assert report.page == ""


def test_a_job_run_twice_changes_nothing(bench: Bench) -> None:
    report = asked(bench, "<p>once</p>")
    made(report)
    first = bytes(report.pdf or b"")
    report_jobs.make_report(jobs.Hold(0, report.pk, "make-report", 1))
    report.refresh_from_db()
    assert bytes(report.pdf or b"") == first


def test_a_photo_of_the_project_is_shown(bench: Bench) -> None:
    path = "/p/tern/evidence/1/picture/1280.webp"
    report = asked(bench, f'<img src="{path}" alt="the edge">', {path: photo(bench).pk})
    assert len(made(report).pages[0].images) == 1


def test_a_photo_of_another_project_is_not(bench: Bench, caplog: pytest.LogCaptureFixture) -> None:
    foreign = photo(build_bench("gull"))
    path = "/p/gull/evidence/1/picture/1280.webp"
    report = asked(bench, f'<img src="{path}" alt="theirs">', {path: foreign.pk})
    assert len(made(report).pages[0].images) == 0
    assert "Failed to load image" in caplog.text


@pytest.mark.parametrize(
    "body",
    [
        '<img src="http://elsewhere.example/x.png" alt="">',
        '<img src="file:///etc/hostname" alt="">',
        '<link rel="stylesheet" href="http://elsewhere.example/x.css">',
        '<object data="http://elsewhere.example/x.svg"></object>',
        '<svg><image href="http://elsewhere.example/x.png"/></svg>',
        '<p style="background: url(http://elsewhere.example/x.png)">x</p>',
    ],
    ids=["picture", "file", "style", "object", "drawing", "background"],
)
def test_nothing_outside_is_reached(bench: Bench, monkeypatch: pytest.MonkeyPatch, body: str) -> None:
    reached: list[Any] = []
    report = asked(bench, f"{body}<p>end</p>")
    monkeypatch.setattr(socket.socket, "connect", lambda _self, address: reached.append(address))
    assert "end" in made(report).pages[0].extract_text()
    assert reached == []
    assert b"elsewhere.example" not in pdf_of_report(report)


def test_a_drawing_keeps_its_colours(bench: Bench) -> None:
    """The zone inside the limits is #d9ecdf by day, as in the style sheet of the pages."""
    drawing = '<svg class="strip pass" viewBox="0 0 10 10" width="10" height="10">'
    drawing += '<rect class="zone" width="10" height="10"/></svg>'
    contents = made(asked(bench, drawing)).pages[0].get_contents()
    assert contents is not None
    fills = [operands for operands, sign in contents.operations if sign == b"rg"]
    colours = [tuple(round(float(part) * 255) for part in fill) for fill in fills]
    assert (0xD9, 0xEC, 0xDF) in colours


def test_a_page_without_drawings_is_left_alone() -> None:
    assert painted("<p>svg</p>") == "<p>svg</p>"


def test_a_missing_library_is_told(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    def without(*_: object, **__: object) -> bytes:
        message = "this site cannot make PDF files"
        raise PrintingUnavailableError(message)

    monkeypatch.setattr(report_jobs, "pdf_of", without)
    report = asked(bench, "<p>x</p>")
    jobs.run_job(Job.objects.get(name=MAKE_REPORT, subject_id=report.pk).pk)
    report.refresh_from_db()
    assert (report.state, report.problem, report.page) == ("refused", "this site cannot make PDF files", "")
    with pytest.raises(NotFoundError, match="has no file"):
        pdf_of_report(report)


def test_a_report_is_taken_away_after_a_day(bench: Bench) -> None:
    old, new = asked(bench, "<p>old</p>"), asked(bench, "<p>new</p>")
    Report.objects.filter(pk=old.pk).update(asked_at=clock.now() - KEPT_FOR - timedelta(minutes=1))
    with pytest.raises(NotFoundError, match="taken away after a day"):
        report_of(bench.project, old.pk)
    asked(bench, "<p>newer</p>")
    assert not Report.objects.filter(pk=old.pk).exists()
    assert report_of(bench.project, new.pk) == new
    jobs.run_waiting()  # the job of the one that is gone does no harm


def test_who_asked_is_on_record(bench: Bench) -> None:
    report = asked(bench, "<p>x</p>")
    entry = ChangeRecord.objects.get(kind="report", object_id=report.pk)
    assert (entry.actor, entry.title) == (bench.owner, "Report of Tern")


def test_the_imprint_names_the_last_entry_it_rests_on(bench: Bench) -> None:
    last = ChangeRecord.objects.filter(project_id=bench.project.pk).latest("id")
    found = imprint_of(bench.project, bench.reader)
    assert (found.by, found.change, found.changed_at) == ("reader-tern", last.pk, last.at)
    asked(bench, "<p>x</p>")
    assert imprint_of(bench.project, bench.reader).change == last.pk
