"""A package is confined to its folder, digests what is written, and keeps nothing half."""

from __future__ import annotations

import hashlib
import io
import threading
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.errors import PackageError
from archivist.hooks import WrittenFile
from archivist.names import check_path
from archivist.release.package import FolderPackage
from tests.release.conftest import tree


@pytest.fixture
def package(tmp_path: Path) -> FolderPackage:
    return FolderPackage(tmp_path / "package")


OUTSIDE = [
    "../a",
    "a/../../b",
    "/etc/passwd",
    "C:/a",
    "c:a",
    "a\\b",
    "..\\a",
    "//server/share",
    "",
    ".",
    "a//b",
    "a/",
    "./a",
    "con",
    "a/nul.txt",
    "com1.json",
    "lpt9",
    "a.",
    "a ",
    "A",
    "é",
    "a:b",
    "a\0b",
    "a\n",
    "~root",
    "x" * 41,
    "/".join(["abcdefgh"] * 20),
]


@pytest.mark.parametrize("path", OUTSIDE)
def test_a_path_that_is_not_legal_everywhere_is_refused(package: FolderPackage, path: str) -> None:
    with pytest.raises(PackageError):
        package.write(path, b"x")
    with pytest.raises(PackageError):
        package.copy(path, Path(__file__))
    assert package.written == ()


@given(st.text(max_size=60))
def test_whatever_passes_lies_within(path: str) -> None:
    try:
        check_path(path)
    except PackageError:
        return
    root = Path("/work-folder")
    assert root.joinpath(*path.split("/")).resolve().is_relative_to(root)
    assert ".." not in path.split("/")


def test_a_link_out_of_the_package_is_not_followed(tmp_path: Path, package: FolderPackage) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    package.write("a.txt", b"x")
    try:
        (tmp_path / "package" / "out").symlink_to(outside, target_is_directory=True)
        (tmp_path / "package" / "b.txt").symlink_to(outside / "b.txt")
    except OSError:
        pytest.skip("links cannot be made here")
    with pytest.raises(PackageError, match="leads out of the package by a link"):
        package.write("out/c.txt", b"x")
    with pytest.raises(PackageError, match="already holds"):
        package.write("b.txt", b"x")
    assert list(outside.iterdir()) == []


def test_every_byte_is_digested_as_it_is_written(package: FolderPackage, tmp_path: Path) -> None:
    source = tmp_path / "source"
    source.write_bytes(b"abc" * 1_000_000)
    copied = package.copy("a/copy.bin", source)
    words = package.write("words.txt", "Größe")
    with package.open("b.bin") as target:
        target.write(b"ab")
        target.write(bytearray(b"c"))
        assert target.tell() == 3
    # FIPS 180-4, the digest of "abc" as in NIST's own examples.
    abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert package.written[2].sha256 == abc
    for file in (copied, words):
        data = file.location.read_bytes()
        assert (file.size, file.sha256, file.sha512) == (
            len(data),
            hashlib.sha256(data).hexdigest(),
            hashlib.sha512(data).hexdigest(),
        )
    assert words.location.read_bytes() == b"Gr\xc3\xb6\xc3\x9fe"
    assert [file.path for file in package.written] == ["a/copy.bin", "words.txt", "b.bin"]


def test_libraries_that_write_to_a_file_can_write_into_it(package: FolderPackage) -> None:
    with package.open("a.zip") as target, zipfile.ZipFile(target, "w") as inside:
        inside.writestr("a", "b")
    with package.open("b.xml") as target:
        ElementTree.ElementTree(ElementTree.Element("a")).write(target)
    with package.open("c.txt") as target, io.TextIOWrapper(target, "utf-8") as words:
        words.write("ü")
    with package.open("d.png") as target:
        from PIL import Image

        Image.new("L", (3, 3)).save(target, "PNG")
    assert zipfile.ZipFile(package.written[0].location).read("a") == b"b"
    assert package.written[2].size == 2
    for file in package.written:
        assert hashlib.sha256(file.location.read_bytes()).hexdigest() == file.sha256


def test_a_file_that_breaks_off_is_not_there(package: FolderPackage, tmp_path: Path) -> None:
    def break_off() -> None:
        with package.open("deep/er/half.bin") as target:
            target.write(b"half")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        break_off()
    assert package.written == ()
    assert list((tmp_path / "package").iterdir()) == []


def test_a_path_is_written_once(package: FolderPackage) -> None:
    package.write("a", b"first")
    with pytest.raises(PackageError, match="already holds 'a'"):
        package.write("a", b"second")
    with pytest.raises(PackageError, match="already holds 'a/b'"):
        package.write("a/b", b"second")
    assert package.written[0].location.read_bytes() == b"first"


def test_what_another_wrote_into_the_same_folder_is_not_harmed(tmp_path: Path) -> None:
    first, second = FolderPackage(tmp_path / "p"), FolderPackage(tmp_path / "p")
    first.write("a", b"first")
    with pytest.raises(PackageError):
        second.write("a", b"second")
    second.discard()
    assert tree(tmp_path / "p") == {"a": b"first"}


def test_discarding_removes_what_was_written_and_nothing_else(
    package: FolderPackage, tmp_path: Path
) -> None:
    package.write("a/b/c", b"x")
    other = tmp_path / "package" / "a" / "other"
    other.write_bytes(b"y")
    package.discard()
    assert tree(tmp_path / "package") == {"a/other": b"y"}
    assert package.written == ()


def test_threads_may_copy_at_once(package: FolderPackage, tmp_path: Path) -> None:
    source = tmp_path / "source"
    source.write_bytes(b"x" * 100_000)
    threads = [
        threading.Thread(target=package.copy, args=(f"d{n % 3}/{n}", source)) for n in range(24)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(package.written) == 24


def test_companions_are_what_others_wrote(tmp_path: Path) -> None:
    other = WrittenFile("iiif/a.json", tmp_path / "a.json", 1, "", "")
    assert FolderPackage(tmp_path / "p", [other]).companions() == (other,)
