"""The people, projects, boards and bench sessions of the invented demo."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.management import call_command
from django.db.models import F, Q

from logbook.accounts.models import User
from logbook.bench.models import BenchSession, Measurement, Target
from logbook.boards.models import Board, BoardEvent, OptionSetting, Rework
from logbook.projects.models import ProjectStateEvent, Revision, SubsystemDependency
from logbook.recall.demo import DEMO_PASSWORD

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]

SALTLARK = {"project__slug": "saltlark"}


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
