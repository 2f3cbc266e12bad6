"""Pictures: what is read, what is refused, and what leaves the site."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

from logbook.common.errors import InvalidInputError
from logbook.evidence import heic
from logbook.evidence.images import SIDES, picture_in, versions_of
from logbook.evidence.kinds import identified
from tests.evidence import files


def _file(tmp_path: Path, data: bytes) -> Path:
    path = tmp_path / "given"
    path.write_bytes(data)
    return path


def _shown(tmp_path: Path, data: bytes, suffix: str = "full.webp") -> Image.Image:
    return Image.open(io.BytesIO(dict(versions_of(_file(tmp_path, data)))[suffix]))


@pytest.mark.parametrize("name", ["PNG", "JPEG", "WEBP", "GIF", "TIFF"])
def test_it_reads_the_usual_formats(tmp_path: Path, name: str) -> None:
    found = picture_in(_file(tmp_path, files.picture(name)))
    assert (found.media_type, found.width, found.height) == (f"image/{name.lower()}", 40, 20)


def test_it_reads_the_pictures_of_phones(tmp_path: Path) -> None:
    pytest.importorskip("pillow_heif", reason="the extra heif is not installed")
    path = _file(tmp_path, files.heic())
    assert picture_in(path).media_type == "image/heic"
    assert _shown(tmp_path, path.read_bytes()).size == (64, 32)


def test_a_broken_picture_of_a_phone_breaks_only_its_own_process(tmp_path: Path) -> None:
    pytest.importorskip("pillow_heif", reason="the extra heif is not installed")
    data = files.heic()
    with pytest.raises(InvalidInputError, match="cannot be read"):
        picture_in(_file(tmp_path, data[: len(data) // 2]))


def test_a_picture_of_a_phone_with_too_many_pixels_is_refused(tmp_path: Path) -> None:
    pytest.importorskip("pillow_heif", reason="the extra heif is not installed")
    with pytest.raises(OverflowError):
        heic.ppm_of(_file(tmp_path, files.heic()), 64 * 32 - 1)


def test_without_the_extra_a_picture_of_a_phone_is_refused_with_a_way_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(heic, "is_available", lambda: False)
    path = _file(tmp_path, b"\0\0\0\x18ftypheic" + b"\0" * 50)
    with pytest.raises(InvalidInputError, match="export it as JPEG"):
        identified(path)


@pytest.mark.parametrize("size", [(1, 1), (7, 300), (300, 7)])
def test_it_reads_a_picture_smaller_than_eight_pixels(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "small.jpg"
    Image.new("RGB", size).save(path)
    found = picture_in(path)
    assert (found.width, found.height) == size


def test_it_turns_a_picture_upright(tmp_path: Path) -> None:
    shown = _shown(tmp_path, files.photo_taken_somewhere(orientation=6)).convert("RGB")
    top, bottom = shown.getpixel((10, 5)), shown.getpixel((10, 35))
    assert shown.size == (20, 40)
    # Orientation 6: the left of what was stored belongs on top.
    assert top[0] > 200 > 50 > top[2]  # type: ignore[index]
    assert bottom[2] > 200 > 50 > bottom[0]  # type: ignore[index]


def test_it_removes_where_a_picture_was_taken(tmp_path: Path) -> None:
    given = files.photo_taken_somewhere()
    assert Image.open(io.BytesIO(given)).getexif().get_ifd(files.GPS)
    for data in dict(versions_of(_file(tmp_path, given))).values():
        shown = Image.open(io.BytesIO(data))
        assert not dict(shown.getexif())
        assert not {"exif", "xmp", "icc_profile", "comment"} & set(shown.info)
        assert b"hidden" not in data
        assert b"invented maker" not in data


def test_it_makes_small_versions_and_enlarges_nothing(tmp_path: Path) -> None:
    path = _file(tmp_path, files.picture("PNG", (2000, 1000)))
    sizes = {suffix: Image.open(io.BytesIO(data)).width for suffix, data in versions_of(path)}
    assert sizes == {"320.webp": 320, "1280.webp": 1280, "full.webp": 2000}
    assert set(sizes) == set(SIDES)


@pytest.mark.parametrize("side", [7_072, 9_000, 30_000])
def test_it_refuses_a_decompression_bomb(tmp_path: Path, side: int) -> None:
    with pytest.raises(InvalidInputError, match="too many pixels") as refused:
        picture_in(_file(tmp_path, files.bomb(side)))
    assert refused.value.problems[0].allowed == "up to 50 million pixels"


@pytest.mark.parametrize("name", ["PNG", "JPEG", "WEBP", "TIFF"])
def test_it_refuses_a_picture_that_breaks_off(tmp_path: Path, name: str) -> None:
    data = files.picture(name, (900, 900))
    with pytest.raises(InvalidInputError, match="damaged|cannot be read"):
        picture_in(_file(tmp_path, data[: len(data) // 2]))


@pytest.mark.parametrize("name", ["BMP", "PPM", "ICO"])
def test_it_refuses_other_formats(tmp_path: Path, name: str) -> None:
    with pytest.raises(InvalidInputError, match="another format"):
        picture_in(_file(tmp_path, files.picture(name)))
