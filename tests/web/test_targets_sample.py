"""The part of a target's page that says what its boards show, and its picture."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from logbook.planning.queries import samples_of
from logbook.web.sample_plot import WIDTH, SamplePlot, sample_plot
from tests.builders import Bench

ONE = "/p/tern/targets/RLD-2/"
THREE = ("3.322", "3.319", "3.326")


@pytest.fixture
def reader(bench: Bench, client: Client) -> Client:
    client.force_login(bench.reader)
    return client


def boards(bench: Bench, *values: str, target: str = "RLD-2") -> None:
    for number, value in enumerate(values, 1):
        serial = f"{number:04}"
        if not bench.project.boards.filter(serial=serial).exists():
            bench.extra_board(serial)
        bench.read(value, target, board=serial)


def text_of(client: Client, address: str = ONE) -> str:
    return re.sub(r"\s+", " ", client.get(address).content.decode())


def plot_of(bench: Bench) -> SamplePlot:
    plot = sample_plot(samples_of(bench.project.targets.get(key="RLD-2")))
    assert plot is not None
    return plot


def test_it_shows_the_numbers_of_three_boards(bench: Bench, reader: Client) -> None:
    bench.target()
    boards(bench, *THREE)
    text = text_of(reader)
    for said in ("rev A · n = 3", "3.3223 V", "3.5 mV", "7 mV", "4.14", "1.8 %", "From 3 boards the spread"):
        assert said in text


def test_the_assumption_is_one_click_away(bench: Bench, reader: Client) -> None:
    bench.target()
    boards(bench, *THREE)
    text = text_of(reader)
    assert '<a href="#assumption">1.8 %</a>' in text
    assert '<details id="assumption">' in text
    assert "16.5 mV" in text


def test_it_says_what_one_board_cannot_say(bench: Bench, reader: Client) -> None:
    bench.target()
    boards(bench, "3.3")
    assert "Spread, tolerance interval and Cpk cannot be said from one." in text_of(reader)


def test_a_limit_of_zero_has_no_chance(bench: Bench, reader: Client) -> None:
    bench.target(limits="≤ 0 V")
    boards(bench, "-1")
    text = text_of(reader)
    assert "as with a limit of 0" in text
    assert "assumption" not in text


def test_no_error_is_stated_with_its_upper_bound(bench: Bench, reader: Client) -> None:
    bench.target("E", "0 errors", kind="count")
    boards(bench, "0 of 1e9", target="E")
    text = text_of(reader, "/p/tern/targets/E/")
    assert "up to 3.0e-9 (95 % confidence, one-sided)" in text
    assert '<svg class="sample"' not in text


def test_a_share_of_boards_has_both_bounds(bench: Bench, reader: Client) -> None:
    bench.target("Y", "yes", kind="yes/no")
    boards(bench, "yes", "no", "yes", target="Y")
    assert "1 of 3 boards failed: the true share is 0.84 % to 90.6 %" in text_of(reader, "/p/tern/targets/Y/")


def test_without_a_reading_there_is_no_such_part(bench: Bench, reader: Client) -> None:
    bench.target()
    assert "What the boards say" not in text_of(reader)


def test_the_picture_is_whole_and_has_words(bench: Bench, reader: Client) -> None:
    bench.target()
    boards(bench, *THREE)
    found = re.search(r'<svg class="sample" .*?</svg>', reader.get(ONE).content.decode(), re.DOTALL)
    assert found
    svg = ET.fromstring(found[0])
    assert len(svg.findall(".//circle")) == 3
    assert "0001 3.322 V, 0002 3.319 V, 0003 3.326 V; mean" in svg.attrib["aria-label"]
    assert "style" not in found[0]


def test_boards_stand_on_the_scale_in_order(bench: Bench) -> None:
    bench.target()
    boards(bench, *THREE)
    (line,) = plot_of(bench).lines
    first, second, third = (dot.x for dot in line.dots)
    assert line.limits[0] < second < first < third < line.limits[1]
    assert second < line.mean < third
    assert line.following is not None
    assert line.following.x < second < third < line.following.end
    # Distances are to scale: 132 mV between the limits, 7 mV between the outer boards.
    assert (third - second) / (line.limits[1] - line.limits[0]) == pytest.approx(7 / 132, abs=1e-3)


def test_a_value_far_outside_is_an_arrow_at_the_edge(bench: Bench) -> None:
    bench.target()
    boards(bench, "3.3", "12")
    near, far = plot_of(bench).lines[0].dots
    assert (near.beyond, far.beyond) == (0, 1)
    assert far.x <= WIDTH


@pytest.mark.parametrize("limits", ["≤ 5 V", "≥ 1 V", "3.3..3.3 V"])
def test_other_limits_can_be_drawn_too(bench: Bench, limits: str) -> None:
    bench.target(limits=limits)
    boards(bench, "3.3")
    assert plot_of(bench).ticks


def test_each_board_costs_no_query_more(bench: Bench, reader: Client) -> None:
    bench.target()
    boards(bench, *THREE[:1])
    reader.get(ONE)
    with CaptureQueriesContext(connection) as few:
        reader.get(ONE)
    boards(bench, *THREE, *THREE)
    with CaptureQueriesContext(connection) as many:
        reader.get(ONE)
    assert len(many) == len(few)
