"""The reader of photograph folders: every file is found or named, and nothing is written."""

from __future__ import annotations

import base64
import os
import sys
import unicodedata
from pathlib import Path

import pytest

from archivist.hooks import FoundFile, Trouble
from archivist_plugins.photo_folder import PhotoFolderReader

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such names or links")


def read(source: Path) -> tuple[dict[str, FoundFile], list[Trouble]]:
    found = list(PhotoFolderReader().read(source))
    files = {f.path: f for f in found if isinstance(f, FoundFile)}
    return files, [f for f in found if isinstance(f, Trouble)]


def make(path: Path, content: bytes = b"x") -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    return path


def test_every_file_of_a_tree_is_found_with_its_path_below_the_source(tmp_path: Path) -> None:
    for name in ("a.jpg", "HW 0401/front.jpg", "2009/March/blue vase/IMG_1234.JPG"):
        make(tmp_path / name)
    files, troubles = read(tmp_path)
    assert set(files) == {"a.jpg", "HW 0401/front.jpg", "2009/March/blue vase/IMG_1234.JPG"}
    assert not troubles


@POSIX
def test_a_link_back_up_the_tree_is_named_and_not_followed(tmp_path: Path) -> None:
    make(tmp_path / "a/b/x.jpg")
    (tmp_path / "a/b/loop").symlink_to(tmp_path / "a")
    (tmp_path / "a/self").symlink_to(tmp_path / "a/self")
    files, troubles = read(tmp_path)
    assert set(files) == {"a/b/x.jpg"}
    assert {t.place for t in troubles} == {"a/b/loop", "a/self"}


@POSIX
def test_a_link_that_leads_nowhere_is_named(tmp_path: Path) -> None:
    (tmp_path / "gone.jpg").symlink_to(tmp_path / "not there.jpg")
    files, (trouble,) = read(tmp_path)
    assert not files
    assert "leads nowhere" in trouble.reason


@POSIX
def test_a_link_out_of_the_folder_is_named_with_where_it_leads_and_not_followed(
    tmp_path: Path,
) -> None:
    make(tmp_path / "stock/a.jpg")
    make(tmp_path / "stock/b/c.jpg")
    private = make(tmp_path / "private/letter.jpg")
    (tmp_path / "stock/folder").symlink_to(tmp_path / "private", target_is_directory=True)
    (tmp_path / "stock/b/file.jpg").symlink_to(private)
    (tmp_path / "stock/again").symlink_to(tmp_path / "stock/folder", target_is_directory=True)
    (tmp_path / "stock/within.jpg").symlink_to(tmp_path / "stock/a.jpg")
    files, troubles = read(tmp_path / "stock")
    assert set(files) == {"a.jpg", "b/c.jpg", "within.jpg"}
    named = {t.place: t for t in troubles}
    assert set(named) == {"folder", "b/file.jpg", "again"}
    assert all(str(tmp_path / "private") in t.reason and not t.harmless for t in troubles)
    assert all("survey that place" in t.remedy for t in troubles)


@POSIX
def test_a_folder_that_a_link_within_leads_to_keeps_its_own_path(tmp_path: Path) -> None:
    make(tmp_path / "z/a.jpg")
    (tmp_path / "b").symlink_to(tmp_path / "z", target_is_directory=True)
    files, (trouble,) = read(tmp_path)
    assert set(files) == {"z/a.jpg"}
    assert (trouble.place, trouble.harmless) == ("b", True)


@POSIX
def test_a_source_that_is_itself_a_link_is_what_was_asked_for(tmp_path: Path) -> None:
    make(tmp_path / "there/a.jpg")
    (tmp_path / "here").symlink_to(tmp_path / "there", target_is_directory=True)
    files, troubles = read(tmp_path / "here")
    assert (set(files), troubles) == ({"a.jpg"}, [])


def test_a_folder_that_is_left_out_with_pictures_in_it_says_how_many_and_how_to_take_them(
    tmp_path: Path,
) -> None:
    for name in ("$RECYCLE.BIN/S-1/a.jpg", "$RECYCLE.BIN/b.NEF", ".Trashes/notes.txt", "c.jpg"):
        make(tmp_path / name)
    files, troubles = read(tmp_path)
    assert set(files) == {"c.jpg"}
    bin_, empty = sorted(troubles, key=lambda t: t.place)
    assert ("2 pictures" in bin_.reason, bin_.harmless) == (True, False)
    assert str(tmp_path / "$RECYCLE.BIN") in bin_.remedy
    assert empty.harmless
    assert set(read(tmp_path / "$RECYCLE.BIN")[0]) == {"S-1/a.jpg", "b.NEF"}


def test_an_unreadable_folder_is_named_and_the_rest_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    make(tmp_path / "closed/x.jpg")
    make(tmp_path / "open/y.jpg")
    scandir = os.scandir

    def refuse(path: Path) -> object:
        if Path(path).name == "closed":
            raise PermissionError(13, "Permission denied")
        return scandir(path)

    monkeypatch.setattr(os, "scandir", refuse)
    files, (trouble,) = read(tmp_path)
    assert set(files) == {"open/y.jpg"}
    assert (trouble.place, "Permission denied" in trouble.reason) == ("closed", True)
    assert "survey again" in trouble.remedy


@pytest.mark.skipif(sys.platform != "linux", reason="other systems fold or refuse such names")
def test_names_that_differ_by_case_or_by_unicode_form_are_different_files(tmp_path: Path) -> None:
    composed, parted = (unicodedata.normalize(f, "café.jpg") for f in ("NFC", "NFD"))
    for name in (composed, parted, "A.jpg", "a.jpg", "con.jpg", 'q"<>|?*.jpg', "dot. ", "é" * 120):
        make(tmp_path / name)
    make(tmp_path / ("x" * 251 + ".jpg"))
    files, _ = read(tmp_path)
    assert {composed, parted, "A.jpg", "a.jpg", "con.jpg", 'q"<>|?*.jpg', "dot. "} <= set(files)
    assert "x" * 251 + ".jpg" in files
    assert len(files) == 9


@pytest.mark.skipif(sys.platform != "linux", reason="other systems refuse such names")
def test_a_name_that_is_no_unicode_keeps_its_bytes(tmp_path: Path) -> None:
    raw = b"caf\xe9.jpg"
    with open(os.path.join(os.fsencode(tmp_path), raw), "wb"):  # noqa: PTH118, PTH123
        pass
    files, _ = read(tmp_path)
    (file,) = files.values()
    assert file.path == "caf\ufffd.jpg"
    assert base64.b64decode(file.path_bytes) == raw


def test_words_in_text_files_beside_pictures_are_their_captions(tmp_path: Path) -> None:
    make(tmp_path / "foot.jpg")
    make(tmp_path / "foot.txt", "Fuß, ungeglättet".encode("cp1252"))
    make(tmp_path / "IMG_1.JPG")
    make(tmp_path / "IMG_2.JPG")
    make(tmp_path / "IMG_3.JPG")
    make(tmp_path / "IMG_3.JPG.txt", b"the mouth")
    make(tmp_path / "IMG_4.NEF")
    make(tmp_path / "IMG_4.JPG")
    make(tmp_path / "list.txt", b"IMG_1.JPG: the mark\nimg_2\tunder the rim\nIMG_4: a crack\n-\n")
    files, _ = read(tmp_path)
    assert files["foot.jpg"].captions == ("Fuß, ungeglättet",)
    assert files["IMG_1.JPG"].captions == ("the mark",)
    assert files["IMG_2.JPG"].captions == ("under the rim",)
    assert files["IMG_3.JPG"].captions == ("the mouth",)
    assert files["IMG_4.NEF"].captions == files["IMG_4.JPG"].captions == ("a crack",)
    assert {"foot.txt", "list.txt"} <= set(files), "the text files are kept too"


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("Thumbs.db", b"x"),
        (".DS_Store", b"x"),
        ("desktop.ini", b"x"),
        ("._IMG_1.JPG", b"\x00\x05\x16\x07rest"),
        ("__MACOSX/._x.jpg", b"x"),
    ],
)
def test_what_systems_keep_for_themselves_is_named_and_left_out(
    tmp_path: Path, name: str, content: bytes
) -> None:
    make(tmp_path / name, content)
    files, (trouble,) = read(tmp_path)
    assert not files
    assert trouble.harmless
    assert "left out" in trouble.reason


def test_a_picture_whose_name_only_looks_like_a_resource_fork_is_found(tmp_path: Path) -> None:
    make(tmp_path / "._odd name.jpg", b"\xff\xd8\xff")
    assert set(read(tmp_path)[0]) == {"._odd name.jpg"}


@POSIX
def test_pipes_and_devices_are_named_and_never_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    files, (trouble,) = read(tmp_path)
    assert not files
    assert "no file" in trouble.reason


def test_a_single_picture_can_be_a_source(tmp_path: Path) -> None:
    path = make(tmp_path / "HW 0401.jpg")
    assert PhotoFolderReader().sure(path) > 0.5
    assert set(read(path)[0]) == {"HW 0401.jpg"}
