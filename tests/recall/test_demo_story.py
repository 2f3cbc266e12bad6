"""The story of the invented demo: what its people did, and what its pages then say of it."""

from __future__ import annotations

from datetime import date
from io import StringIO

import pytest
from django.core.management import call_command
from django.db.models import F, Q

from logbook.accounts.models import User
from logbook.bench.models import BenchSession, Measurement, ReworkEvidence, Target
from logbook.boards.models import Board, BoardEvent, OptionSetting, Rework
from logbook.boards.queries import boards_of
from logbook.evidence.models import Evidence
from logbook.lessons.models import LessonAnswer
from logbook.planning.queries import bench_plan_of, coverage_of, open_risks_of, readiness_of
from logbook.projects.models import Connector, ProjectStateEvent, Revision, SubsystemDependency
from logbook.recall.demo import DEMO_PASSWORD
from logbook.recall.labels.content import labels_of
from logbook.recall.timeline.days import lines_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]

SALTLARK = {"project__slug": "saltlark"}
# What the story says is missing before D may be ordered, by why it stands in the way.
MISSING_ON_D = {
    "acceptance lapsed": "F-12 F-13",
    "lesson not answered": "HRB-L3 SLK-L1 SLK-L2",
    "not decided, never tried": "COM-7 EMC-1 EMC-2 MEM-5 MEM-8 THM-2 THM-3",
    "not decided, stale": "CLK-6 EMC-3 MEC-4 MON-1 MON-4 MON-5 RLA-1 RLA-2 RLA-3 THM-1",
    "not decided, open finding": "F-16 F-19",
    "not decided, rework not folded in": "RW-07",
    "not decided, option left open": "BT1",
    "not decided, lesson not answered": "HRB-L4 HRB-L5 SLK-L3 SLK-L4",
}
# Photo, then its board, sitting, finding and rework.
PHOTOS = """
0001-top-fresh               0001 S01 -    -
0002-3v3-ramp                0002 S02 F-01 -
0002-r9-wire-to-tp14         0002 S03 F-02 RW-02
0002-u14-dead-bug            0002 S03 F-03 RW-03
0002-i2c-before-and-after    0002 S04 F-04 RW-04
0004-crystal-series-resistor 0004 S07 F-07 -
0004-spectrum-11k7           0004 S09 F-09 -
0004-heat-picture            0004 S10 F-13 -
0005-j7-corrosion            0005 -   F-19 -
end-plate-3v3-uart           -    S11 F-14 -
buoy-cable-opened            -    S11 F-14 -
0004-sdram-cuts-and-wires    0004 S12 F-15 RW-08
0006-r88-and-r89             0006 S13 F-16 -
0006-latch-and-pillar        0006 S13 F-18 -
"""


def revision(label: str) -> Revision:
    return Revision.objects.select_related("project").get(label=label, **SALTLARK)


def test_nothing_was_entered_later_than_it_happened() -> None:
    late = Q(recorded_at__lt=F("taken_at")) | Q(recorded_at__date__gt=F("taken_at__date"))
    assert not Measurement.objects.filter(late).exists()
    assert not Measurement.objects.filter(taken_at__lt=F("issue__issued_at")).exists()


def test_readings_of_a_bench_session_lie_within_it() -> None:
    outside = Q(taken_at__lt=F("bench_session__started_at")) | Q(taken_at__gt=F("bench_session__ended_at"))
    assert not Measurement.objects.filter(outside).exists()


def test_it_stopped_in_the_middle_of_the_fourteenth_session() -> None:
    sessions = BenchSession.objects.filter(**SALTLARK).order_by("started_at")
    assert [one.title[:3] for one in sessions] == [f"S{number:02d}" for number in range(1, 15)]
    unfinished = sessions.get(ended_at__isnull=True)
    assert unfinished.title.startswith("S14")
    assert unfinished.next_step == "Before MON-2: headphones on the dummy load first."


def test_boards_end_where_the_story_leaves_them() -> None:
    states = dict(Board.objects.filter(**SALTLARK).values_list("serial", "state"))
    assert states == {
        "0001": "quarantined",
        "0002": "in use",
        "0003": "reference",
        "0004": "in use",
        "0005": "damaged",
        "0006": "in use",
    }
    lent = BoardEvent.objects.get(board__serial="0005", state="lent")
    assert f"{lent.at:%Y-%m-%d}" == "2021-10-04"


def test_j7_is_what_was_found_on_each_board() -> None:
    settings = OptionSetting.objects.filter(option__key="J7-MODE", board__project__slug="saltlark")
    now = dict(settings.filter(in_force_until__isnull=True).values_list("board__serial", "position__name"))
    assert now == dict.fromkeys(["0001", "0002", "0003", "0004", "0006"], "R88") | {"0005": "R89"}
    assert settings.filter(board__serial="0006", position__name="R88 and R89").exists()


def test_reworks_carry_their_intents() -> None:
    rows = set(Rework.objects.values_list("key", "board__serial", "intent"))
    repairs = {("RW-01", "0002"), ("RW-02", "0001"), ("RW-02", "0002"), ("RW-03", "0002"), ("RW-04", "0002")}
    repairs |= {("RW-05", "0004"), ("RW-06", "0005"), ("RW-08", "0004")}
    others = {("RW-07", "0005", "modification"), ("RW-09", "0006", "to drawing")}
    assert rows == {(key, board, "repair") for key, board in repairs} | others


def test_the_projects_went_through_their_states() -> None:
    events = ProjectStateEvent.objects.order_by("at").values_list("project__slug", "state")
    assert list(events) == [
        ("saltlark", "active"),
        ("saltlark", "shelved"),
        ("heronbar", "active"),
        ("heronbar", "finished"),
        ("saltlark", "active"),
    ]
    reopened = ProjectStateEvent.objects.filter(**SALTLARK).latest("at")
    assert f"{reopened.at:%Y-%m-%d}" == "2024-05-06"


def test_revision_d_is_a_draft_below_c() -> None:
    draft = Revision.objects.select_related("parent").get(label="D", **SALTLARK)
    assert draft.parent is not None
    assert draft.parent.label == "C"
    assert draft.ordered_on is None


def test_memory_depends_on_processor_and_clocks() -> None:
    pairs = SubsystemDependency.objects.filter(subsystem__project__slug="saltlark", subsystem__key="MEM")
    assert set(pairs.values_list("depends_on__key", flat=True)) == {"MCU", "CLK"}


def test_a_static_hit_kills_the_first_heronbar() -> None:
    verdicts = Measurement.objects.filter(target__key="EMC-2", project__slug="heronbar").order_by("taken_at")
    assert list(verdicts.values_list("board__revision__label", "verdict")) == [
        ("HB-01", "fail"),
        ("HB-02", "pass"),
    ]
    assert Target.objects.filter(project__slug="heronbar").count() == 22


def test_every_person_of_the_demo_signs_in_with_the_printed_password() -> None:
    assert len(DEMO_PASSWORD) >= 12
    people = User.objects.filter(username__in=["iv", "tl", "wh"])
    assert [one.check_password(DEMO_PASSWORD) for one in people] == [True] * 3
    assert {one.username for one in people.filter(memberships__role="owner")} == {"iv"}


def test_loading_it_again_changes_nothing() -> None:
    before = Measurement.objects.count()
    answer = StringIO()
    call_command("load_demo", stdout=answer)
    assert "here already" in answer.getvalue()
    assert Measurement.objects.count() == before


def test_the_untested_memory_stood_first_before_it_was_tried_in_2024() -> None:
    first = open_risks_of(revision("B"), as_of=date(2024, 6, 19)).rows[0]
    assert (first.subject, first.kind, first.level) == ("MEM-1", "never tried", "High")
    assert (first.fan_out, first.boards, first.is_decided) == (11, 0, False)


def test_the_fault_was_found_before_anything_was_ordered() -> None:
    aliases = Measurement.objects.get(target__key="MEM-2", board__serial="0004", text="6144")
    ordered = revision("C").ordered_on
    assert ordered is not None
    assert aliases.taken_at.date() < ordered


def test_revision_c_stands_where_the_story_stops() -> None:
    states: dict[str, set[str]] = {}
    for row in coverage_of(revision("C")).rows:
        states.setdefault(row.state, set()).add(row.target.key)
    counts = {"verified": 62, "stale": 16, "never tried": 9, "carried over": 5, "waived": 2, "failing": 2}
    assert {state: len(keys) for state, keys in states.items()} == counts
    assert states["carried over"] == {"PIN-2", "UI-1", "UI-2", "UI-3", "UI-4"}
    assert states["failing"] == {"CLK-7", "MEC-3"}


def test_revision_d_lacks_exactly_this() -> None:
    found: dict[str, set[str]] = {}
    for one in readiness_of(revision("D")).missing:
        ground = str(one.gap.ground)
        if ground == "not decided":
            assert one.row is not None
            ground = f"{ground}, {one.row.kind}"
        found.setdefault(ground, set()).add(one.gap.subject.split(" of ")[0])
    assert found == {ground: set(keys.split()) for ground, keys in MISSING_ON_D.items()}


def test_ninety_minutes_with_0006_spare_the_only_board_of_its_revision() -> None:
    plan = bench_plan_of(revision("C"), minutes=90, serials=["0006"])
    planned = [(line.target.key, line.minutes) for line in plan.lines]
    assert {("EMC-1", 20), ("MEM-5", 10)} < set(planned)
    assert sum(minutes for _, minutes in planned) <= 90
    assert {one.target for one in plan.spared} == {"COM-7", "EMC-2", "MEC-5"}
    assert not any(line.target.stresses_board for line in plan.lines)


def test_it_was_shelved_with_three_remarks_and_lay_for_two_years_and_five_months() -> None:
    shelved, reopened = ProjectStateEvent.objects.filter(**SALTLARK).order_by("at")[1:]
    assert [name for name in ("iv:", "tl:", "wh:") if name in shelved.note] == ["iv:", "tl:", "wh:"]
    assert shelved.note.count(":") == 3
    months = (reopened.at.year - shelved.at.year) * 12 + reopened.at.month - shelved.at.month
    assert months == 2 * 12 + 5


def test_nothing_happened_on_it_while_it_lay() -> None:
    lines = lines_of(revision("C").project, first=date(2021, 12, 4), last=date(2024, 5, 5))
    assert lines == []


def test_what_heronbar_learned_led_to_the_legend_and_to_the_memory() -> None:
    answers = dict(
        LessonAnswer.objects.filter(revision=revision("C"), answer="heeded").values_list(
            "lesson__key", "text"
        )
    )
    assert "F-14" in answers["HRB-L2"]
    assert "MEM-1 to MEM-4" in answers["HRB-L3"]


def test_the_labels_tell_what_j7_carries_on_each_board() -> None:
    project = revision("C").project
    j7 = Connector.objects.get(project=project, key="J7")
    labels = labels_of(
        list(boards_of(project)), [j7], site="https://logbook.example", on=date(2024, 11, 14), own=False
    )
    told = {label.serial: set(label.facts) for label in labels}
    assert told["0005"] >= {"DAMAGED: do not power", "J7 carries 3.3 V logic levels, idle high"}
    others = [facts for serial, facts in told.items() if serial != "0005"]
    assert len(others) == 5
    assert all("J7 carries TIA-232 levels, about -6 V at mark" in facts for facts in others)


@pytest.mark.parametrize("line", PHOTOS.strip().splitlines(), ids=lambda line: line.split()[0])
def test_each_photo_lies_where_it_belongs(line: str) -> None:
    name, *expected = line.split()
    photo = Evidence.objects.select_related("board").get(name=f"{name}.png")
    board = photo.board.serial if photo.board else "-"
    sitting = photo.session_links.values_list("bench_session__title", flat=True).first() or "-"
    finding = photo.finding_links.values_list("finding__key", flat=True).first() or "-"
    rework = ReworkEvidence.objects.filter(evidence=photo).values_list("rework__key", flat=True).first()
    assert [board, sitting[:3], finding, rework or "-"] == expected
