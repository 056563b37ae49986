"""Catalogues of other versions, on media that cannot be written, and damaged ones."""

from __future__ import annotations

import os
import shutil
import sqlite3
from pathlib import Path

import pytest

from archivist.catalogue import database
from archivist.catalogue.archive import Archive
from archivist.catalogue.database import APPLICATION_ID, migrations, open_database
from archivist.errors import ArchiveError
from archivist.model import ObjectRecord
from tests.archives import new_archive, piece, save


def test_a_new_catalogue_is_of_the_newest_schema_and_marked_as_ours(tmp_path: Path) -> None:
    path = tmp_path / "catalogue.sqlite"
    open_database(path).close()
    with sqlite3.connect(path) as plain:
        assert plain.execute("PRAGMA user_version").fetchone() == (len(migrations()),)
        assert plain.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)


def test_an_older_catalogue_is_brought_up_to_date_and_keeps_what_it_holds(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with new_archive(tmp_path / "archive") as archive:
        record = piece("T 1", "Bowl")
        save(archive.catalogue, record)
    newer = (*migrations(), "CREATE TABLE shelf (name TEXT NOT NULL);")
    monkeypatch.setattr(database, "migrations", lambda: newer)
    with Archive.open(tmp_path / "archive") as archive:
        assert list(archive.catalogue.all(ObjectRecord)) == [record]
        archive.catalogue.connection.execute("INSERT INTO shelf VALUES ('top')")
    with Archive.open(tmp_path / "archive") as archive:
        (name,) = archive.catalogue.connection.execute("SELECT name FROM shelf").fetchone()
        assert name == "top", "a migration is applied once"


def test_a_migration_that_fails_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "catalogue.sqlite"
    open_database(path).close()
    before = path.read_bytes()
    bad = (*migrations(), "CREATE TABLE shelf (name TEXT); INSERT INTO no_such VALUES (1);")
    monkeypatch.setattr(database, "migrations", lambda: bad)
    with pytest.raises(ArchiveError, match="no such table: no_such"):
        open_database(path)
    assert path.read_bytes() == before


def test_a_catalogue_of_a_newer_program_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "catalogue.sqlite"
    open_database(path).close()
    with sqlite3.connect(path) as plain:
        plain.execute("PRAGMA user_version = 99")
    before = path.read_bytes()
    with pytest.raises(ArchiveError, match="newer version of this program"):
        open_database(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "content", [b"no database at all" * 100, b"SQLite format 3\0" + b"\1" * 5000]
)
def test_a_file_that_is_no_catalogue_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "catalogue.sqlite"
    path.write_bytes(content)
    with pytest.raises(ArchiveError, match="cannot be opened"):
        open_database(path)
    assert path.read_bytes() == content


@pytest.mark.parametrize("name", ["plain", "Größe #1 100% ?immutable=0", "箱 の中"])
def test_a_folder_of_any_name_holds_a_catalogue(tmp_path: Path, name: str) -> None:
    folder = tmp_path / name
    folder.mkdir()
    open_database(folder / "catalogue.sqlite").close()
    assert [path.name for path in folder.iterdir()] == ["catalogue.sqlite"]


@pytest.fixture
def unwritable(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An archive on a disk that cannot be written; for root, who may do anything, by pretence."""
    folder = tmp_path / "archive"
    with new_archive(folder) as archive:
        save(archive.catalogue, piece("T 1", "Bowl"))
    (folder / "catalogue.sqlite").chmod(0o444)
    folder.chmod(0o555)
    if os.access(folder, os.W_OK):
        real = os.access

        def refuse(path: os.PathLike[str] | str, mode: int) -> bool:
            inside = Path(path).is_relative_to(folder)
            return not (inside and mode == os.W_OK) and real(path, mode)

        monkeypatch.setattr(os, "access", refuse)
    return folder


def test_an_archive_that_cannot_be_written_is_read_and_left_without_a_trace(
    unwritable: Path,
) -> None:
    before = sorted(path.name for path in unwritable.iterdir())
    with Archive.open(unwritable) as archive:
        assert archive.catalogue.object_named("T 1").title == "Bowl"
        assert not archive.catalogue.writable
        with pytest.raises(ArchiveError, match="cannot be written"):
            save(archive.catalogue, piece("T 2"))
    assert sorted(path.name for path in unwritable.iterdir()) == before


def test_an_unfinished_change_on_a_disk_that_cannot_be_written_is_not_overlooked(
    unwritable: Path,
) -> None:
    unwritable.chmod(0o755)
    (unwritable / "catalogue.sqlite-journal").write_bytes(b"\xd9\xd5\x05\xf9")
    unwritable.chmod(0o555)
    with pytest.raises(ArchiveError, match="was cut off"):
        Archive.open(unwritable)


def test_an_old_schema_on_a_disk_that_cannot_be_written_is_refused(
    unwritable: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    newer = (*migrations(), "CREATE TABLE shelf (name TEXT);")
    monkeypatch.setattr(database, "migrations", lambda: newer)
    with pytest.raises(ArchiveError, match="must be brought up to date"):
        Archive.open(unwritable)


def test_a_copy_of_the_whole_folder_is_the_archive(tmp_path: Path) -> None:
    with new_archive(tmp_path / "one") as archive:
        save(archive.catalogue, piece("T 1", "Bowl"))
    shutil.copytree(tmp_path / "one", tmp_path / "two")
    with Archive.open(tmp_path / "two") as archive:
        assert archive.catalogue.object_named("T 1").title == "Bowl"


def test_an_index_made_by_an_earlier_rule_is_made_anew_once(tmp_path: Path) -> None:
    with new_archive(tmp_path / "archive") as archive:
        save(archive.catalogue, piece("T 1", "Bowl"))
        connection = archive.catalogue.connection
        connection.execute("UPDATE current SET earliest = 1500, latest = 1599")
        connection.execute("DROP TABLE index_rule")
    with Archive.open(tmp_path / "archive") as archive:
        connection = archive.catalogue.connection
        assert connection.execute("SELECT earliest FROM current").fetchone()[0] is None
        connection.execute("UPDATE current SET earliest = 1500")
    with Archive.open(tmp_path / "archive") as archive:
        connection = archive.catalogue.connection
        assert connection.execute("SELECT earliest FROM current").fetchone()[0] == 1500


def test_an_archive_of_the_earlier_program_opens_also_where_it_cannot_be_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with new_archive(tmp_path / "archive") as archive:
        record = piece("T 1", "Bowl")
        save(archive.catalogue, record)
        archive.catalogue.connection.execute("DROP TABLE index_rule")
    monkeypatch.setattr(database, "can_be_written", lambda path: False)
    monkeypatch.setattr("archivist.catalogue.catalogue.can_be_written", lambda path: False)
    with Archive.open(tmp_path / "archive") as archive:
        assert list(archive.catalogue.all(ObjectRecord)) == [record]
