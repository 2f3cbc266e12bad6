"""What files say of themselves, after the Gerber Layer Format Specification (Ucamco), 5.6.3."""

from __future__ import annotations

import io
import zipfile

import pytest

from logbook.common.errors import InvalidInputError
from logbook.evidence.gerber.bundle import packed, texts_in
from logbook.evidence.gerber.layers import check_layers, layer_of, layers_in
from tests.evidence.gerber import files


@pytest.mark.parametrize(
    ("function", "layer"),
    [
        ("Copper,L1,Top", "top-copper"),
        ("Copper,L4,Bot", "bottom-copper"),
        ("Copper,L2,Inr", "not drawn"),
        ("Soldermask,Top", "top-mask"),
        ("Legend,Bot", "bottom-legend"),
        ("Profile,NP", "profile"),
        ("NonPlated,1,4,NPTH,Drill", "holes"),
        ("Paste,Top", "not drawn"),
    ],
)
def test_what_a_file_says_goes_before_its_name(function: str, layer: str) -> None:
    found = layer_of("board.gbl", files.gerber("", function))
    assert (found.layer, found.found_by, found.says) == (layer, "function", function)


@pytest.mark.parametrize(
    ("name", "layer", "by"),
    [
        # Endings and parts of names: common practice.
        ("x.GTL", "top-copper", "name"),
        ("x-B_Mask.gbr", "bottom-mask", "name"),
        ("x.gko", "profile", "name"),
        ("sheet1.gbr", "not drawn", "nothing"),
    ],
)
def test_where_a_file_says_nothing_its_name_is_taken(name: str, layer: str, by: str) -> None:
    found = layer_of(name, files.gerber(""))
    assert (found.layer, found.found_by) == (layer, by)


def test_the_comment_form_is_read_too() -> None:
    text = f"G04 #@! TF.FileFunction,Legend,Top*\n{files.gerber('')}"
    assert layer_of("a.gbr", text).layer == "top-legend"


def test_other_files_are_left_out() -> None:
    bundle = packed(
        [("readme.txt", b"hello"), ("a.gtl", files.gerber("").encode()), ("d.txt", b"M48\nMETRIC\n")]
    )
    assert {one.name: one.layer for one in layers_in(io.BytesIO(bundle))} == {
        "a.gtl": "top-copper",
        "d.txt": "holes",
    }


def test_a_mapping_without_copper_is_refused() -> None:
    with pytest.raises(InvalidInputError, match="name the file that holds"):
        check_layers([("a.gbr", "profile")])


def test_the_same_files_give_the_same_bundle() -> None:
    given = [("b.gbr", b"2"), ("folder\\a.gbr", b"1")]
    assert packed(given) == packed(reversed(given))


def _zipped(**entries: bytes) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as target:
        for name, data in entries.items():
            target.writestr(name, data)
    return stream.getvalue()


def _locked() -> bytes:
    data = bytearray(_zipped(a=b"1"))
    # Bit 0 of the general purpose flags says "encrypted" (PKWARE APPNOTE 4.4.4), in both headers.
    data[6] |= 1
    data[data.index(b"PK\x01\x02") + 8] |= 1
    return bytes(data)


def _broken() -> bytes:
    data = bytearray(_zipped(a=bytes(range(256)) * 40))
    data[40:60] = b"\xff" * 20
    return bytes(data)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        pytest.param(b"PK\x03\x04" + b"\0" * 50, "cannot be read", id="no ZIP"),
        pytest.param(_zipped(**{f"f{n}": b"" for n in range(101)}), "101 files", id="too many"),
        pytest.param(_zipped(a=b"\0" * 60_000_001), "too much", id="bomb"),
        pytest.param(_zipped(**{"x/a": b"1", "y/a": b"2"}), "two files called a", id="two of a name"),
        pytest.param(_locked(), "locked", id="locked"),
        pytest.param(_broken(), "cannot be read", id="broken"),
        pytest.param(_zipped(a=b"hello"), "none of the files", id="no Gerber"),
    ],
)
def test_hostile_bundles_are_refused(data: bytes, says: str) -> None:
    with pytest.raises(InvalidInputError, match=says):
        layers_in(io.BytesIO(data))


def test_a_path_that_climbs_out_is_only_a_name() -> None:
    assert [name for name, _text in texts_in(io.BytesIO(_zipped(**{"../../etc/x": b"1"})))] == ["x"]
