"""Every change is one action, whole or not at all, and leaves one file."""

from __future__ import annotations

import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.holdings import Occurrence, add_occurrence, add_original
from archivist.catalogue.sources import add_source
from archivist.digests import digest_bytes
from archivist.errors import ArchiveError, ConflictError
from archivist.model import ObjectRecord, Party, canonical_json
from tests.archives import OWNER, new_archive, piece, save


def files_of(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir() if path.name.startswith("catalogue")}


def break_off(catalogue: Catalogue, problem: BaseException, *records: ObjectRecord) -> None:
    """An action that saves records and then raises."""
    with catalogue.action("edit", OWNER) as action:
        for record in records:
            action.save(record)
        raise problem


def test_every_version_stays_readable_with_who_when_and_why(catalogue: Catalogue) -> None:
    first = piece("T 1", "Bowl")
    second = piece("T 1", "Tea bowl", id_=first.id)
    with catalogue.action("edit", "Ines", "found the box") as action:
        action.save(first)
    with catalogue.action("edit", "Tom", "it is a tea bowl") as action:
        action.save(second)
    told = [(v.number, v.value(), v.action.who, v.action.why) for v in catalogue.versions(first.id)]
    assert told == [
        (1, first, "Ines", "found the box"),
        (2, second, "Tom", "it is a tea bowl"),
    ]
    assert catalogue.get(first.id, ObjectRecord) == second
    assert [v.json for v in catalogue.versions(first.id)] == [
        canonical_json(first),
        canonical_json(second),
    ]


def test_saving_what_is_there_already_leaves_no_trace(catalogue: Catalogue) -> None:
    record = piece("T 1")
    save(catalogue, record)
    save(catalogue, record)
    assert len(catalogue.actions()) == 1
    assert len(catalogue.versions(record.id)) == 1


def test_telling_again_of_sources_and_files_leaves_no_trace(archive: Archive) -> None:
    digests = digest_bytes(b"a picture")

    def tell() -> None:
        with archive.catalogue.action("apply", OWNER) as action:
            add_source(action, "s", "photo-folder", "/old/photographs")
            add_original(action, digests, ".jpg", "image/jpeg")
            add_occurrence(action, Occurrence(digests.sha256, "s", "a.jpg"))

    tell()
    tell()
    assert len(archive.catalogue.actions()) == 1


@pytest.mark.parametrize("problem", [ValueError("a bug"), KeyboardInterrupt(), SystemExit(3)])
def test_an_action_that_is_broken_off_changes_nothing(
    archive: Archive, problem: BaseException
) -> None:
    catalogue = archive.catalogue
    kept = piece("T 1", "Bowl")
    save(catalogue, kept)
    with pytest.raises(type(problem)):
        break_off(catalogue, problem, piece("T 1", "Vase", id_=kept.id), piece("T 2", "Jar"))
    assert list(catalogue.all(ObjectRecord)) == [kept]
    assert len(catalogue.actions()) == 1
    assert files_of(archive.folder) == {"catalogue.sqlite"}


def test_an_action_after_one_that_was_broken_off_works(catalogue: Catalogue) -> None:
    with pytest.raises(KeyboardInterrupt):
        break_off(catalogue, KeyboardInterrupt(), piece("T 1"))
    record = piece("T 2")
    save(catalogue, record)
    assert list(catalogue.all(ObjectRecord)) == [record]


KILLED = """
import os, signal, sys
from pathlib import Path
from archivist.catalogue.archive import Archive
from tests.archives import piece

archive = Archive.open(Path(sys.argv[1]))
with archive.catalogue.action("edit", "Ines") as action:
    for number in range(3000):
        action.save(piece(f"K {number}", "Bowl " + "x" * 4000))
    os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no SIGKILL on this system")
def test_a_program_killed_in_the_middle_of_an_action_leaves_it_undone(tmp_path: Path) -> None:
    folder = tmp_path / "archive"
    kept = piece("T 1", "Bowl")
    with new_archive(folder) as archive:
        save(archive.catalogue, kept)
    root = Path(__file__).parents[2]
    ended = subprocess.run([sys.executable, "-c", KILLED, str(folder)], cwd=root, check=False)
    assert ended.returncode == -signal.SIGKILL
    assert "catalogue.sqlite-journal" in files_of(folder), "the test killed it too early"
    with Archive.open(folder) as archive:
        assert list(archive.catalogue.all(ObjectRecord)) == [kept]
        (answer,) = archive.catalogue.connection.execute("PRAGMA integrity_check").fetchone()
        assert answer == "ok"
    assert files_of(folder) == {"catalogue.sqlite"}


def test_at_rest_the_catalogue_is_one_file(archive: Archive) -> None:
    save(archive.catalogue, piece("T 1"))
    assert files_of(archive.folder) == {"catalogue.sqlite"}


def test_foreign_keys_are_kept(catalogue: Catalogue) -> None:
    with pytest.raises(sqlite3.IntegrityError), catalogue.action("edit", OWNER) as action:
        action.run(
            "INSERT INTO occurrence (sha256, source, path, action) VALUES (?, ?, ?, ?)",
            ("0" * 64, "none", "a.jpg", action.id),
        )
    save(catalogue, piece("T 1"), piece("T 2"))
    assert catalogue.connection.execute("PRAGMA foreign_key_check").fetchall() == []


def test_an_identifier_of_one_kind_is_not_taken_by_another(catalogue: Catalogue) -> None:
    record = piece("T 1")
    save(catalogue, record)
    with pytest.raises(ConflictError, match="belongs to a object, not to a party"):
        save(catalogue, Party(id=record.id, name="Edith Harrow"))


def test_a_catalogue_that_another_program_holds_is_told_as_that(
    archive: Archive, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("archivist.catalogue.database.SECONDS_TO_WAIT", 0)
    with Archive.open(archive.folder) as second, archive.catalogue.action("edit", OWNER) as held:
        held.save(piece("T 1"))
        with pytest.raises(ArchiveError, match="cannot be written: database is locked"):
            save(second.catalogue, piece("T 2"))


def test_a_disk_that_is_full_while_saving_changes_nothing(catalogue: Catalogue) -> None:
    kept = piece("T 1")
    save(catalogue, kept)
    (pages,) = catalogue.connection.execute("PRAGMA page_count").fetchone()
    catalogue.connection.execute(f"PRAGMA max_page_count = {pages + 2}")
    with pytest.raises(ArchiveError, match="cannot be written: database or disk is full"):
        save(catalogue, *(piece(f"F {n}", "x" * 5000) for n in range(20)))
    assert list(catalogue.all(ObjectRecord)) == [kept]
