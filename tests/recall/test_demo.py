"""The readings of the invented demo, and what follows from them."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from logbook.bench.models import CurrentResult, Measurement, Target
from logbook.bench.queries.calibration import calibration_record
from logbook.bench.queries.evaluation import direct_needs
from logbook.core.graph import closure, fan_out
from logbook.planning.queries import coverage_of, open_risks_of
from logbook.projects.models import Project, Revision

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]

SALTLARK = {"project__slug": "saltlark"}
SHELVED = date(2021, 12, 3)
NEVER_RUN = {"MEM-5", "MEM-8", "COM-6", "COM-7", "MEC-5", "EMC-1", "EMC-2", "THM-2", "THM-3"}
RUN_LATER = {"MEM-1", "MEM-2", "MEM-3", "MEM-4", "MEM-6", "MEM-7", "MEC-4"}
BLOCKS = {
    "PIN": (6, 6, 5),
    "RLD": (8, 10, 10),
    "RLA": (6, 7, 7),
    "HYS": (3, 4, 4),
    "MCU": (5, 6, 6),
    "CLK": (3, 7, 6),
    "MEM": (1, 9, 8),
    "BUS": (4, 4, 4),
    "AFE": (5, 13, 6),
    "MON": (3, 6, 2),
    "COM": (2, 5, 3),
    "UI MEC": (5, 7, 3),
    "EMC THM": (0, 2, 1),
}


def targets_run(revision: str, until: date = date.max) -> set[str]:
    """Return the keys of the targets with a standing reading on a revision, up to a day."""
    readings = Measurement.objects.filter(
        project__slug="saltlark",
        board__revision__label__in=revision,
        target__isnull=False,
        withdrawn_at__isnull=True,
        taken_at__date__lte=until,
    )
    return set(readings.values_list("target__key", flat=True))


def reading(board: str, target: str, text: str) -> Measurement:
    """Return the one reading of a board and target with the text as typed."""
    return Measurement.objects.select_related("bench_session").get(
        project__slug="saltlark", board__serial=board, target__key=target, text=text
    )


def current(board: str, target: str, point: str = "") -> CurrentResult:
    """Return the current result of a cell."""
    return CurrentResult.objects.select_related("found", "designed").get(
        project__slug="saltlark", board__serial=board, target__key=target, point=point
    )


def needs_of_targets() -> dict[int, set[int]]:
    """Return what each target of Saltlark needs directly."""
    project = Project.objects.get(slug="saltlark")
    return direct_needs(project, project.targets.values_list("pk", flat=True))


def revision(label: str) -> Revision:
    """Return a revision of Saltlark."""
    return Revision.objects.get(project__slug="saltlark", label=label)


def state(label: str, target: str, as_of: date | None = None) -> tuple[str, str]:
    """Return the state and reason of a target on a revision."""
    rows = coverage_of(revision(label), as_of=as_of).rows
    row = next(row for row in rows if row.target.key == target)
    return row.state, row.reason


@pytest.mark.parametrize(("label", "count"), [("A", 51), ("B", 86), ("C", 65)])
def test_it_has_run_the_promised_number_of_targets_on_each_revision(label: str, count: int) -> None:
    assert len(targets_run(label)) == count


def test_it_had_run_eighty_targets_on_b_when_it_was_shelved() -> None:
    assert len(targets_run("B", SHELVED)) == 80


@pytest.mark.parametrize(("block", "counts"), BLOCKS.items(), ids=BLOCKS)
def test_it_has_run_the_promised_targets_of_each_block(block: str, counts: tuple[int, int, int]) -> None:
    run = tuple(sum(key.split("-")[0] in block.split() for key in targets_run(label)) for label in "ABC")
    assert run == counts


def test_it_has_96_targets_of_which_nine_were_never_run() -> None:
    keys = set(Target.objects.filter(project__slug="saltlark").values_list("key", flat=True))
    assert len(keys) == 96
    assert keys - targets_run("ABC") == NEVER_RUN


def test_sixteen_targets_were_never_run_when_it_was_shelved() -> None:
    keys = set(Target.objects.filter(project__slug="saltlark").values_list("key", flat=True))
    assert keys - targets_run("ABC", SHELVED) == NEVER_RUN | RUN_LATER


@pytest.mark.parametrize(
    ("board", "target", "text", "verdict", "day"),
    [
        ("0001", "RLD-2", "3.181", "fail", "2020-10-20"),
        ("0002", "RLD-2", "3.184", "fail", "2020-10-21"),
        ("0002", "RLD-2", "3.321", "pass", "2020-10-21"),
        ("0003", "RLD-2", "3.322", "pass", "2021-05-18"),
        ("0002", "RLA-2", "-4.992", "pass", "2020-10-27"),
        ("0002", "RLA-4", "36.2", "pass", "2020-10-27"),
        ("0004", "RLA-4", "38.6", "conditional pass", "2021-06-22"),
        ("0004", "CLK-2", "2.3", "fail", "2021-06-22"),
        ("0004", "CLK-2", "6.2", "pass", "2021-06-22"),
        ("0003", "COM-4", "-5.9", "pass", "2021-07-02"),
        ("0003", "RLD-9", "1.90", "fail", "2021-07-02"),
        ("0004", "MEM-11", "1.4", "fail", "2021-07-02"),
        ("0005", "EMC-3", "-98", "fail", "2021-08-17"),
        ("0005", "EMC-3", "-114", "pass", "2021-08-17"),
        ("0004", "RLA-7", "34", "fail", "2021-11-26"),
        ("0004", "MEM-2", "6144", "fail", "2024-06-20"),
        ("0004", "MEM-2", "0", "pass", "2024-06-20"),
        ("0006", "AFE-7", "-94", "pass", "2024-11-14"),
        ("0006", "CLK-7", "-4.1", "fail", "2024-10-18"),
        ("0006", "MEC-4", "yes", "pass", "2024-10-15"),
    ],
)
def test_it_keeps_the_readings_of_the_story(
    board: str, target: str, text: str, verdict: str, day: str
) -> None:
    one = reading(board, target, text)
    assert (one.verdict, f"{one.taken_at:%Y-%m-%d}", one.via) == (verdict, day, "demo")


def test_a_logic_level_on_j7_of_0005_does_not_count_against_b() -> None:
    cell = current("0005", "COM-4")
    assert (cell.found.text, cell.found_verdict, cell.not_counted) == (
        "3.2",
        "fail",
        "RW-07 (modification) in force",
    )
    assert cell.designed is not None
    assert cell.designed.text == "-5.9"


def test_readings_on_0001_after_its_low_rail_are_shown_as_such_and_do_not_count() -> None:
    rail = Target.objects.get(key="RLD-2", **SALTLARK)
    needing = [pk for pk, below in closure(needs_of_targets()).items() if rail.pk in below]
    cells = CurrentResult.objects.filter(board__serial="0001", target_id__in=needing, **SALTLARK)
    reasons = {cell.target.key: cell.not_counted for cell in cells.select_related("target")}
    assert len(reasons) >= 5
    # A rework of the microcontroller's straps is the nearer reason for its own readings.
    assert all("RLD-2 failed here" in why for key, why in reasons.items() if not key.startswith("MCU"))
    assert reasons["AFE-9"] == "taken while RLA-2, RLD-2 failed here"


@pytest.mark.parametrize(("target", "clock"), [("MEM-2", 100), ("MEM-7", 110)])
def test_wires_on_the_memory_prove_nothing_at_full_clock(target: str, clock: int) -> None:
    one = reading("0004", target, "inconclusive")
    assert (one.outcome, one.verdict, one.conditions["sdram_mhz"]) == ("inconclusive", "", clock)


def test_the_reading_with_the_wrong_probe_is_withdrawn_with_a_reason() -> None:
    wrong = reading("0002", "RLD-5", "118")
    assert wrong.bench_session is not None
    assert wrong.bench_session.title.startswith("S02")
    assert wrong.withdrawn_at == datetime(2020, 10, 21, 22, 35, tzinfo=UTC)
    assert "probe" in wrong.withdrawn_because
    assert current("0002", "RLD-5").found.text == "11.8"


def test_controls_on_a_were_only_seen_working() -> None:
    outcomes = Measurement.objects.filter(
        board__revision__label="A", target__key__startswith="UI-", **SALTLARK
    )
    assert list(outcomes.values_list("outcome", "verdict")) == [("seen working", "")] * 4


def test_eleven_readings_of_the_overdue_meter_are_flagged_and_cleared() -> None:
    record = calibration_record()
    flags = {
        one.pk: flag
        for one in Measurement.objects.select_related("instrument")
        if (flag := record.flag(one.instrument_id, one.taken_at))
    }
    assert len(flags) == 11
    assert {flag.says for flag in flags.values()} == {"DMM-1 was overdue, cleared by SKC-2021-019"}
    titles = Measurement.objects.filter(pk__in=flags).values_list("bench_session__title", flat=True)
    assert {title[:3] for title in titles} == {"S06"}


def test_eleven_targets_wait_for_the_data_bus_walk() -> None:
    walk = Target.objects.get(key="MEM-1", **SALTLARK)
    assert fan_out(needs_of_targets())[walk.pk] == 11


@pytest.mark.parametrize(
    ("label", "target", "as_of", "expected"),
    [
        ("A", "RLD-2", None, "failing"),
        ("A", "UI-1", None, "seen working"),
        ("B", "RLA-4", None, "marginal"),
        ("B", "RLD-2", None, "verified"),
        ("B", "COM-4", None, "verified"),
        ("B", "MEM-5", SHELVED, "blocked"),
        ("B", "MEM-2", None, "failing"),
        ("C", "MEM-5", None, "never tried"),
        ("C", "MEM-2", None, "verified"),
    ],
)
def test_states_follow_from_the_readings(label: str, target: str, as_of: date | None, expected: str) -> None:
    assert state(label, target, as_of)[0] == expected


def test_the_soak_was_behind_the_march_when_it_was_shelved() -> None:
    assert "MEM-4" in state("B", "MEM-5", SHELVED)[1]


def test_the_memory_stood_first_among_the_risks_before_it_was_tested() -> None:
    first = open_risks_of(revision("B"), as_of=date(2024, 6, 19)).rows[0]
    assert (first.subject, first.fan_out, first.level) == ("MEM-1", 11, "High")
