"""Adding files, and what becomes of them in the background."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from logbook.common.errors import InvalidInputError
from logbook.common.jobs import run_waiting
from logbook.common.models import ChangeRecord
from logbook.evidence import storage
from logbook.evidence.commands import ask_analysis, change_evidence
from logbook.evidence.models import Analysis, Evidence
from tests.builders import Bench, build_bench
from tests.evidence import files
from tests.evidence.conftest import Adder

pytestmark = pytest.mark.django_db


def test_it_keeps_the_file_as_it_was_given(add: Adder) -> None:
    data = files.photo_taken_somewhere()
    evidence = add(data, "bench.jpg")
    run_waiting()
    assert storage.original(evidence.sha256).read_bytes() == data
    assert (evidence.kind, evidence.media_type, evidence.size) == ("photo", "image/jpeg", len(data))


def test_it_keeps_the_same_file_for_the_same_place_once(add: Adder, bench: Bench) -> None:
    first, again = add(files.sweep(), board=bench.board), add(files.sweep(), board=bench.board)
    assert first == again
    assert Analysis.objects.count() == 1


def test_the_same_file_for_another_board_is_stored_once_and_shown_twice(add: Adder, bench: Bench) -> None:
    add(files.sweep(), board=bench.board)
    add(files.sweep(), board=bench.extra_board("0002"))
    assert Evidence.objects.count() == 2
    assert len(set(Evidence.objects.values_list("sha256"))) == 1


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("../../etc/passwd", "passwd"),
        ("C:\\bench\\scope.csv", "scope.csv"),
        ("a\nb\x00.csv", "ab.csv"),
        ("photo\u202egpj.exe", "photogpj.exe"),
        ("x" * 300 + ".csv", "x" * 196 + ".csv"),
        ("Ω-meter µV.csv", "Ω-meter µV.csv"),
    ],
)
def test_it_cleans_names(add: Adder, given: str, kept: str) -> None:
    assert add(files.sweep(), given).name == kept


@pytest.mark.parametrize("name", ["", "..", "a/..", "\x00"])
def test_it_refuses_a_file_without_a_name(add: Adder, name: str) -> None:
    with pytest.raises(InvalidInputError, match="no name"):
        add(files.sweep(), name)


def test_it_refuses_a_board_of_another_project(add: Adder) -> None:
    other = build_bench("other")
    with pytest.raises(InvalidInputError, match="another project"):
        add(files.sweep(), board=other.board)


def test_it_refuses_what_it_cannot_read_and_keeps_nothing(add: Adder) -> None:
    with pytest.raises(InvalidInputError):
        add(files.POLYGLOT)
    assert not Evidence.objects.exists()


def test_it_notes_who_added_what(add: Adder, bench: Bench) -> None:
    evidence = add(files.sweep(), "low-pass.csv")
    note = ChangeRecord.objects.get(kind="evidence", object_id=evidence.pk)
    assert (note.action, note.title, note.actor) == ("added", "low-pass.csv", bench.owner)


def test_the_caption_can_be_changed(add: Adder, bench: Bench) -> None:
    evidence = add(files.sweep())
    change_evidence(actor=bench.actor, evidence=evidence, caption=" with the lid on ")
    evidence.refresh_from_db()
    assert evidence.caption == "with the lid on"


def test_a_photo_is_not_analysed(add: Adder, bench: Bench) -> None:
    evidence = add(files.picture())
    with pytest.raises(InvalidInputError, match="a photo is not analysed"):
        ask_analysis(actor=bench.actor, evidence=evidence, parameters={})


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"colour": "red"}, "colour"),
        ({"at_hz": "fast"}, "at_hz"),
        ({"at_hz": "-1 kHz"}, "at_hz"),
        ({"at_hz": "3 V"}, "at_hz"),
        ({"band_low_hz": 20}, "band_high_hz"),
        ({"band_low_hz": 200, "band_high_hz": 20}, "band_high_hz"),
        ({"mask": "nonsense"}, "mask"),
        ({"gain_unit": "cubits"}, "gain_unit"),
    ],
)
def test_it_names_the_parameter_that_cannot_be_read(
    add: Adder, bench: Bench, given: dict[str, object], field: str
) -> None:
    evidence = add(files.sweep())
    with pytest.raises(InvalidInputError) as refused:
        ask_analysis(actor=bench.actor, evidence=evidence, parameters=given)
    assert refused.value.problems[0].field == field


def test_the_check_of_everything_names_an_altered_file(add: Adder) -> None:
    evidence = add(files.sweep(), "low-pass.csv")
    call_command("verify", stdout=StringIO())
    path = storage.original(evidence.sha256)
    path.chmod(0o644)
    path.write_bytes(b"something else")
    told = StringIO()
    with pytest.raises(CommandError, match="1 differences"):
        call_command("verify", stdout=told)
    assert "(low-pass.csv): kept SHA-256" in told.getvalue()
    assert "the file is missing or was altered" in told.getvalue()
