"""Pages of evidence: adding, looking, analysing, taking a number to a target."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from pytest_django import Settings

from logbook.bench.commands import open_bench_session
from logbook.common.jobs import MOST_ATTEMPTS, run_waiting
from logbook.common.models import Job
from logbook.evidence import storage
from logbook.evidence.models import Evidence
from logbook.findings.commands.recording import record_finding
from logbook.web.views.evidence.detail import EvidencePage
from logbook.web.views.evidence.listing import EvidenceFormPage, EvidenceListPage
from logbook.web.views.evidence.recording import RecordPage
from tests.builders import Bench
from tests.evidence import files
from tests.web.contexts import received

LIST = "/p/tern/evidence/"


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, settings: Settings) -> None:
    settings.LOGBOOK_DATA = tmp_path


@pytest.fixture
def editor(bench: Bench, client: Client) -> Client:
    client.force_login(bench.editor)
    return client


def _add(client: Client, *given: tuple[str, bytes], **said: Any) -> Any:
    sent = [SimpleUploadedFile(name, data) for name, data in given]
    return client.post(f"{LIST}new/", {"file": sent, **said})


def kept(client: Client, data: bytes, name: str = "capture.csv", **said: Any) -> Evidence:
    assert _add(client, (name, data), **said).status_code == 302
    run_waiting()
    return Evidence.objects.latest("pk")


@pytest.mark.parametrize(
    ("address", "page"),
    [
        (LIST, EvidenceListPage),
        (f"{LIST}new/", EvidenceFormPage),
        (f"{LIST}1/", EvidencePage),
        (f"{LIST}1/analyses/1/record/", RecordPage),
    ],
)
def test_each_template_receives_its_context(editor: Client, address: str, page: type) -> None:
    evidence = kept(editor, files.sweep())
    analysis = evidence.analyses.get()
    address = address.replace("analyses/1", f"analyses/{analysis.pk}").replace("/1/", f"/{evidence.pk}/")
    assert received(editor.get(address)) == {field.name for field in fields(page)}


def test_an_empty_list_says_what_to_do_first(editor: Client) -> None:
    assert "No evidence yet" in editor.get(LIST).content.decode()


def test_several_files_are_kept_at_once(editor: Client) -> None:
    _add(editor, ("a.csv", files.sweep()), ("b.wav", files.tone()), board="0001", caption="with the lid on")
    found = {one.name: one for one in Evidence.objects.all()}
    assert {one.kind for one in found.values()} == {"sweep", "audio"}
    assert found["a.csv"].board is not None
    assert found["a.csv"].caption == "with the lid on"


def test_a_bad_file_is_named_and_the_good_onekept(editor: Client) -> None:
    answer = _add(editor, ("good.csv", files.sweep()), ("bad.gif", files.POLYGLOT))
    assert answer.status_code == 400
    assert "The file bad.gif: the picture" in answer.content.decode()
    assert [one.name for one in Evidence.objects.all()] == ["good.csv"]


def test_a_file_beyond_the_setting_is_refused_with_the_limit(editor: Client, settings: Settings) -> None:
    settings.LOGBOOK_MAX_UPLOAD_MB = 1
    text = _add(editor, ("long.csv", b"x" * 1_000_001)).content.decode()
    assert "larger than 1 MB" in text
    assert not Evidence.objects.exists()


def test_a_file_may_stand_behind_a_session_and_a_reading(editor: Client, bench: Bench) -> None:
    bench.target()
    reading = bench.read("3.3")
    session = open_bench_session(actor=bench.actor, project=bench.project, title="one evening")
    evidence = kept(editor, files.picture(), "scope.png", session=session.pk, measurement=reading.pk)
    assert evidence.session_links.get().bench_session == session
    assert "scope.png" in editor.get(f"/p/tern/sessions/{session.pk}/").content.decode()
    assert evidence.measurement_links.get().measurement == reading


def test_a_file_may_go_straight_to_a_finding(editor: Client, bench: Bench) -> None:
    record_finding(
        actor=bench.actor, project=bench.project, key="F-01", title="slow", subsystem=bench.subsystem
    )
    evidence = kept(editor, files.picture(), "scope.png", finding="F-01")
    assert "scope.png" in editor.get("/p/tern/findings/F-01/").content.decode()
    assert '/p/tern/findings/F-01/"' in editor.get(f"{LIST}{evidence.pk}/").content.decode()


def test_the_request_does_not_wait_for_the_analysis(editor: Client) -> None:
    _add(editor, ("sweep.csv", files.sweep()))
    evidence = Evidence.objects.get()
    assert "being analysed" in editor.get(f"{LIST}{evidence.pk}/").content.decode()
    assert editor.get(f"{LIST}{evidence.pk}/state/").json()["at_work"] is True
    run_waiting()
    assert "being analysed" not in editor.get(f"{LIST}{evidence.pk}/").content.decode()
    assert editor.get(f"{LIST}{evidence.pk}/state/").json() == {
        "at_work": False,
        "state": "done",
        "progress": 100,
    }


def test_a_capture_is_shown_with_numbers_picture_and_table(editor: Client) -> None:
    evidence = kept(editor, files.square_wave())
    text = editor.get(f"{LIST}{evidence.pk}/").content.decode()
    assert "peak to peak" in text
    assert "3.3 V" in text
    assert 'class="trace" d="M' in text
    assert "lowest" in text


def test_each_number_of_a_recording_says_how_it_is_found(editor: Client) -> None:
    evidence = kept(editor, files.tone(), "tone.wav")
    editor.post(f"{LIST}{evidence.pk}/analyses/", {"full_scale_vrms": "2 V"})
    run_waiting()
    text = editor.get(f"{LIST}{evidence.pk}/").content.decode()
    assert "THD+N" in text
    assert "How each was found" in text
    assert "full-scale sine" in text
    assert "full scale 2 V" in text


def test_a_refused_capture_says_why(editor: Client) -> None:
    evidence = kept(editor, b"Time (s),CH1 (V)\n0,1\n1,nan\n2,3\n")
    text = editor.get(f"{LIST}{evidence.pk}/").content.decode()
    assert "No numbers:" in text
    assert "nan in line 3" in text


def test_a_photo_is_shown_in_its_prepared_sizes(editor: Client) -> None:
    evidence = kept(editor, files.photo_taken_somewhere(), "photo.jpg")
    for address in ("content/", "picture/320.webp", "picture/1280.webp"):
        answer = editor.get(f"{LIST}{evidence.pk}/{address}")
        data = b"".join(answer.streaming_content)
        assert answer.headers["Content-Type"] == "image/webp"
        assert b"invented maker" not in data
    assert "alt=" in editor.get(f"{LIST}{evidence.pk}/").content.decode()


def test_the_original_of_a_photo_is_saved_by_those_who_may_record(editor: Client, bench: Bench) -> None:
    evidence = kept(editor, files.photo_taken_somewhere(), "photo.jpg")
    answer = editor.get(f"{LIST}{evidence.pk}/original/")
    assert b"".join(answer.streaming_content) == files.photo_taken_somewhere()
    assert answer.headers["Content-Disposition"] == 'attachment; filename="photo.jpg"'
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    text = editor.get(f"{LIST}{evidence.pk}/").content.decode()
    assert "the place where it was taken included" in text
    assert "fingerprint of the file" in text
    editor.force_login(bench.reader)
    assert editor.get(f"{LIST}{evidence.pk}/original/").status_code == 403
    assert "Save the original" not in editor.get(f"{LIST}{evidence.pk}/").content.decode()


def test_a_file_whose_name_promises_something_else_is_kept_with_a_remark(editor: Client) -> None:
    odd = kept(editor, files.PDF, "capture.csv")
    text = editor.get(f"{LIST}{odd.pk}/").content.decode()
    assert "The name ends with .csv, but the content is application/pdf" in text
    usual = kept(editor, files.PDF + b" ", "sheet.pdf")
    assert "The name ends with" not in editor.get(f"{LIST}{usual.pk}/").content.decode()


def test_a_picture_that_cannot_be_prepared_does_not_wait_for_ever(editor: Client) -> None:
    _add(editor, ("photo.png", files.picture()))
    evidence = Evidence.objects.get()
    storage.original(evidence.sha256).unlink()
    for _ in range(MOST_ATTEMPTS):
        Job.objects.update(leased_until=None)
        run_waiting()
    text = editor.get(f"{LIST}{evidence.pk}/").content.decode()
    assert "cannot be shown" in text
    assert "being prepared" not in text
    assert editor.get(f"{LIST}{evidence.pk}/state/").json()["at_work"] is False


@pytest.mark.parametrize(
    ("name", "data", "media_type"),
    [
        ("page.html", files.PAGE, "text/plain"),
        ("drawing.svg", files.DRAWING, "text/plain"),
        ("sheet.pdf", files.PDF, "application/pdf"),
        ('quo"te\r\n.csv', files.sweep(), "text/csv"),
    ],
)
def test_nothing_sent_is_ever_shown_as_a_page(
    editor: Client, name: str, data: bytes, media_type: str
) -> None:
    evidence = kept(editor, data, name)
    answer = editor.get(f"{LIST}{evidence.pk}/content/")
    assert answer.headers["Content-Type"] == media_type
    assert answer.headers["Content-Disposition"].startswith("attachment")
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert b"".join(answer.streaming_content) == data


def test_the_viewer_gets_a_range(editor: Client) -> None:
    evidence = kept(editor, files.square_wave(20_000, glitch_at=12_345))
    view = editor.get(f"{LIST}{evidence.pk}/view/?start=0.012&stop=0.013&buckets=50").json()
    assert len(view["low"]) == len(view["high"]) == len(view["x"]) <= 50
    assert max(view["high"]) == 9
    assert (view["unit"], view["x_unit"]) == ("V", "s")


@pytest.mark.parametrize("query", ["channel=9", "buckets=0", "buckets=2001", "start=x", "start=2&stop=1"])
def test_a_range_that_cannot_be_is_refused(editor: Client, query: str) -> None:
    evidence = kept(editor, files.square_wave())
    assert editor.get(f"{LIST}{evidence.pk}/view/?{query}").status_code == 400


def test_the_table_shows_the_range_and_trace_asked_for_without_scripts(editor: Client) -> None:
    rows = "".join(f"{place},{place},{-place}\n" for place in range(1000))
    evidence = kept(editor, f"Time (ms),up (V),down (V)\n{rows}".encode())
    text = editor.get(f"{LIST}{evidence.pk}/?channel=2&start=0.100&stop=0.109").content.decode()
    table = text.split("<table>")[1].split("</table>")[0]
    assert 'scope="col" class="right">down lowest, V</th>' in table
    assert table.count('scope="row"') == 10
    assert ">100</th>" in table
    assert ">-109</td>" in table


def test_a_recording_opens_with_its_level_and_has_a_spectrum(editor: Client) -> None:
    evidence = kept(editor, files.tone(), "tone.wav")
    text = editor.get(f"{LIST}{evidence.pk}/").content.decode()
    assert 'data-of="level"' in text
    assert "a full-scale sine is 0 dBFS" in text
    spectrum = editor.get(f"{LIST}{evidence.pk}/?of=spectrum").content.decode()
    assert "Blackman-Harris window over 48000 samples" in spectrum
    assert "channel 1 highest, dBFS" in spectrum


def test_a_single_line_of_a_spectrum_stays_visible_however_far_it_is_thinned(editor: Client) -> None:
    evidence = kept(editor, files.tone(frames=480_000), "tone.wav")
    view = editor.get(f"{LIST}{evidence.pk}/view/?of=spectrum&axis=log&buckets=40").json()
    # 0.5 of full scale.
    assert max(view["high"]) == pytest.approx(-6.02, abs=0.05)
    assert view["unit"] == "dBFS"


@pytest.mark.parametrize("query", ["of=colour", "of=level", "axis=round"])
def test_a_drawing_that_is_not_there_is_refused(editor: Client, query: str) -> None:
    evidence = kept(editor, files.square_wave())
    assert editor.get(f"{LIST}{evidence.pk}/view/?{query}").status_code == 400


def test_an_analysis_can_be_asked_for_again_otherwise(editor: Client) -> None:
    evidence = kept(editor, files.sweep())
    answer = editor.post(f"{LIST}{evidence.pk}/analyses/", {"at_hz": "2 kHz", "mask": "20,-1,1\n900,-4,1"})
    run_waiting()
    text = editor.get(answer.headers["Location"]).content.decode()
    assert "Inside the mask" in text
    assert 'class="mask" d="M' in text


def test_a_parameter_that_cannot_be_read_is_named(editor: Client) -> None:
    evidence = kept(editor, files.sweep())
    answer = editor.post(f"{LIST}{evidence.pk}/analyses/", {"at_hz": "fast"})
    assert answer.status_code == 400
    assert 'id="id_at_hz_error"' in answer.content.decode()


@pytest.mark.parametrize(
    "address",
    [
        "",
        "new/",
        "{}/",
        "{}/content/",
        "{}/original/",
        "{}/view/",
        "{}/state/",
        "{}/picture/320.webp",
        "{}/edit/",
    ],
)
def test_a_stranger_finds_nothing(editor: Client, bench: Bench, address: str) -> None:
    evidence = kept(editor, files.sweep())
    editor.force_login(bench.stranger)
    assert editor.get(LIST + address.format(evidence.pk)).status_code == 404


def test_a_file_of_another_project_is_not_found(editor: Client, bench: Bench) -> None:
    evidence = kept(editor, files.sweep())
    from logbook.projects.commands import create_project

    create_project(actor=bench.actor, owner=bench.editor, slug="other", name="Other")
    assert editor.get(f"/p/other/evidence/{evidence.pk}/content/").status_code == 404


def test_a_reader_looks_but_adds_nothing(editor: Client, bench: Bench) -> None:
    evidence = kept(editor, files.sweep())
    editor.force_login(bench.reader)
    assert editor.get(f"{LIST}{evidence.pk}/").status_code == 200
    assert _add(editor, ("a.csv", files.sweep())).status_code == 403
    assert editor.post(f"{LIST}{evidence.pk}/analyses/", {}).status_code == 403


def test_a_long_list_costs_the_same_queries(editor: Client, django_assert_max_num_queries: Any) -> None:
    for row in range(5):
        _add(editor, (f"{row}.txt", b"note %d" % row))
    with django_assert_max_num_queries(6):
        editor.get(LIST)


def test_the_list_is_filtered_and_exported(editor: Client) -> None:
    _add(editor, ("a.csv", files.sweep()), ("b.wav", files.tone()))
    assert "b.wav" in editor.get(f"{LIST}?kind=audio").content.decode()
    assert "b.wav" not in editor.get(f"{LIST}?kind=sweep").content.decode()
    assert editor.get("/p/tern/evidence.csv?kind=audio").content.decode().count("\n") == 2
