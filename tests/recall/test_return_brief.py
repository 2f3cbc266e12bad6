"""What the brief says of a small project, and of the invented demo on days its story tells of."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from logbook.bench.commands import open_bench_session
from logbook.boards.commands import add_board, record_board_event
from logbook.findings.commands import record_finding
from logbook.projects.commands import add_subsystem, set_project_state, write_shelving_note
from logbook.projects.models import Project
from logbook.recall.return_brief import ReturnBrief, return_brief_of
from logbook.recall.return_brief.draft import shelving_draft
from tests.builders import Bench

pytestmark = pytest.mark.django_db

SHELVED, REOPENED, TODAY = date(2021, 12, 3), date(2024, 5, 6), date(2024, 11, 14)
# As the story of the demo states it: never run on any revision.
NEVER_RUN = ("MEM-5", "MEM-8", "COM-6", "COM-7", "MEC-5", "EMC-1", "EMC-2", "THM-2", "THM-3")
RUN_SINCE = ("MEM-1", "MEM-2", "MEM-3", "MEM-4", "MEM-6", "MEM-7", "MEC-4")


@pytest.fixture
def brief(demo: None, request: pytest.FixtureRequest) -> ReturnBrief:
    return return_brief_of(Project.objects.get(slug="saltlark"), as_of=request.param)


class TestFirstSteps:
    def test_look_comes_before_ohms_and_ohms_before_power(self, bench: Bench) -> None:
        look, power = return_brief_of(bench.project).first_steps
        assert look.says.index("Look, nothing connected") < look.says.index("Then ohms")
        assert power.says.startswith("Power it from a supply that limits")

    def test_power_states_the_limit_and_what_never_to_connect(self, bench: Bench) -> None:
        power = return_brief_of(bench.project).first_steps[1]
        assert "limit 150 mA" in power.says
        assert "mains" in power.mind

    def test_without_a_limit_it_is_not_powered(self, bench: Bench) -> None:
        bench.revision.current_limit = ""
        bench.revision.save(update_fields=["current_limit"])
        assert "Do not power it yet" in return_brief_of(bench.project).first_steps[1].says

    def test_the_check_is_what_has_most_at_stake(self, bench: Bench) -> None:
        bench.target("RLD-1", values={"severity": "S4"})
        bench.target("RLD-3", values={"severity": "S2"})
        target = return_brief_of(bench.project).first_steps[2].target
        assert target is not None
        assert target.key == "RLD-3"

    def test_it_never_begins_with_a_check_that_stresses_the_board(self, bench: Bench) -> None:
        bench.target("RLD-1", values={"severity": "S4"})
        bench.target("RLD-9", values={"severity": "S1", "stresses_board": True})
        target = return_brief_of(bench.project).first_steps[2].target
        assert target is not None
        assert target.key == "RLD-1"

    @pytest.mark.parametrize("state", ["damaged", "quarantined", "lent", "reference"])
    def test_it_leaves_boards_alone_that_are_not_to_be_worked_on(self, bench: Bench, state: str) -> None:
        record_board_event(actor=bench.actor, board=bench.board, state=state)
        (only,) = return_brief_of(bench.project).first_steps
        assert f"none is at hand on record (0001 is {state})" in only.says

    @pytest.mark.parametrize(("state", "named"), [("in use", True), ("damaged", False), ("lent", False)])
    def test_a_sister_is_a_sound_board_at_hand(self, bench: Bench, state: str, named: bool) -> None:
        add_board(
            actor=bench.actor, project=bench.project, revision=bench.revision, serial="0002", state=state
        )
        assert ("0002" in return_brief_of(bench.project).first_steps[0].says) == named


class TestWrittenSteps:
    """What the note of the last day says goes before what the site would choose."""

    @pytest.fixture
    def shelve(self, bench: Bench) -> Callable[..., ReturnBrief]:
        def shelve(**texts: str) -> ReturnBrief:
            set_project_state(actor=bench.actor, project=bench.project, state="shelved")
            write_shelving_note(actor=bench.actor, project=bench.project, texts=texts)
            return return_brief_of(bench.project)

        return shelve

    @pytest.mark.parametrize("count", [1, 2, 3, 5])
    def test_there_are_never_more_than_three(self, shelve: Callable[..., ReturnBrief], count: int) -> None:
        brief = shelve(next_steps="\n".join(f"{n}. Do **thing {n}**." for n in range(1, count + 1)))
        told = [one.says for one in brief.first_steps if one.is_written]
        assert len(brief.first_steps) == 3
        assert told == [f"Do thing {n}." for n in range(1, min(count, 3) + 1)]
        assert brief.steps_left_over == (count > 3)

    def test_three_written_steps_still_begin_with_looking(self, shelve: Callable[..., ReturnBrief]) -> None:
        first = shelve(next_steps="- a\n- b\n- c").first_steps[0]
        assert "look with nothing connected, then ohms to 0 V" in first.mind
        assert "150 mA" in first.mind

    def test_the_same_step_is_said_once(self, shelve: Callable[..., ReturnBrief]) -> None:
        brief = shelve(next_steps="- Fit the shroud.\n- *Fit* the shroud\n- Read RLD-2.")
        assert [one.says for one in brief.first_steps if one.is_written] == ["Fit the shroud.", "Read RLD-2."]

    def test_a_step_leads_to_the_target_and_the_board_it_names(
        self, bench: Bench, shelve: Callable[..., ReturnBrief]
    ) -> None:
        bench.target()
        record_board_event(actor=bench.actor, board=bench.extra_board("0002"), state="lent")
        step = shelve(next_steps="Read RLD-2 on 0002.").first_steps[-1]
        assert (step.target, step.board) == (
            bench.project.targets.get(),
            bench.project.boards.get(serial="0002"),
        )
        assert "0002 is lent." in step.mind

    def test_a_note_somebody_worked_after_gives_no_steps(
        self, bench: Bench, shelve: Callable[..., ReturnBrief]
    ) -> None:
        shelve(next_steps="Fit the shroud.")
        set_project_state(actor=bench.actor, project=bench.project, state="active")
        open_bench_session(actor=bench.actor, project=bench.project, title="again", values={})
        assert not any(one.is_written for one in return_brief_of(bench.project).first_steps)

    def test_a_draft_kept_as_it_is_repeats_nothing(
        self, bench: Bench, shelve: Callable[..., ReturnBrief]
    ) -> None:
        record_board_event(
            actor=bench.actor,
            board=bench.extra_board("0002"),
            state="damaged",
            note="**Wet.**\nDo not power.",
        )
        before = return_brief_of(bench.project).dangers
        assert [one.kind for one in before] == ["board", "revision"]
        draft = shelving_draft(return_brief_of(bench.project))
        assert shelve(unsafe=draft["unsafe"]).dangers == before


class TestDangers:
    @pytest.fixture
    def told(self, bench: Bench) -> Callable[[], dict[str, str]]:
        return lambda: {one.subject: one.says for one in return_brief_of(bench.project).dangers}

    @pytest.mark.parametrize(("severity", "named"), [("S1", True), ("S2", True), ("S3", False)])
    def test_a_supply_that_fails_gravely_is_named(
        self, bench: Bench, told: Callable[[], dict[str, str]], severity: str, named: bool
    ) -> None:
        bench.target(values={"severity": severity})
        bench.read("5 V")
        assert ("RLD-2" in told()) == named

    def test_what_fails_on_the_board_to_take_is_named_whatever_it_is_about(
        self, bench: Bench, told: Callable[[], dict[str, str]]
    ) -> None:
        other = add_subsystem(actor=bench.actor, project=bench.project, key="MCU", name="m", kind="processor")
        bench.target("MCU-1", subsystem=other, values={"severity": "S2"})
        bench.read("5 V", "MCU-1")
        assert told()["MCU-1"].endswith("fails on board 0001 (S2)")

    @pytest.mark.parametrize(
        ("severity", "harm", "named"), [("S2", "", True), ("S3", "", False), ("S4", "critical", True)]
    )
    def test_an_undecided_finding_about_power_is_named(
        self, bench: Bench, told: Callable[[], dict[str, str]], severity: str, harm: str, named: bool
    ) -> None:
        record_finding(
            actor=bench.actor, project=bench.project, key="F-01", title="rail low", subsystem=bench.subsystem,
            values={"severity": severity, "harm": harm},
        )  # fmt: skip
        assert ("F-01" in told()) == named

    def test_a_board_that_must_not_be_powered_is_named_whatever_its_state(
        self, bench: Bench, told: Callable[[], dict[str, str]]
    ) -> None:
        record_board_event(
            actor=bench.actor, board=bench.board, state="in use", note="Do not power: U3 shorted."
        )
        assert told()["0001"] == "in use, and the record says: Do not power: U3 shorted."


class TestNeverVerified:
    def test_a_failing_reading_is_a_verdict_too(self, bench: Bench) -> None:
        bench.target()
        bench.read("5 V")
        assert return_brief_of(bench.project).never_verified == ()

    def test_seen_working_verifies_nothing(self, bench: Bench) -> None:
        bench.target()
        bench.read("seen working")
        assert return_brief_of(bench.project).never_verified == ("RLD-2",)

    @pytest.mark.parametrize("brief", [TODAY], indirect=True)
    def test_nine_are_left_in_the_demo(self, brief: ReturnBrief) -> None:
        assert set(brief.never_verified) == set(NEVER_RUN)

    @pytest.mark.parametrize("brief", [SHELVED, REOPENED], indirect=True)
    def test_it_was_sixteen_when_it_was_shelved(self, brief: ReturnBrief) -> None:
        assert set(brief.never_verified) == {*NEVER_RUN, *RUN_SINCE}


class TestPastDays:
    @pytest.mark.parametrize("brief", [REOPENED], indirect=True)
    def test_memory_comes_first_at_reopening(self, brief: ReturnBrief) -> None:
        target = brief.first_steps[-1].target
        assert target is not None
        assert target.key == "MEM-1"

    @pytest.mark.parametrize("brief", [REOPENED], indirect=True)
    def test_it_knows_only_the_revisions_of_then(self, brief: ReturnBrief) -> None:
        assert [line.revision.label for line in brief.revisions.lines] == ["A", "B"]

    @pytest.mark.parametrize("brief", [REOPENED], indirect=True)
    def test_lessons_learned_on_the_other_project_are_shown(self, brief: ReturnBrief) -> None:
        assert {"HRB-L1", "HRB-L2", "HRB-L3"} <= {one.key for one in brief.lessons.since}

    @pytest.mark.parametrize("brief", [SHELVED], indirect=True)
    def test_no_shelving_note_was_written(self, brief: ReturnBrief) -> None:
        assert brief.shelving.note is None
        assert brief.shelving.laid_aside is not None
        assert "survey money is gone" in brief.shelving.laid_aside.note


@pytest.mark.parametrize("brief", [TODAY], indirect=True)
class TestDemoToday:
    def test_only_one_board_has_something_else_on_the_buoy_link(self, brief: ReturnBrief) -> None:
        (link,) = [one for one in brief.connectors if one.connector.key == "J7"]
        groups = [([board.serial for board in group.boards], group.carries) for group in link.groups]
        assert groups == [
            (["0005"], ("3.3 V logic",)),
            (["0001", "0002", "0003", "0004", "0006"], ("TIA-232",)),
        ]

    def test_concessions_until_d_have_lapsed_on_its_draft(self, brief: ReturnBrief) -> None:
        assert [held.record.subject for held in brief.ends.lapsed] == ["F-12", "F-13"]

    def test_eleven_readings_were_out_of_calibration_and_cleared(self, brief: ReturnBrief) -> None:
        (one,) = brief.instruments.doubtful
        assert (one.instrument.name, one.count, one.state) == ("DMM-1", 11, "cleared")

    def test_a_rework_without_a_re_check_is_half_done(self, brief: ReturnBrief) -> None:
        half = [
            (one.board.serial, done.rework.key)
            for one in brief.boards
            for done in one.reworks
            if done.is_half_done
        ]
        assert half == [("0004", "RW-08")]

    def test_every_target_stands_in_one_column(self, brief: ReturnBrief) -> None:
        assert brief.proof is not None
        assert sum(count for row in brief.proof.heat for _, count in row.cells) == 96
