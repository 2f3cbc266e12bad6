"""Extremes at every zoom equal those of the samples themselves."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import SignalError
from logbook.core.signals.decimation import min_max_between, min_max_levels, min_max_view


@given(st.data())
def test_a_view_is_exactly_the_extremes_between_its_edges(data: st.DataObject) -> None:
    count = data.draw(st.integers(1, 30_000))
    samples = np.random.default_rng(data.draw(st.integers(0, 99))).normal(size=count).astype(np.float32)
    start = data.draw(st.integers(0, count - 1))
    stop = data.draw(st.integers(start + 1, count))
    buckets = data.draw(st.integers(1, 3000))
    view = min_max_view(min_max_levels(samples), start, stop, buckets, lambda a, b: samples[a:b])
    pieces = [samples[a:b] for a, b in zip(view.edges[:-1], view.edges[1:], strict=True)]
    assert view.edges[0] <= start
    assert view.edges[-1] >= stop
    assert len(pieces) <= buckets
    assert view.lows.tolist() == [float(piece.min()) for piece in pieces]
    assert view.highs.tolist() == [float(piece.max()) for piece in pieces]


@pytest.mark.parametrize("width", [1_000_000, 100_000, 10_000, 100])
def test_a_glitch_of_one_sample_stays_visible(width: int) -> None:
    samples = np.zeros(1_000_000, dtype=np.float32)
    samples[543_210] = 1
    start = max(543_210 - width // 2, 0)
    pyramid = min_max_levels(samples)
    view = min_max_view(pyramid, start, min(start + width, 1_000_000), 500, lambda a, b: samples[a:b])
    assert view.highs.max() == 1
    assert view.highs.dtype == np.float32


@pytest.mark.parametrize("stretch", [(-1, 5, 5), (5, 5, 5), (0, 11, 5), (0, 10, 0)])
def test_it_refuses_an_impossible_view(stretch: tuple[int, int, int]) -> None:
    with pytest.raises(SignalError):
        min_max_view(min_max_levels(np.zeros(10)), *stretch)


@pytest.mark.parametrize("samples", [[], [np.nan], [[1.0]], ["a"]], ids=["none", "nan", "rows", "text"])
def test_it_refuses_what_is_no_trace(samples: list[object]) -> None:
    with pytest.raises(SignalError):
        min_max_levels(samples)


@given(st.data())
def test_a_view_of_any_spacing_is_exactly_the_extremes_between_its_edges(data: st.DataObject) -> None:
    count = data.draw(st.integers(2, 30_000))
    samples = np.random.default_rng(data.draw(st.integers(0, 99))).normal(size=count).astype(np.float32)
    asked = sorted(data.draw(st.sets(st.integers(0, count), min_size=2, max_size=300)))
    view = min_max_between(min_max_levels(samples), asked, lambda a, b: samples[a:b])
    pieces = [samples[a:b] for a, b in zip(view.edges[:-1], view.edges[1:], strict=True)]
    assert view.edges[0] <= asked[0]
    assert view.edges[-1] >= asked[-1]
    assert len(pieces) < len(asked)
    assert view.lows.tolist() == [float(piece.min()) for piece in pieces]
    assert view.highs.tolist() == [float(piece.max()) for piece in pieces]


@pytest.mark.parametrize("glitch", [3, 4_321, 543_210])
def test_a_glitch_stays_visible_on_a_logarithmic_axis(glitch: int) -> None:
    samples = np.zeros(1_000_000, dtype=np.float32)
    samples[glitch] = 1
    asked = np.unique(np.geomspace(1, 1_000_000, 500).astype(int))
    view = min_max_between(min_max_levels(samples), asked, lambda a, b: samples[a:b])
    assert view.highs.sum() == 1
    place = int(view.highs.argmax())
    assert view.edges[place] <= glitch < view.edges[place + 1]
    # Five decades in about 450 buckets: none is much wider than a log step, however late it lies.
    assert view.edges[place + 1] / view.edges[place] < 1.4


@pytest.mark.parametrize("edges", [[5], [5, 5], [6, 5], [-1, 5], [0, 11]])
def test_it_refuses_edges_that_make_no_view(edges: list[int]) -> None:
    with pytest.raises(SignalError):
        min_max_between(min_max_levels(np.zeros(10)), edges, lambda a, b: np.zeros(b - a))
