"""Originals are kept byte for byte, read-only, once each, whatever happens on the way."""

from __future__ import annotations

import csv
import errno
import hashlib
import os
import shutil
import stat
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from archivist.catalogue import originals
from archivist.catalogue.archive import Archive
from archivist.catalogue.holdings import (
    Occurrence,
    add_occurrence,
    add_original,
    occurrences,
    write_inventory,
)
from archivist.catalogue.originals import OriginalStore, legal_extension, write_whole
from archivist.catalogue.sources import add_source
from archivist.errors import ArchiveError, FixityError, SourceError
from tests.archives import OWNER, add_photograph, jpeg, new_id


@pytest.fixture
def store(tmp_path: Path) -> OriginalStore:
    return OriginalStore(tmp_path / "originals")


@pytest.fixture
def source(tmp_path: Path) -> Path:
    path = tmp_path / "old" / "bowl (1).JPG"
    path.parent.mkdir()
    path.write_bytes(bytes(range(256)) * 9000)
    return path


def left(store: OriginalStore) -> list[str]:
    return sorted(p.name for p in store.folder.rglob("*") if p.is_file())


def test_a_file_is_copied_and_digested_and_made_read_only(
    store: OriginalStore, source: Path
) -> None:
    content = source.read_bytes()
    digests = store.take_in(source, ".jpg")
    # FIPS 180-4, by the standard library.
    assert digests.sha256 == hashlib.sha256(content).hexdigest()
    assert digests.sha512 == hashlib.sha512(content).hexdigest()
    assert digests.size == len(content)
    place = store.path_of(digests.sha256, ".jpg")
    assert place.read_bytes() == content
    assert not place.stat().st_mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH)
    assert left(store) == [f"{digests.sha256}.jpg"]
    assert source.read_bytes() == content


def test_the_same_bytes_are_kept_once(store: OriginalStore, source: Path) -> None:
    twin = source.with_name("twin.jpg")
    shutil.copy(source, twin)
    first = store.take_in(source, ".jpg")
    before = store.path_of(first.sha256, ".jpg").stat()
    assert store.take_in(twin, ".jpg") == first
    after = store.path_of(first.sha256, ".jpg").stat()
    assert (before.st_ino, before.st_mtime_ns) == (after.st_ino, after.st_mtime_ns)
    assert left(store) == [f"{first.sha256}.jpg"]


def test_progress_is_told_every_byte_once(store: OriginalStore, source: Path) -> None:
    passed: list[int] = []
    store.take_in(source, ".jpg", passed.append)
    assert sum(passed) == source.stat().st_size


def test_a_file_that_changes_while_it_is_copied_is_not_taken_in(
    store: OriginalStore, source: Path
) -> None:
    def scribble(_: int) -> None:
        os.utime(source, (0, 0))

    with pytest.raises(FixityError, match="changed between the survey and now"):
        store.take_in(source, ".jpg", scribble)
    assert left(store) == []


def test_a_file_that_changed_since_the_survey_is_not_taken_in(
    store: OriginalStore, source: Path
) -> None:
    with pytest.raises(FixityError, match="Survey it again"):
        store.take_in(source, ".jpg", expected_sha256="0" * 64)
    assert left(store) == []


def test_ctrl_c_while_copying_leaves_nothing(store: OriginalStore, source: Path) -> None:
    def stop(_: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        store.take_in(source, ".jpg", stop)
    assert left(store) == []


def test_what_a_killed_copy_left_is_swept_and_originals_are_not(
    store: OriginalStore, source: Path
) -> None:
    kept = store.take_in(source, ".jpg")
    half = store.folder / "incoming-0123"
    half.write_bytes(b"half")
    half.chmod(0o444)
    store.sweep()
    assert left(store) == [f"{kept.sha256}.jpg"]


def failing(problem: int, only: Callable[[str], bool]) -> Callable[..., Any]:
    """An `open` whose files raise that errno when they are written, or read."""
    real = Path.open

    def opened(path: Path, mode: str = "r", *args: Any, **more: Any) -> Any:
        stream = real(path, mode, *args, **more)
        if only(mode):
            name = "read" if mode == "rb" else "write"

            class Broken:
                def __enter__(self) -> Any:
                    return self

                def __exit__(self, *_: object) -> None:
                    stream.close()

                def __getattr__(self, attribute: str) -> Any:
                    if attribute == name:
                        raise OSError(problem, os.strerror(problem))
                    return getattr(stream, attribute)

            return Broken()
        return stream

    return opened


def test_a_full_disk_is_told_as_that_and_leaves_nothing_half(
    store: OriginalStore, source: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Path, "open", failing(errno.ENOSPC, lambda mode: mode == "xb"))
    with pytest.raises(ArchiveError, match="is full") as told:
        store.take_in(source, ".jpg")
    assert "run the same command again" in told.value.remedy
    monkeypatch.undo()
    assert left(store) == []
    store.take_in(source, ".jpg")


def test_a_disk_that_fails_under_the_source_is_the_fault_of_the_source(
    store: OriginalStore, source: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Path, "open", failing(errno.EIO, lambda mode: mode == "rb"))
    with pytest.raises(SourceError, match="cannot be read") as told:
        store.take_in(source, ".jpg")
    assert str(source) in told.value.message
    monkeypatch.undo()
    assert left(store) == []


def test_a_file_that_is_not_there_is_told_as_that(store: OriginalStore, source: Path) -> None:
    with pytest.raises(SourceError, match="cannot be read"):
        store.take_in(source.with_name("gone.jpg"), ".jpg")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full on this system")
def test_a_text_that_cannot_be_written_whole_leaves_the_old_one(tmp_path: Path) -> None:
    path = tmp_path / "inventory.csv"
    write_whole(path, "old")
    (tmp_path / "inventory.csv.new").symlink_to("/dev/full")
    with pytest.raises(OSError, match="No space left"):
        write_whole(path, "new" * 10_000)
    assert path.read_text(encoding="utf-8") == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["inventory.csv"]


@pytest.mark.parametrize(
    ("name", "extension"),
    [
        ("a.JPG", ".jpg"),
        ("a.tar.gz", ".gz"),
        ("no extension", ""),
        (".hidden", ""),
        ("a.jp g", ""),
        ("a.写真", ""),
        ("a.toolongextension", ""),
        ("a.jpg.", ""),
    ],
)
def test_extensions_are_kept_where_they_are_plain(name: str, extension: str) -> None:
    assert legal_extension(name) == extension


def test_the_manifest_is_checked_by_sha256sum(archive: Archive, tmp_path: Path) -> None:
    checker = shutil.which("sha256sum")
    if checker is None:
        pytest.skip("no sha256sum on this system")
    for number in range(3):
        add_photograph(archive, jpeg(tmp_path / "old" / f"{number}.jpg", tone=number))
    command = [checker, "--check", "--strict", "manifest-sha256.txt"]
    # GNU coreutils, sha256sum.
    good = subprocess.run(command, cwd=archive.store.folder, capture_output=True, check=False)
    assert good.returncode == 0, good.stderr
    assert good.stdout.count(b": OK") == 3
    victim = next(iter(archive.store.files()))
    victim.chmod(0o644)
    victim.write_bytes(b"rot")
    bad = subprocess.run(command, cwd=archive.store.folder, capture_output=True, check=False)
    assert bad.returncode == 1
    assert victim.name.encode() in bad.stdout


def test_the_inventory_has_a_line_for_every_place_a_file_was_found_in(
    archive: Archive, tmp_path: Path
) -> None:
    source = jpeg(tmp_path / "old" / 'bowl, "best" 碗.jpg')
    digests = archive.store.take_in(source, ".jpg")
    with archive.catalogue.action("apply", OWNER) as action:
        add_source(action, new_id(1), "photo-folder", "/old, photographs")
        add_original(action, digests, ".jpg", "image/jpeg")
        for path in (source.name, "copy of it.jpg"):
            add_occurrence(
                action, Occurrence(digests.sha256, new_id(1), path, modified="1998-03-01T10:00:00Z")
            )
    write_inventory(archive.catalogue, archive.store)
    text = (archive.store.folder / originals.INVENTORY).read_text(encoding="utf-8-sig")
    rows = list(csv.DictReader(text.splitlines()))
    assert {row["at"] for row in rows} == {source.name, "copy of it.jpg"}
    for row in rows:
        assert (archive.store.folder / row["file"]).is_file()
        assert row["found in"] == "/old, photographs"
        assert int(row["bytes"]) == digests.size
    assert len(occurrences(archive.catalogue, digests.sha256)) == 2


def test_an_original_that_is_gone_is_named(archive: Archive, tmp_path: Path) -> None:
    photograph = add_photograph(archive, jpeg(tmp_path / "a.jpg"))
    path = archive.original_path(photograph.sha256)
    path.chmod(0o644)
    path.unlink()
    with pytest.raises(FixityError, match=photograph.sha256):
        archive.original_path(photograph.sha256)
    with pytest.raises(FixityError, match="f" * 64):
        archive.original_path("f" * 64)
