"""A damaged or hostile archive is refused with its reason, and changes nothing."""

from __future__ import annotations

import copy
import json
import re
import stat
import zipfile
from pathlib import Path

import pytest

from logbook.accounts.models import User
from logbook.common.changes import Actor
from logbook.common.models import Job
from logbook.projects.models import Project
from logbook.recall.archive import format as fixed
from logbook.recall.archive.format import RefusedArchiveError
from logbook.recall.archive.importing import import_archive
from tests.recall.archive.forging import forged, in_line, in_manifest
from tests.recall.archive.small import small_archive

pytestmark = pytest.mark.django_db
NOBODY = Actor(None, "command")


@pytest.fixture
def good(tmp_path: Path, empty_disk: Path) -> Path:
    path = small_archive(tmp_path / "good.zip")
    for file in (empty_disk / "evidence").rglob("*"):
        if file.is_file():
            file.unlink()
    return path


def refusal(path: Path, disk: Path, people: dict[str, str] | None = None) -> str:
    """Return why an archive is refused, having made sure that nothing was changed."""
    with pytest.raises(RefusedArchiveError) as caught:
        import_archive(actor=NOBODY, path=path, people=people)
    assert not Project.objects.exists()
    assert not Job.objects.exists()
    assert [file for file in disk.rglob("*") if file.is_file()] == []
    assert "nothing was changed" in caught.value.message
    return caught.value.message


def test_the_good_one_is_taken(good: Path) -> None:
    assert import_archive(actor=NOBODY, path=good).project.slug == "tern"


CHANGED = {
    "newer version": (in_manifest(version=2), "version 2 of the format and this site reads version 1"),
    "no version": (in_manifest(version=None), "names no version"),
    "another format": (in_manifest(format="photo-album"), "no archive of a project"),
    "no members named": (in_manifest(counts=None), "lacks project, counts or members"),
    "lines missing": (lambda members: members.pop("data/boards.jsonl"), "data/boards.jsonl: it is missing"),
    "fewer lines": (lambda members: members.update({"data/boards.jsonl": b""}), "counts other lines"),
    "no JSON": (lambda members: members.update({"data/boards.jsonl": b"{\n"}), "line 1: it is no JSON"),
    "deep JSON": (lambda members: members.update({"data/boards.jsonl": b"[" * 200_000}), "no JSON"),
    "not a number": (in_line("measurements", value_base=float("nan")), "NaN is no number"),
    "the character 0": (in_line("boards", note="a\0b"), "the character 0"),
    "half a character": (in_line("boards", note="\ud800"), "no JSON this version reads"),
    "another field": (in_line("boards", is_admin=True), "other fields than version 1"),
    "a wrong word": (in_line("boards", state="on fire"), "state"),
    "a wrong type": (in_line("boards", note=7), "not of the type str"),
    "a key that breaks out": (in_line("boards", serial="../../etc"), "serial"),
    "an unknown board": (in_line("measurements", board="0099"), "the archive has none of this name"),
    "an unknown person": (in_line("measurements", recorded_by="root"), "does not name this person"),
    "a list as a name": (in_line("measurements", board=["0001"]), "none of this name"),
    "an object as a name": (in_line("measurements", board={"a": 1}), "none of this name"),
    "a circle of targets": (in_line("prerequisites", target="RLD-1", needs="RLD-1"), "circle"),
    "a revision of itself": (in_line("revisions", parent="A"), "circle"),
    "another project inside": (in_line("projects", slug="other"), "other projects than the manifest"),
    "a wrong number": (in_line("memberships", number_in_file=7), "not numbered 1, 2, 3"),
    "other evidence": (in_line("evidence", kind="photo"), "not a photo"),
    "evidence of nobody": (
        lambda members: members.update({f"evidence/{'0' * 64}.txt": b"x"}),
        "no record names this file",
    ),
    "evidence lost": (
        lambda members: [members.pop(name) for name in list(members) if name.startswith("evidence/")],
        "its file is not in the archive",
    ),
}


@pytest.mark.parametrize(("change", "reason"), CHANGED.values(), ids=CHANGED)
def test_what_is_inside_is_checked(good: Path, empty_disk: Path, tmp_path: Path, change, reason) -> None:
    assert reason in refusal(forged(good, change, path=tmp_path / "bad.zip"), empty_disk)
    assert not User.objects.exists()


def test_the_same_name_twice_is_refused(good: Path, empty_disk: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(good) as archive:
        counts = json.loads(archive.read("manifest.json"))["counts"]

    def twice(members: dict[str, bytes]) -> None:
        members["data/subsystems.jsonl"] *= 2
        in_manifest(counts=counts | {"subsystems": 2})(members)

    assert "there twice" in refusal(forged(good, twice, path=tmp_path / "bad.zip"), empty_disk)


def test_a_wrong_checksum_is_refused(good: Path, empty_disk: Path, tmp_path: Path) -> None:
    change = in_line("boards", note="nothing to see")
    bad = forged(good, change, path=tmp_path / "bad.zip", is_signed=False)
    assert "data/boards.jsonl: it was altered" in refusal(bad, empty_disk)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.99])
def test_a_file_that_ends_early_is_refused(good: Path, empty_disk: Path, tmp_path: Path, share) -> None:
    data = good.read_bytes()
    (tmp_path / "bad.zip").write_bytes(data[: int(len(data) * share)])
    assert "no whole zip file" in refusal(tmp_path / "bad.zip", empty_disk)


@pytest.mark.parametrize("place", [0.05, 0.3, 0.6])
def test_a_flipped_bit_is_refused(good: Path, empty_disk: Path, tmp_path: Path, place) -> None:
    data = bytearray(good.read_bytes())
    for offset in range(int(len(data) * place), int(len(data) * place) + 200):
        data[offset] ^= 0x10
    (tmp_path / "bad.zip").write_bytes(data)
    assert refusal(tmp_path / "bad.zip", empty_disk)


ASTRAY = ["../outside.txt", "/etc/cron.d/x", "data/../../x", "C:/x", "data\\..\\x", "data//x", "./x", "a/"]


@pytest.mark.parametrize("name", ASTRAY)
def test_a_member_that_leaves_the_archive_is_refused(good: Path, empty_disk, tmp_path: Path, name) -> None:
    bad = forged(good, lambda members: members.update({name: b"x"}), path=tmp_path / "bad.zip")
    assert "only lie inside the archive" in refusal(bad, empty_disk)


def added(good: Path, path: Path, info: zipfile.ZipInfo, data: bytes) -> Path:
    """Return a copy with one more member, made by hand."""
    path.write_bytes(good.read_bytes())
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr(info, data)
    return path


def test_a_link_is_refused(good: Path, empty_disk: Path, tmp_path: Path) -> None:
    info = zipfile.ZipInfo("evidence/link")
    info.create_system, info.external_attr = 3, (stat.S_IFLNK | 0o777) << 16
    assert "a link" in refusal(added(good, tmp_path / "bad.zip", info, b"/etc/passwd"), empty_disk)


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize("name", ["data/boards.jsonl", "DATA/boards.jsonl"])
def test_a_name_that_is_there_twice_is_refused(good: Path, empty_disk, tmp_path: Path, name) -> None:
    bad = added(good, tmp_path / "bad.zip", zipfile.ZipInfo(name), b"x")
    assert "there twice" in refusal(bad, empty_disk)


def test_an_encrypted_member_is_refused(good: Path, empty_disk: Path, tmp_path: Path) -> None:
    data = bytearray(good.read_bytes())
    data[data.rindex(b"PK\x01\x02") + 8] |= 1
    (tmp_path / "bad.zip").write_bytes(data)
    assert "encrypted" in refusal(tmp_path / "bad.zip", empty_disk)


def test_a_bomb_is_refused_without_unpacking_it(good: Path, empty_disk: Path, tmp_path: Path) -> None:
    info = zipfile.ZipInfo("evidence/zeros")
    info.compress_type = zipfile.ZIP_DEFLATED
    bad = added(good, tmp_path / "bad.zip", info, bytes(30_000_000))
    assert bad.stat().st_size < good.stat().st_size + 100_000
    assert "would burst to 30,000,000 bytes" in refusal(bad, empty_disk)


def test_members_that_share_their_bytes_are_refused(good: Path, empty_disk: Path, tmp_path: Path) -> None:
    bad = added(good, tmp_path / "bad.zip", zipfile.ZipInfo("evidence/much"), bytes(100_000))
    with zipfile.ZipFile(bad, "a") as archive:
        for number in range(3):
            again = copy.copy(archive.getinfo("evidence/much"))
            again.filename = f"evidence/again-{number}"
            archive.filelist.append(again)
        archive.writestr("evidence/last", b"x")
    assert "lie over each other" in refusal(bad, empty_disk)


def test_too_many_members_are_refused(good: Path, empty_disk: Path, monkeypatch) -> None:
    monkeypatch.setattr(fixed, "MOST_MEMBERS", 5)
    assert re.search(r"it holds \d\d members; nothing was changed", refusal(good, empty_disk))


def test_evidence_that_is_another_file_is_refused(good: Path, empty_disk: Path, tmp_path: Path) -> None:
    def swapped(members: dict[str, bytes]) -> None:
        name = next(name for name in members if name.startswith("evidence/"))
        members[name] = b"something else\n"

    assert "its file is another one" in refusal(forged(good, swapped, path=tmp_path / "b.zip"), empty_disk)


def test_a_person_of_this_site_is_never_taken_for_one_of_the_archive(good: Path, empty_disk: Path) -> None:
    User.objects.create_user("owner-tern", password="a long test password")
    message = refusal(good, empty_disk)
    assert "owner-tern can sign in here and may be somebody else" in message
    assert import_archive(actor=NOBODY, path=good, people={"owner-tern": "owner-tern"}).project.slug == "tern"


def test_a_project_that_is_here_already_stays_as_it_is(good: Path) -> None:
    project = import_archive(actor=NOBODY, path=good).project
    Project.objects.filter(pk=project.pk).update(name="Changed since")
    with pytest.raises(RefusedArchiveError, match="has a project 'tern' already"):
        import_archive(actor=NOBODY, path=good)
    assert Project.objects.get().name == "Changed since"
