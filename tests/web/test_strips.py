"""The limit strip: where things lie, and what it says to those who do not see it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import pytest
from django.template.loader import render_to_string

from logbook.core.limits import parse_limits
from logbook.web.strip_picture import Strip
from logbook.web.strips import Reading, strip_for, strip_of
from tests.builders import Bench

RAIL = "3.234..3.366 V"
# Two limits lie a quarter of their distance from the edges: a sixth of the 480 units of the picture.
LOW_X, HIGH_X = 80.0, 400.0


@dataclass(frozen=True)
class Other:
    serial: str
    value_base: float | None
    text: str = "3.3"
    unit: str = "V"


def strip(limits: str, value: str | None = None, u: str | None = None, **given: object) -> Strip:
    reading = None
    if value is not None:
        reading = Reading(Decimal(value), Decimal(u) if u else None, verdict="pass")
    return strip_of(parse_limits(limits), reading, **given)  # type: ignore[arg-type]


def test_two_limits_lie_a_sixth_from_the_edges() -> None:
    assert [mark.x for mark in strip(RAIL).limits] == [LOW_X, HIGH_X]


@pytest.mark.parametrize(
    ("value", "x"), [("3.234", LOW_X), ("3.300", 240.0), ("3.366", HIGH_X), ("3.317", 281.21)]
)
def test_the_value_lies_in_proportion(value: str, x: float) -> None:
    needle = strip(RAIL, value).needle
    assert needle is not None
    assert needle.x == pytest.approx(x, abs=0.01)


def test_guard_bands_are_as_wide_as_the_uncertainty() -> None:
    drawn = strip(RAIL, "3.300", "0.0132")
    assert [(band.x, band.end) for band in drawn.guards] == [(80.0, 112.0), (368.0, 400.0)]
    assert [(band.x, band.end) for band in drawn.zones] == [(112.0, 368.0)]


def test_without_an_uncertainty_there_are_no_guard_bands() -> None:
    drawn = strip(RAIL, "3.300")
    assert drawn.guards == ()
    assert [(band.x, band.end) for band in drawn.zones] == [(LOW_X, HIGH_X)]


def test_simple_acceptance_has_no_guard_bands() -> None:
    reading = Reading(Decimal("3.3"), Decimal("0.01"), "pass", is_guarded=False)
    assert strip_of(parse_limits(RAIL), reading).guards == ()


def test_where_no_reading_could_pass_the_guard_bands_meet() -> None:
    drawn = strip(RAIL, "3.300", "0.08")
    assert [(band.x, band.end) for band in drawn.guards] == [(LOW_X, HIGH_X)]
    assert drawn.zones == ()


@pytest.mark.parametrize(("value", "beyond", "x"), [("9", 1, 480.0), ("-9", -1, 0.0)])
def test_a_value_far_outside_is_an_arrow_at_the_edge(value: str, beyond: int, x: float) -> None:
    drawn = strip(RAIL, value, "0.001")
    assert drawn.needle is not None
    assert (drawn.needle.beyond, drawn.needle.x) == (beyond, x)
    assert drawn.arrow
    assert drawn.reach is None


def test_an_upper_limit_of_what_cannot_be_negative_begins_at_zero() -> None:
    drawn = strip("<= 30 mVpp", "15")
    assert drawn.needle is not None
    assert drawn.needle.x == pytest.approx(drawn.limits[0].x / 2, abs=0.01)
    assert drawn.zones[0].x == 0


def test_a_lower_limit_has_its_guard_band_above_it() -> None:
    drawn = strip(">= 90 dB", "98", "1")
    assert drawn.guards[0].x == drawn.limits[0].x
    assert drawn.zones[-1].end == drawn.width


@pytest.mark.parametrize("limits", [RAIL, "<= 30 mVpp", ">= 90 dB", "<= -80 dBV", "<= 0 V", "5 V to 5 V"])
@pytest.mark.parametrize("value", ["-1e9", "-85", "0", "29", "95", "1e12"])
@pytest.mark.parametrize("size", ["large", "small"])
def test_nothing_is_drawn_outside_the_picture(limits: str, value: str, size: str) -> None:
    drawn = strip(limits, value, "0.5", size=size, sisters=[Other("0001", 1e9), Other("0002", -3.0)])
    ends = [mark.x for mark in (*drawn.limits, *drawn.sisters)]
    bands = (*drawn.zones, *drawn.guards, *([drawn.reach] if drawn.reach else []))
    ends += [end for band in bands for end in (band.x, band.end)]
    ends += [end for caption in drawn.captions for end in caption.reach]
    assert all(0 <= end <= drawn.width for end in ends)
    assert all(band.width >= 0 for band in bands)


def test_sister_boards_are_ticks_in_the_unit_of_the_limits() -> None:
    drawn = strip("3234..3366 mV", sisters=[Other("0003", 3.3), Other("0004", None)])
    assert [mark.x for mark in drawn.sisters] == [240.0]
    assert "0003" in [caption.text for caption in drawn.captions]


def test_many_sister_boards_are_counted() -> None:
    drawn = strip(RAIL, sisters=[Other(f"000{number}", 3.3) for number in range(5)])
    assert drawn.captions[-1].text == "5 other boards"


def test_the_small_one_carries_no_captions() -> None:
    assert strip(RAIL, "3.3", size="small").captions == ()


def test_it_says_in_words_what_it_shows() -> None:
    assert strip(RAIL, "3.317", "0.001", sisters=[Other("0003", 3.319, "3.319")]).label == (
        "3.317 V, uncertainty 1 mV, pass; limits 3.234 … 3.366 V; other boards: 0003 3.319 V"
    )


def test_it_says_when_nothing_was_read() -> None:
    assert strip(RAIL).label == "no reading yet; limits 3.234 … 3.366 V"


def test_it_says_when_no_reading_could_pass() -> None:
    reading = Reading(Decimal("3.3"), Decimal("0.08"), "conditional pass", decidable=False)
    assert "undecidable with this uncertainty" in strip_of(parse_limits(RAIL), reading).label


def test_it_is_written_as_a_picture_with_a_name() -> None:
    html = render_to_string("_limit_strip.html", {"strip": strip(RAIL, "3.317", "0.001")})
    assert 'role="img"' in html
    assert 'aria-label="3.317 V, uncertainty 1 mV, pass; limits' in html
    assert "style=" not in html


def test_a_stored_reading_is_shown_under_the_issue_asked_about(bench: Bench) -> None:
    target = bench.target()
    measurement = bench.read("3298", unit="mV", expanded_uncertainty="4")
    drawn = strip_for(target.issues.get(), measurement=measurement)
    assert drawn.tone == "pass"
    assert drawn.needle is not None
    assert drawn.needle.x == pytest.approx(80 + 320 * (3.298 - 3.234) / 0.132, abs=0.01)


@pytest.mark.parametrize(
    ("kind", "limits", "value", "words"),
    [
        ("yes/no", "yes", "yes", "asked for: yes; read: yes"),
        ("count", "100 of 100", "100 of 100", "asked for: 100 of 100; read: 100 of 100"),
    ],
)
def test_what_has_no_scale_is_told_in_words(
    bench: Bench, kind: str, limits: str, value: str, words: str
) -> None:
    target = bench.target("CPU-1", limits, kind=kind)
    measurement = bench.read(value, "CPU-1")
    drawn = strip_for(target.issues.get(), measurement=measurement)
    assert not drawn.is_drawn
    assert drawn.label == words


def test_a_reading_without_a_number_is_told_in_words(bench: Bench) -> None:
    target = bench.target()
    measurement = bench.read("not working")
    drawn = strip_for(target.issues.get(), measurement=measurement)
    assert not drawn.is_drawn
    assert drawn.tone == "fail"
