"""Codes of labels: what they say, and what they lead to."""

from __future__ import annotations

import pytest

from logbook.common.errors import NotFoundError
from logbook.core.check_character import check_character
from logbook.projects.models import Project
from logbook.recall.labels.codes import code_of, places_of, read_code
from tests.boards.choices_of_tern import add_link, add_mode
from tests.builders import Bench, build_bench


def named(project: Project, code: str) -> None:
    Project.objects.filter(pk=project.pk).update(code=code)
    project.refresh_from_db()


def test_a_code_is_what_is_written_on_the_board_and_a_check_character(bench: Bench) -> None:
    named(bench.project, "TRN")
    bench.board.project = bench.project
    code = code_of(bench.board)
    assert code.text == f"TRN 0001 A · {check_character('TRN0001A')}"
    assert code.path == f"/B/TRN/0001/A/{check_character('TRN0001A')}"


@pytest.mark.parametrize("unfit", ["", "Tern 2", "T/N", "ÄÖ"])
def test_a_project_without_a_code_that_can_be_typed_gives_its_slug(bench: Bench, unfit: str) -> None:
    named(bench.project, unfit)
    bench.board.project = bench.project
    assert code_of(bench.board).text.startswith("TERN 0001 A · ")


@pytest.mark.parametrize(
    "written", ["{0} {1} {2} · {3}", "{0} {1} {2} {3}", "{0}/{1}/{2}/{3}", " {0}  {1} {2} ·{3} "]
)
def test_a_code_is_read_however_it_is_typed(bench: Bench, written: str) -> None:
    code = code_of(bench.board)
    typed = written.format(*code.parts, code.check).lower()
    assert [place.board for place in places_of(bench.reader, read_code(typed))] == [bench.board]


def test_a_connector_has_a_code_of_its_own(bench: Bench) -> None:
    connector = add_link(bench, add_mode(bench))
    code = code_of(bench.board, connector)
    assert code.text.startswith("TERN 0001 A J7 · ")
    (place,) = places_of(bench.reader, read_code(code.text))
    assert (place.board, place.connector) == (bench.board, connector)


def test_a_mistyped_code_is_told(bench: Bench) -> None:
    typed = code_of(bench.board).text.replace("0001", "0002")
    right, wrong = check_character("TERN0002A"), check_character("TERN0001A")
    with pytest.raises(NotFoundError, match=f"mistyped: after TERN 0002 A comes {right}, not {wrong}"):
        read_code(typed)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("tern 0001 a", "lacks its check character: after TERN 0001 A comes"),
        ("tern 0001 a j7", "lacks its check character: after TERN 0001 A J7 comes"),
        ("tern 0001 a j7 xx", "ends in XX instead of its check character"),
        ("tern 0001", "has 2 parts; a code is project"),
        ("0001", "has 1 part; a code"),
    ],
)
def test_what_is_missing_is_named(typed: str, says: str) -> None:
    with pytest.raises(NotFoundError, match=says):
        read_code(typed)


@pytest.mark.parametrize("typed", ["", "A B C D E F", "· / ·", "Ä Ö Ü ß", "Ä Ö Ü", "\x00 \x00 \x00 0"])
def test_what_is_no_code_is_told(typed: str) -> None:
    with pytest.raises(NotFoundError):
        read_code(typed)


def test_a_stranger_learns_nothing(bench: Bench) -> None:
    with pytest.raises(NotFoundError, match="no project of yours"):
        places_of(bench.stranger, code_of(bench.board))


def test_the_page_is_found_when_the_revision_was_corrected(bench: Bench) -> None:
    code = code_of(bench.board)
    bench.revision.label = "A2"
    bench.revision.save()
    assert len(places_of(bench.reader, code)) == 1


def test_projects_that_share_a_code_are_both_named(bench: Bench) -> None:
    other = build_bench("gull")
    for one in (bench, other):
        named(one.project, "TRN")
    bench.project.memberships.create(user=other.reader, role="reader")
    bench.board.project = bench.project
    places = places_of(other.reader, code_of(bench.board))
    assert [place.board for place in places] == [bench.board, other.board]
    assert len(places_of(bench.reader, code_of(bench.board))) == 1
