"""Two people edit one target: the second hears who changed what, and nothing of either is lost."""

from __future__ import annotations

import pytest

from logbook.bench.commands import change_target, issue_target
from logbook.bench.commands.targets import Asked
from logbook.bench.queries.versions import version_of
from logbook.common.changes import Actor
from logbook.common.errors import ChangedMeanwhileError
from tests.builders import Bench

WIDER = Asked(limits="3.1..3.5 V")


def test_the_second_to_change_hears_who_changed_what(bench: Bench) -> None:
    target = bench.target()
    seen = version_of(target)
    editor = Actor(bench.editor, "page")
    change_target(actor=editor, target=target, values={"minutes": 9}, prerequisites=[], seen=seen)
    with pytest.raises(ChangedMeanwhileError, match="editor-tern changed minutes from 5 to 9 at "):
        change_target(actor=bench.actor, target=target, values={"minutes": 20}, seen=seen)
    target.refresh_from_db()
    assert target.minutes == 9


def test_a_new_issue_is_a_change_too_and_says_what_it_asks(bench: Bench) -> None:
    target = bench.target()
    seen = version_of(target)
    issue_target(actor=bench.actor, target=target, asked=WIDER, reason="may sag", seen=seen)
    with pytest.raises(ChangedMeanwhileError, match=r"as issue 2 \(3.1..3.5 V\): may sag"):
        issue_target(actor=bench.actor, target=target, asked=Asked(limits="1 V"), reason="no", seen=seen)
    assert target.issues.count() == 2


def test_prerequisites_are_part_of_the_version(bench: Bench) -> None:
    bench.target("T1")
    target = bench.target()
    seen = version_of(target)
    change_target(actor=bench.actor, target=target, values={}, prerequisites=["T1"])
    with pytest.raises(ChangedMeanwhileError, match="needs from nothing to T1"):
        change_target(actor=bench.actor, target=target, values={"minutes": 1}, seen=seen)


def test_who_has_seen_the_change_may_go_on_and_a_script_need_not_look(bench: Bench) -> None:
    target = bench.target()
    change_target(actor=bench.actor, target=target, values={"minutes": 9})
    change_target(actor=bench.actor, target=target, values={"minutes": 3}, seen=version_of(target))
    change_target(actor=bench.actor, target=target, values={"minutes": 4})
    assert target.minutes == 4


def test_a_version_that_never_was_is_refused(bench: Bench) -> None:
    with pytest.raises(ChangedMeanwhileError, match="the version named is none of this target"):
        change_target(actor=bench.actor, target=bench.target(), values={"minutes": 1}, seen="x")
