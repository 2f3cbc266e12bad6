"""Views of a capture: exact extremes at every zoom, never more than asked, never a read of everything."""

from __future__ import annotations

import zlib
from pathlib import Path

import numpy as np
import pytest

from logbook.common.errors import InvalidInputError
from logbook.evidence import levels
from logbook.evidence.levels import MOST_BUCKETS, View, packed, view_in
from logbook.evidence.traces import Floats, Trace, Traces

COUNT, GLITCH_AT, GLITCH = 300_000, 123_457, 99.0


def _samples() -> Floats:
    samples = np.round(1000 * np.sin(np.arange(COUNT) / 500)) / 1000
    samples[GLITCH_AT] = GLITCH
    return samples


def _written(tmp_path: Path, samples: Floats, x: Floats | None = None) -> Path:
    path = tmp_path / "levels"
    path.write_bytes(packed(Traces("time", "s", 0.0, 1e-6, x, (Trace("CH1", "V", samples),))))
    return path


def _view(path: Path, start: float | None = None, stop: float | None = None, buckets: int = 2000) -> View:
    return view_in(path, channel=0, start=start, stop=stop, buckets=buckets)


@pytest.mark.parametrize("buckets", [1, 7, 100, MOST_BUCKETS])
@pytest.mark.parametrize("half_width", [2, 40, 900, 15_000, 120_000])
@pytest.mark.parametrize("uneven", [False, True], ids=["even", "uneven"])
def test_a_one_sample_glitch_is_seen_at_every_zoom(
    tmp_path: Path, buckets: int, half_width: int, uneven: bool
) -> None:
    x = np.cumsum(1 + np.arange(COUNT) % 3) * 1e-6 if uneven else np.arange(COUNT) * 1e-6
    path = _written(tmp_path, _samples(), x if uneven else None)
    view = _view(path, x[GLITCH_AT - half_width], x[GLITCH_AT + half_width], buckets)
    assert max(view.high) == GLITCH
    assert len(view.low) <= buckets
    place = view.high.index(GLITCH)
    assert view.x[place] <= x[GLITCH_AT] * (1 + 1e-12)


@pytest.mark.parametrize(("start", "stop"), [(None, None), (0.1, 0.2), (0.123, 0.1231), (0.0, 2e-6)])
def test_its_extremes_are_those_of_the_samples(
    tmp_path: Path, start: float | None, stop: float | None
) -> None:
    samples = _samples()
    view = _view(_written(tmp_path, samples), start, stop)
    edges = np.round(np.array(view.x) / 1e-6).astype(int)
    exact = samples.astype(np.float32)
    for place in range(len(edges) - 1):
        part = exact[edges[place] : edges[place + 1]]
        assert (view.low[place], view.high[place]) == (part.min(), part.max())


def test_a_close_view_shows_every_sample(tmp_path: Path) -> None:
    samples = _samples()
    view = _view(_written(tmp_path, samples), 0.123, 0.1231)
    assert view.samples_each == 1
    assert view.low == view.high
    assert len(view.x) == 101


@pytest.mark.parametrize(("start", "stop"), [(-5.0, -4.0), (9.0, 10.0), (0.15, 0.15000001)])
def test_a_range_beside_the_capture_still_gives_a_line(tmp_path: Path, start: float, stop: float) -> None:
    assert len(_view(_written(tmp_path, _samples()), start, stop).low) == 2


def test_it_does_not_read_all_points(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = _written(tmp_path, _samples())
    read = 0
    plain = zlib.decompress

    def counting(data: bytes) -> bytes:
        nonlocal read
        read += len(data)
        return plain(data)

    monkeypatch.setattr(levels.zlib, "decompress", counting)
    _view(path)
    assert read < path.stat().st_size / 5


def test_a_14_bit_capture_takes_less_than_its_samples(tmp_path: Path) -> None:
    noise = np.random.default_rng(1).normal(0, 2, COUNT)
    samples = np.round(5000 * np.sin(np.arange(COUNT) / 700) + noise)
    assert _written(tmp_path, samples).stat().st_size < 0.6 * 4 * COUNT


def test_a_file_of_another_version_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "levels"
    path.write_bytes(b"logbook levels 9\n" + b"\0" * 100)
    with pytest.raises(ValueError, match="version"):
        _view(path)


@pytest.mark.parametrize("uneven", [False, True], ids=["even", "uneven"])
@pytest.mark.parametrize("glitch_at", [5, 777, GLITCH_AT])
def test_a_glitch_is_seen_on_a_logarithmic_axis(tmp_path: Path, glitch_at: int, uneven: bool) -> None:
    samples = np.zeros(COUNT)
    samples[glitch_at] = GLITCH
    x = np.cumsum(1 + np.arange(COUNT) % 3) * 1e-6 if uneven else None
    view = view_in(_written(tmp_path, samples, x), channel=0, start=None, stop=None, buckets=600, is_log=True)
    assert sum(view.high) == GLITCH
    at = x[glitch_at] if x is not None else glitch_at * 1e-6
    ends = [*view.x[1:], view.x_end * (1 + 1e-9)]
    place = view.high.index(GLITCH)
    assert view.x[place] <= at * (1 + 1e-9) < ends[place] * (1 + 2e-9)


def test_a_logarithmic_axis_has_as_many_pairs_in_every_decade(tmp_path: Path) -> None:
    view = view_in(_written(tmp_path, _samples()), channel=0, start=1e-4, stop=0.1, buckets=300, is_log=True)
    decades = np.histogram(np.log10(view.x), bins=[-4 - 1e-9, -3, -2, -1 + 1e-9])[0]
    # Blocks of samples move an edge a little, so that a few of the 100 in each merge.
    assert decades.min() > 80


def test_a_logarithmic_axis_begins_above_0(tmp_path: Path) -> None:
    path = tmp_path / "levels"
    trace = Trace("CH1", "V", np.arange(1000.0))
    path.write_bytes(packed(Traces("time", "s", -5e-4, 1e-6, None, (trace,))))
    view = view_in(path, channel=0, start=None, stop=None, buckets=50, is_log=True)
    assert view.x[0] == pytest.approx(1e-6)
    assert view.x_end == pytest.approx(499e-6)


def test_a_capture_wholly_below_0_has_no_logarithmic_axis(tmp_path: Path) -> None:
    path = tmp_path / "levels"
    path.write_bytes(packed(Traces("time", "s", -1.0, 1e-6, None, (Trace("CH1", "V", np.zeros(100)),))))
    with pytest.raises(InvalidInputError, match="above 0"):
        view_in(path, channel=0, start=None, stop=None, buckets=50, is_log=True)
