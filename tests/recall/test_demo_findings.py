"""The findings of the invented demo end where the story leaves them."""

from __future__ import annotations

import pytest

from logbook.boards.queries import board_of
from logbook.findings.models import Finding
from logbook.findings.queries import OPEN, errata_of, findings_of, findings_of_board, life_of
from logbook.projects.models import Project
from logbook.projects.queries import revision_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


@pytest.fixture
def saltlark(demo: None) -> Project:
    return Project.objects.get(slug="saltlark")


def keys(findings: object) -> list[str]:
    return sorted(finding.key for finding in findings)  # type: ignore[attr-defined]


def some(*numbers: int) -> list[str]:
    return [f"F-{number:02d}" for number in numbers]


def test_all_nineteen_are_there(saltlark: Project) -> None:
    assert keys(findings_of(saltlark)) == some(*range(1, 20))


@pytest.mark.parametrize(
    ("state", "numbers"),
    [
        ("suspected", [17]),
        ("decided", [12, 13, 16, 18]),
        ("built", [6, 19]),
        ("proven", [1, 2, 3, 4, 5, 7, 8, 9, 10, 11, 14, 15]),
        (OPEN, [6, 12, 13, 16, 17, 18, 19]),
    ],
)
def test_each_stands_where_the_story_leaves_it(saltlark: Project, state: str, numbers: list[int]) -> None:
    assert keys(findings_of(saltlark, {"state": state})) == some(*numbers)


def test_the_board_in_hand_has_its_own_open_ones(saltlark: Project) -> None:
    on_0006 = findings_of_board(board_of(saltlark, "0006")).filter(done=0)
    assert keys(on_0006) == some(12, 13, 16, 17, 18)
    assert keys(on_0006.filter(found_on__serial="0006")) == some(16, 17, 18)


def test_crossed_addresses_are_a_library_fault_proven_on_the_new_board(saltlark: Project) -> None:
    crossed = Finding.objects.get(project=saltlark, key="F-15")
    assert crossed.cause_family == "library pin-out or footprint"
    assert crossed.severity == "S2"
    proof = life_of(crossed)[-1]
    assert proof.measurement is not None
    assert proof.measurement.target is not None
    said = (proof.state, proof.measurement.target.key, proof.measurement.board.serial)
    assert said == ("proven", "MEM-2", "0006")


def test_every_proof_is_a_passing_reading_of_the_design(saltlark: Project) -> None:
    proofs = [life_of(finding)[-1] for finding in findings_of(saltlark, {"state": "proven"})]
    assert {proof.measurement.verdict for proof in proofs if proof.measurement} == {"pass"}
    assert {proof.measurement.board.serial for proof in proofs if proof.measurement} == {
        "0003",
        "0004",
        "0006",
    }


@pytest.mark.parametrize(
    ("label", "numbers"),
    [
        ("A", [1, 2, 3, 4, 5, 6, 14, 15]),
        ("B", [7, 8, 9, 10, 11, 12, 13, 14, 15, 19]),
        ("C", [12, 13, 16, 18]),
        ("D", []),
    ],
)
def test_a_revision_publishes_its_errata(saltlark: Project, label: str, numbers: list[int]) -> None:
    assert keys(errata_of(revision_of(saltlark, label))) == some(*numbers)


def test_the_worst_erratum_of_revision_b_stands_first(saltlark: Project) -> None:
    assert errata_of(revision_of(saltlark, "B"))[0].key == "F-14"


def test_a_finding_can_damage_what_is_connected_twice(saltlark: Project) -> None:
    assert keys(findings_of(saltlark, {"severity": "S1"})) == some(3, 14)
