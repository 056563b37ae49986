"""A bag that claims too much is told as that, in bounded time and memory."""

from __future__ import annotations

import struct
import time
import tracemalloc
import zipfile
from pathlib import Path

import pytest

from archivist.errors import PackageError
from archivist.hooks import FixityReport
from archivist_plugins.bagit.format import BagFormat
from archivist_plugins.bagit.limits import LARGEST_DIRECTORY, LARGEST_TAG_FILE, MOST_FAULTS

LINE = b"0" * 64 + b"  data/"
MB = 1 << 20


def check(path: Path) -> FixityReport:
    return BagFormat().verify(path, progress=lambda size: None)


def measured(path: Path) -> tuple[FixityReport, float, int]:
    """The report, the seconds, and the most memory in MB."""
    tracemalloc.start()
    began = time.process_time()
    try:
        report = check(path)
        return report, time.process_time() - began, tracemalloc.get_traced_memory()[1] // MB
    finally:
        tracemalloc.stop()


@pytest.fixture
def bag(tmp_path: Path) -> Path:
    folder = tmp_path / "bag"
    (folder / "data").mkdir(parents=True)
    (folder / "data" / "a").write_bytes(b"")
    (folder / "bagit.txt").write_text(
        "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n", encoding="utf-8"
    )
    return folder


def zipped(bag: Path, large: dict[str, int]) -> Path:
    """The bag as a zip in which some tag files unpack to so many zeros."""
    target = bag.with_suffix(".zip")
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for path in bag.rglob("*"):
            if path.is_file():
                archive.write(path, f"bag/{path.relative_to(bag).as_posix()}")
        for name, size in large.items():
            with archive.open(f"bag/{name}", "w", force_zip64=True) as member:
                for _ in range(size // MB):
                    member.write(b"\0" * MB)
    return target


@pytest.mark.parametrize("name", ["manifest-sha256.txt", "bag-info.txt", "fetch.txt"])
def test_a_tag_file_of_a_zip_that_unpacks_to_gigabytes_is_not_unpacked(
    bag: Path, name: str
) -> None:
    report, _, memory = measured(zipped(bag, {name: 300 * MB}))
    assert any(f"{LARGEST_TAG_FILE:,}" in p.detail and p.path == name for p in report.problems)
    assert memory < 150


def test_lines_that_are_none_are_told_up_to_a_number(bag: Path) -> None:
    (bag / "manifest-sha256.txt").write_bytes(b"x\n" * (LARGEST_TAG_FILE // 2 - 1))
    report, seconds, memory = measured(bag)
    (told,) = [p for p in report.problems if p.path == "manifest-sha256.txt"]
    assert told.detail.count("; ") == MOST_FAULTS
    assert "not read on" in told.detail
    assert memory < 250
    assert seconds < 20


def test_a_zip_whose_directory_claims_more_than_the_limit_is_not_opened(bag: Path) -> None:
    path = zipped(bag, {})
    data = bytearray(path.read_bytes())
    struct.pack_into("<I", data, data.rfind(b"PK\x05\x06") + 12, LARGEST_DIRECTORY + 1)
    path.write_bytes(data)
    with pytest.raises(PackageError, match="directory of"):
        check(path)


def test_a_zip_whose_files_lie_over_each_other_is_refused(bag: Path) -> None:
    (bag / "data" / "a").write_bytes(bytes(range(256)) * 400)
    path = bag.with_suffix(".zip")
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as archive:
        for file in sorted(p for p in bag.rglob("*") if p.is_file()):
            archive.write(file, f"bag/{file.relative_to(bag).as_posix()}")
        first = next(m for m in archive.infolist() if m.filename.endswith("data/a"))
        for number in range(20):
            copy = zipfile.ZipInfo(f"bag/data/b{number}")
            copy.header_offset, copy.CRC = first.header_offset, first.CRC
            copy.file_size, copy.compress_size = first.file_size, first.compress_size
            archive.filelist.append(copy)
            archive.NameToInfo[copy.filename] = copy
        archive._didModify = True  # type: ignore[attr-defined]
    report = check(path)
    assert any("lie over each other" in p.detail for p in report.problems)


def test_a_large_file_of_a_zip_is_not_held_in_memory(bag: Path) -> None:
    import hashlib

    content = bytes(1 << 24)
    (bag / "data" / "a").unlink()
    (bag / "data" / "large").write_bytes(content)
    digest = hashlib.sha256(content).hexdigest()
    (bag / "manifest-sha256.txt").write_text(f"{digest}  data/large\n", encoding="utf-8")
    path = zipped(bag, {})
    tracemalloc.start()
    (file,) = BagFormat().payload(path)
    assert tracemalloc.get_traced_memory()[1] < 8 * MB
    tracemalloc.stop()
    assert file.opens is not None
    with file.opens() as source:
        assert source.read() == content
