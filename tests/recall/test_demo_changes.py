"""What the revisions of the invented demo changed, and what that makes stale or carries over."""

from __future__ import annotations

from datetime import date

import pytest

from logbook.boards.models import ReworkFoldedIn
from logbook.common.errors import NotThereYetError
from logbook.core.state import State
from logbook.planning.queries import CoverageRow, coverage_of, open_risks_of
from logbook.projects.models import Change, Revision

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]

# Told by the story of the demo: F-01 to F-06, the eleven of C, and the draft of D.
TOUCHED = {
    "B": {"F-01": "RLD", "F-02": "MCU", "F-03": "RLA", "F-04": "BUS", "F-05": "MON", "F-06": "MEC UI"},
    "C": {
        "F-07": "CLK",
        "F-08": "AFE",
        "F-09": "EMC RLD",
        "F-10": "MEC",
        "F-11": "COM RLD",
        "F-14": "MEC",
        "F-15": "MEM",
        "F-19": "COM MEC",
        "SB2": "EMC RLD",
        "TP15": "",
        "TP16": "",
    },
    "D": {"F-12": "", "F-13": "RLA", "F-17": "", "F-18": "MEC", "J7-CLAMP": "COM EMC"},
}


def revision(label: str) -> Revision:
    return Revision.objects.get(project__slug="saltlark", label=label)


def rows(label: str, as_of: date | None = None) -> dict[str, CoverageRow]:
    return {row.target.key: row for row in coverage_of(revision(label), as_of=as_of).rows}


def keys_in(label: str, state: State) -> set[str]:
    return {key for key, row in rows(label).items() if row.state == state}


@pytest.mark.parametrize("label", TOUCHED)
def test_each_revision_records_what_it_changed_and_touched(label: str) -> None:
    changes = Change.objects.filter(revision=revision(label)).prefetch_related("subsystems")
    found = {one.key: " ".join(sorted(sub.key for sub in one.subsystems.all())) for one in changes}
    assert found == TOUCHED[label]


def test_reworks_of_a_and_b_became_part_of_the_next_drawing() -> None:
    pairs = ReworkFoldedIn.objects.values_list("rework__key", "rework__board__serial", "change__key")
    assert set(pairs) == {
        ("RW-01", "0002", "F-01"),
        ("RW-02", "0001", "F-02"),
        ("RW-02", "0002", "F-02"),
        ("RW-03", "0002", "F-03"),
        ("RW-04", "0002", "F-04"),
        ("RW-05", "0004", "F-07"),
        ("RW-06", "0005", "F-09"),
        ("RW-08", "0004", "F-15"),
    }


@pytest.mark.parametrize(
    ("label", "target", "state", "reason"),
    [
        ("C", "UI-1", "carried over", "verified on B; no change since comes within two steps of UI"),
        ("C", "CLK-6", "stale", "verified on B; F-07 of C touches CLK: weight 0"),
        ("C", "MON-5", "stale", "verified on B; F-08 of C touches AFE, one step from MON: weight 0.5"),
        ("C", "THM-1", "stale", "verified on B; F-15 of C touches MEM, one step from THM: weight 0.5"),
        ("D", "RLD-2", "carried over", "verified on C; no change since comes within two steps of RLD"),
        ("D", "RLA-7", "stale", "failed on C; F-13 of D touches RLA: fix unproven"),
        ("D", "MON-1", "stale", "verified on C; F-13 of D touches RLA, two steps from MON: weight 0.8"),
        ("D", "COM-4", "stale", "verified on C; J7-CLAMP of D touches COM: weight 0"),
        ("D", "MEC-3", "stale", "failed on C; F-18 of D touches MEC: fix unproven"),
    ],
)
def test_a_state_explains_itself_back_to_its_reading(
    label: str, target: str, state: str, reason: str
) -> None:
    row = rows(label)[target]
    assert (row.state, row.reason) == (state, reason)


def test_an_accepted_fault_says_what_stands_beneath() -> None:
    row = rows("C")["MEM-11"]
    assert (row.state, row.beneath) == ("waived", "stale")
    assert row.reason.endswith("failed on B; F-15 of C touches MEM: fix unproven")


def test_reverse_polarity_is_carried_over_to_c_with_an_argument_and_a_name() -> None:
    row = rows("C")["PIN-2"]
    assert row.state == "carried over"
    assert row.reason.startswith("verified on B; carried over by iv: Reverse FET")


def test_the_open_cause_of_the_slow_clock_still_fails_on_d() -> None:
    row = rows("D")["CLK-7"]
    assert row.state == "failing"
    assert row.reason.startswith("inherited from C: 0006: -4.1 s/day fail")


def test_the_draft_makes_the_buoy_link_the_end_plate_and_the_analogue_rails_stale() -> None:
    stale = keys_in("D", State.STALE)
    blocks = {"COM-1", "COM-2", "COM-3", "COM-4", "COM-5", "MEC-2", "MEC-4", "EMC-3"}
    assert stale >= blocks | {f"RLA-{number}" for number in range(1, 8)}


def test_nine_targets_were_never_tried_on_any_revision() -> None:
    nine = {"MEM-5", "MEM-8", "COM-6", "COM-7", "MEC-5", "EMC-1", "EMC-2", "THM-2", "THM-3"}
    assert keys_in("C", State.NEVER_TRIED) == keys_in("D", State.NEVER_TRIED) == nine


def test_proven_evidence_that_no_change_came_near_to_leaves_no_risk_on_d() -> None:
    carried = keys_in("D", State.CARRIED_OVER)
    at_risk = {row.subject for row in open_risks_of(revision("D")).rows}
    assert carried
    assert carried & at_risk == set()


def test_a_stale_row_mixes_the_old_readings_with_the_base_rate() -> None:
    found = next(row for row in open_risks_of(revision("C")).rows if row.subject == "MON-5")
    assert found.kind == "stale"
    assert found.probability_basis.startswith("0.5 × ")


def test_a_day_before_the_changes_were_recorded_knows_nothing_of_them() -> None:
    with pytest.raises(NotThereYetError, match="revision C was not there on 2024-08-27"):
        rows("C", date(2024, 8, 27))
    assert {row.state for row in rows("C", date(2024, 8, 28)).values()} > {"carried over", "stale"}
