"""A plugin that fails is named with its record, leaves nothing half, and the others finish."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest

from archivist.catalogue.archive import Archive
from archivist.errors import ArchiveError, PackageError, SelectionError
from archivist.hooks import Exporter, Package, Piece, Selection
from archivist.model import Value
from tests.archives import save
from tests.release.conftest import Words, exporter, plugins_of, released, tree


class Breaks(Exporter):
    """Writes a file of each piece, and then does what it was told at the jar."""

    def __init__(self, then: Callable[[Package], None]) -> None:
        self.then = then

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        package.write(f"{piece.slug}/begun.txt", "begun")
        if piece.record.title == "Jar":
            self.then(package)


def raising(problem: BaseException) -> Callable[[Package], None]:
    def raise_it(package: Package) -> None:
        with package.open("half.bin") as target:
            target.write(b"half")
            raise problem

    return raise_it


class StrangeError(Exception):
    pass


@pytest.mark.parametrize("immutable", [False, True])
@pytest.mark.parametrize(
    ("then", "told"),
    [
        (raising(StrangeError("no such glaze")), "StrangeError: no such glaze"),
        (raising(SystemExit(3)), "SystemExit: 3"),
        (raising(RecursionError()), "RecursionError"),
        (raising(PermissionError(13, "Permission denied")), "Permission denied"),
        (raising(PackageError("too long", "shorten it")), "too long shorten it"),
        (lambda package: package.write("../../secret", "x"), "leaves the package"),
        (lambda package: package.write("/tmp/secret", "x"), "leaves the package"),
        (lambda package: package.write("a", "\ud800"), "UnicodeEncodeError"),
    ],
)
def test_one_that_fails_at_a_piece_is_named_and_the_rest_goes_on(
    archive: Archive,
    tmp_path: Path,
    then: Callable[[Package], None],
    told: str,
    immutable: bool,
) -> None:
    plugins = plugins_of(
        exporter("breaks", lambda: Breaks(then)), exporter("works", immutable=immutable)
    )
    report = released(archive, plugins, tmp_path / "out", "breaks", "works")
    (failure,) = report.failures
    assert failure.subject == "T 1"
    assert told in failure.reason
    assert str(failure.origin) == "words (words-for-archivist 1.0)"
    assert not report.whole
    assert report.place is not None
    files = tree(report.place)
    assert sum(path.startswith("works/") for path in files) == 4
    begun = [path for path in files if path.startswith("breaks/")]
    assert len(begun) == 2, "of the two other pieces alone"
    assert not any(path.startswith("breaks/t-1-") for path in begun)


def test_a_full_disk_is_nobodys_fault_and_ends_the_release(
    archive: Archive, tmp_path: Path
) -> None:
    full = raising(OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)))
    plugins = plugins_of(exporter("breaks", lambda: Breaks(full)))
    with pytest.raises(ArchiveError, match="The disk is full"):
        released(archive, plugins, tmp_path / "out", "breaks")


def test_one_that_cannot_begin_is_named_and_its_earlier_files_stay(
    archive: Archive, tmp_path: Path
) -> None:
    released(archive, plugins_of(exporter("words"), exporter("b")), tmp_path / "out", "words", "b")
    before = tree(tmp_path / "out")

    def broken() -> Exporter:
        raise ImportError("its library is gone")

    plugins = plugins_of(exporter("words", broken), exporter("b"))
    report = released(archive, plugins, tmp_path / "out", "words", "b")
    assert "its library is gone" in str(report.failures[0])
    assert tree(tmp_path / "out") == before


def test_a_package_of_which_nothing_could_be_made_is_not_there(
    archive: Archive, tmp_path: Path
) -> None:
    class Fails(Exporter):
        def export_selection(self, selection: Selection, package: Package) -> None:
            package.write("half.txt", "half")
            raise StrangeError

    plugins = plugins_of(exporter("bag", Fails, immutable=True))
    report = released(archive, plugins, tmp_path / "out", "bag")
    assert report.place is None
    assert not report.whole
    assert not (tmp_path / "out").exists()


def test_an_exporter_that_asks_for_companions_sees_those_of_its_piece(
    archive: Archive, tmp_path: Path
) -> None:
    seen: dict[str, list[str]] = {}

    class Looks(Exporter):
        def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
            seen[piece.slug] = [file.path for file in package.companions()]
            assert all(file.location.is_file() for file in package.companions())

        def export_selection(self, selection: Selection, package: Package) -> None:
            seen["all"] = sorted(file.path for file in package.companions())

    plugins = plugins_of(exporter("looks", Looks, after=("*",)), exporter("words"))
    released(archive, plugins, tmp_path / "out", "looks", "words")
    slugs = [slug for slug in seen if slug != "all"]
    assert len(slugs) == 3
    for slug in slugs:
        assert seen[slug] == [f"words/{slug}.txt"]
    assert len(seen["all"]) == 4


def test_a_piece_that_cannot_be_read_from_the_archive_is_no_plugins_doing(
    archive: Archive, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plugins = plugins_of(exporter("words"))
    released(archive, plugins, tmp_path / "out", "words")
    before = tree(tmp_path / "out")
    record = archive.catalogue.object_named("T 1")
    save(archive.catalogue, msgspec.structs.replace(record, other_numbers=("9",)))

    def broken(*_: object) -> object:
        raise ArchiveError("The catalogue is damaged.")

    monkeypatch.setattr("archivist.release.pieces.Discloser.piece", broken)
    with pytest.raises(ArchiveError, match="damaged"):
        released(archive, plugins, tmp_path / "out", "words")
    assert tree(tmp_path / "out") == before


class Options(Value, frozen=True, kw_only=True):
    tile_size: int = 1024
    loud: bool = False


def test_options_are_read_from_words_and_refused_where_they_do_not_fit(
    archive: Archive, tmp_path: Path
) -> None:
    made: list[Value] = []

    def make(options: Value) -> Exporter:
        made.append(options)
        return Words()

    from archivist.hooks import ExporterDescription

    plugins = plugins_of(ExporterDescription("words", "Words", make, options=Options))

    def with_options(name: str, value: str, of: str = "words") -> None:
        released(archive, plugins, tmp_path / "o", "words", options={of: {name: value}})

    with_options("tile-size", "512")
    with_options("loud", "true")
    assert made == [Options(tile_size=512), Options(loud=True)]
    for name, value, of, told in (
        ("size", "1", "words", "has no option 'size'"),
        ("tile-size", "big", "words", "does not fit"),
        ("tile-size", "1", "other", "options for other, which is not released"),
    ):
        with pytest.raises(SelectionError) as refused:
            with_options(name, value, of)
        assert told in refused.value.message
