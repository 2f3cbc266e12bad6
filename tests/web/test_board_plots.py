"""The drawings of all boards of a target in the report of a revision."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from logbook.planning.queries import coverage_of
from logbook.projects.commands import add_change, add_revision
from logbook.web.reports import board_plots as module
from logbook.web.reports.board_plots import BoardPlots, board_plots
from tests.builders import Bench
from tests.web.test_reports import REVISION, made, text_of


def plots(bench: Bench) -> BoardPlots:
    return board_plots(coverage_of(bench.revision).rows)


@pytest.fixture
def three(bench: Bench) -> Bench:
    """Return three boards with a reading each: one in the middle, one near a limit, one far outside."""
    bench.target("RLD-2", "3.2 V to 3.4 V")
    for serial, value in (("0001", "3.300 V"), ("0002", "3.395 V"), ("0003", "9 V")):
        if serial != "0001":
            bench.extra_board(serial)
        bench.read(value, board=serial, expanded_uncertainty="0.01", coverage_factor=2)
    return bench


def test_readings_and_uncertainties_lie_where_the_scale_says(three: Bench) -> None:
    """By hand: the limits and a quarter of their width beside each make 3.15 to 3.45 V over 210 units, so
    that 0.1 V are 70 of them and U = 10 mV are 7."""
    (plot,) = plots(three).drawn
    middle, near, far = (line.spots[0] for line in plot.lines)
    left = plot.names
    assert plot.zone_x == pytest.approx(left + 35)
    assert plot.zone_width == pytest.approx(140)
    assert (middle.x, middle.begin, middle.end) == pytest.approx((left + 105, left + 98, left + 112))
    assert near.x == pytest.approx(left + 171.5)
    assert (far.x, far.beyond) == (left + 210, 1)
    assert [one.tone for one in (middle, near, far)] == ["pass", "cond", "fail"]
    assert [line.words for line in plot.lines][:2] == ["3.300 ± 0.01 V", "3.395 ± 0.01 V"]
    assert [mark.text for mark in plot.marks] == ["3.2 V", "3.4 V"]


def test_an_uncertainty_is_drawn_in_the_unit_of_the_limits(bench: Bench) -> None:
    bench.target("RLD-2", "3.2 V to 3.4 V")
    bench.extra_board("0002")
    for serial in ("0001", "0002"):
        bench.read("3300 mV", board=serial, expanded_uncertainty="10", coverage_factor=2)
    (plot,) = plots(bench).drawn
    (spot,) = plot.lines[0].spots
    assert spot.end - spot.begin == pytest.approx(14)
    assert plot.lines[0].words == "3300 ± 10 mV"


def test_a_single_limit_leaves_the_other_side_open(bench: Bench) -> None:
    bench.target("RLD-5", "<= 30 mV")
    bench.extra_board("0002")
    for serial in ("0001", "0002"):
        bench.read("10 mV", "RLD-5", board=serial)
    (plot,) = plots(bench).drawn
    assert plot.zone_x == plot.names
    assert len(plot.marks) == 1
    assert all(spot.begin == spot.end == spot.x for line in plot.lines for spot in line.spots)


def test_one_reading_or_none_and_what_is_no_number_are_left_to_the_table(bench: Bench) -> None:
    bench.target("RLD-2")
    bench.target("RLD-3", "yes", kind="yes/no")
    bench.extra_board("0002")
    bench.read("3.3 V")
    for serial in ("0001", "0002"):
        bench.read("yes", "RLD-3", board=serial)
    assert plots(bench) == BoardPlots((), 0)


def test_there_are_never_too_many_and_failing_ones_stay(
    three: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    three.target("AAA-1", "3.2 V to 3.4 V")
    for serial in ("0001", "0002"):
        three.read("3.3 V", "AAA-1", board=serial)
    assert [plot.key for plot in plots(three).drawn] == ["RLD-2", "AAA-1"]
    monkeypatch.setattr(module, "MOST_PLOTS", 1)
    monkeypatch.setattr(module, "MOST_BOARDS", 2)
    answer = plots(three)
    assert ([plot.key for plot in answer.drawn], answer.left_out) == (["RLD-2"], 1)
    (plot,) = answer.drawn
    assert ([line.serial for line in plot.lines], plot.left_out) == (["0002", "0003"], 1)


def test_they_are_drawn_in_the_page_and_named_in_the_file(three: Bench, client: Client) -> None:
    client.force_login(three.reader)
    page = client.get(REVISION).content.decode()
    assert 'aria-label="RLD-2 against 3.2 V to 3.4 V: 0001: 3.300 ± 0.01 V;' in page
    assert len(re.findall(r'<circle class="dot (?:pass|cond)"', page)) == 2
    assert page.count('<polygon class="dot fail"') == 1
    pdf = made(client, REVISION)
    assert "3.395 ± 0.01 V" in text_of(pdf)
    assert all("made by reader-tern, 20" in one.extract_text() for one in pdf.pages)


def test_a_row_without_readings_says_whether_there_ever_was_one(bench: Bench, client: Client) -> None:
    bench.target("RLD-2")
    client.force_login(bench.reader)
    assert "no reading yet" in client.get(REVISION).content.decode()
    bench.read("3.3 V")
    child = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    add_change(
        actor=bench.actor,
        revision=child,
        key="X",
        kind="schematic",
        what="divider",
        subsystems=[bench.subsystem],
    )
    page = client.get("/p/tern/rev/B/report/").content.decode()
    assert "verified on A; X of B touches RLD" in page
    assert "none on this revision" in page
    assert "no reading yet" not in page
