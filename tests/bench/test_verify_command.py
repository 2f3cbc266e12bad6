"""``manage.py verify`` says whether everything kept agrees with the history."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from logbook.bench.models import CurrentResult, FailingSpan, Measurement, TargetIssue, Trial
from tests.builders import Bench, build_bench


def verify(*projects: str) -> str:
    out = StringIO()
    call_command("verify", *projects, stdout=out)
    return out.getvalue()


@pytest.fixture
def read(bench: Bench) -> Bench:
    """Return the bench with a failing prerequisite and a reading behind it."""
    bench.target("T1")
    bench.target("T2", needs=["T1"])
    bench.read("9", "T1")
    bench.read("3.3", "T2")
    return bench


def test_it_says_that_everything_agrees(read: Bench) -> None:
    assert verify().endswith("\n1 projects, 2 readings: everything agrees\n")


def test_it_names_each_check_and_how_much_it_looked_at(read: Bench) -> None:
    counts = {line[:20].strip(): line[20:].split()[0] for line in verify().splitlines()[:-1]}
    assert counts == {
        "verdict": "2", "uncertainty": "0", "limits of an issue": "2", "current result": "2",
        "failing span": "1", "trial": "1", "file of evidence": "0", "number of a capture": "0",
    }  # fmt: skip


def test_an_empty_site_agrees(db: None) -> None:
    assert verify().endswith("\n0 projects, 0 readings: everything agrees\n")


def test_it_looks_only_at_the_projects_named(read: Bench) -> None:
    build_bench("heron")
    assert verify("heron").endswith("\n1 projects, 0 readings: everything agrees\n")


def test_it_refuses_a_project_that_is_not_there(read: Bench) -> None:
    with pytest.raises(CommandError, match="nest"):
        verify("tern", "nest")


TAMPERINGS = {
    "verdict of a current result": lambda: CurrentResult.objects.filter(target__key="T1").update(
        designed_verdict="pass"
    ),
    "a current result lost": lambda: CurrentResult.objects.filter(target__key="T2").delete(),
    "reason why it does not count": lambda: CurrentResult.objects.filter(target__key="T2").update(
        not_counted=""
    ),
    "a failing span lost": lambda: FailingSpan.objects.all().delete(),
    "a trial lost": lambda: Trial.objects.all().delete(),
    "a trial turned": lambda: Trial.objects.update(failed=False),
    "a verdict altered": lambda: Measurement.objects.filter(target__key="T1").update(verdict="pass"),
    "a value altered": lambda: Measurement.objects.filter(target__key="T1").update(value="3.3"),
    "limits altered": lambda: TargetIssue.objects.filter(target__key="T1").update(high="99"),
    "text of limits altered": lambda: TargetIssue.objects.filter(target__key="T2").update(limits_text="< ?"),
    "a float altered": lambda: Measurement.objects.filter(target__key="T1").update(value_base=3.3),
}


@pytest.mark.parametrize("tamper", TAMPERINGS.values(), ids=TAMPERINGS)
def test_it_ends_with_an_error_when_something_was_tampered_with(read: Bench, tamper: object) -> None:
    tamper()  # type: ignore[operator]
    out = StringIO()
    with pytest.raises(CommandError, match="differences in 2 readings"):
        call_command("verify", stdout=out)
    assert out.getvalue().startswith("tern: ")


def test_it_changes_nothing(read: Bench) -> None:
    CurrentResult.objects.filter(target__key="T1").update(designed_verdict="pass")
    with pytest.raises(CommandError):
        verify()
    assert CurrentResult.objects.get(target__key="T1").designed_verdict == "pass"
