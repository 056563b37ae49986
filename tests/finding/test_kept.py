"""The index beside the archive is as the records are, and holds what its audience may see."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from msgspec.structs import replace

from archivist import program
from archivist.catalogue.archive import Archive
from archivist.catalogue.erasure import erase
from archivist.catalogue.undoing import undo
from archivist.finding import kept
from archivist.finding.kept import kept_index
from archivist.finding.query import Query
from archivist.finding.search import search
from archivist.model import Note, Override, Party, PartyKind, Title, View
from archivist.release.disclosure import disclosures
from tests.archives import OWNER, add_photograph, jpeg, new_archive, piece, save


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    with new_archive(tmp_path / "archive") as made:
        for number, title in enumerate(("Bowl", "Dish", "Vase")):
            save(made.catalogue, piece(f"T {number}", title, (1700 + number, 1750)))
        yield made


def found(archive: Archive, words: str, audience: str = "owner") -> list[str]:
    with kept_index(archive, disclosures()[audience]) as index:
        return [one.entry.number for one in search(index, Query(words)).found]


def looked_at(archive: Archive, audience: str = "owner") -> list[int]:
    """How many pieces were looked at to bring the index up to date, each time that was done."""
    counts: list[int] = []

    def looking(count: int) -> object:
        counts.append(count)
        return lambda done: None

    with kept_index(archive, disclosures()[audience], looking):  # type: ignore[arg-type]
        return counts


def change(archive: Archive, number: str, **fields: object) -> int:
    return save(archive.catalogue, replace(archive.catalogue.object_named(number), **fields))


def test_only_what_changed_is_looked_at_again(archive: Archive) -> None:
    assert looked_at(archive) == [3]
    assert looked_at(archive) == []
    action = change(archive, "T 1", titles=(Title(value="Ewer"),))
    assert looked_at(archive) == [1]
    assert (found(archive, "ewer"), found(archive, "dish")) == (["T 1"], [])
    undo(archive.catalogue, archive.catalogue.action_numbered(action), OWNER)
    assert looked_at(archive) == [1]
    assert (found(archive, "ewer"), found(archive, "dish")) == ([], ["T 1"])


def test_a_record_that_is_withdrawn_is_found_no_more_and_again_when_it_is_back(
    archive: Archive,
) -> None:
    assert found(archive, "") == ["T 0", "T 1", "T 2"]
    action = change(archive, "T 1", withdrawn=True)
    assert found(archive, "") == ["T 0", "T 2"]
    undo(archive.catalogue, archive.catalogue.action_numbered(action), OWNER)
    assert found(archive, "") == ["T 0", "T 1", "T 2"]


def test_a_photograph_that_comes_is_found_by_its_view(archive: Archive, tmp_path: Path) -> None:
    assert found(archive, "") == ["T 0", "T 1", "T 2"]
    record = archive.catalogue.object_named("T 2")
    add_photograph(archive, jpeg(tmp_path / "x.jpg"), (record,), View.FOOT_RIM)
    with kept_index(archive, disclosures()["owner"]) as index:
        query = Query(facets={"view": ("foot rim",)})
        assert [one.entry.number for one in search(index, query).found] == ["T 2"]


def test_others_find_nothing_by_what_they_may_not_see(archive: Archive) -> None:
    change(archive, "T 0", notes=(Note(as_stated="bought cheaply", private=True),))
    assert found(archive, "cheaply") == ["T 0"]
    assert found(archive, "cheaply", "public") == []
    file = next(archive.of_records.glob("finding-public-*"))
    assert b"cheaply" not in file.read_bytes()


def test_an_override_counts_from_then_on(archive: Archive) -> None:
    change(archive, "T 0", descriptions=(Note(as_stated="with a story"),))
    assert found(archive, "story", "public") == ["T 0"]
    hidden = Override(audience="public", field="record.descriptions", shown=False)
    change(archive, "T 0", overrides=(hidden,))
    assert found(archive, "story", "public") == []


def test_a_party_that_changes_makes_everything_be_looked_at(archive: Archive) -> None:
    assert looked_at(archive) == [3]
    save(archive.catalogue, Party(id=OWNER_ID, name="Edith Harrow", kind=PartyKind.PERSON))
    assert looked_at(archive) == [3]


OWNER_ID = "3f0d7b1e-9d57-4c54-a2a0-0a2c6d4f5b11"


def test_a_rule_or_a_program_that_changed_makes_the_index_anew(
    archive: Archive, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert looked_at(archive, "public") == [3]
    rule = disclosures()["public"]
    narrower = disclosures()["buyer"]
    monkeypatch.setattr(kept, "core_digest", lambda: f"{program.core_digest()} and more")
    assert looked_at(archive, "public") == [3]
    assert looked_at(archive, "public") == []
    assert kept.sight_key(archive, rule) != kept.sight_key(archive, narrower)


def test_an_erased_name_is_in_no_index(archive: Archive) -> None:
    party = Party(id=OWNER_ID, name="Edith Harrow", kind=PartyKind.PERSON)
    save(archive.catalogue, party)
    change(archive, "T 0", notes=(Note(as_stated="bought from Edith Harrow"),))
    assert found(archive, "harrow") == ["T 0"]
    erase(archive, party, OWNER)
    assert not archive.of_records.exists()
    assert found(archive, "harrow") == []
    assert all(b"harrow" not in file.read_bytes() for file in archive.of_records.iterdir())


def test_a_damaged_index_is_made_again(archive: Archive) -> None:
    found(archive, "")
    (file,) = archive.of_records.iterdir()
    file.write_bytes(b"no database at all, but long enough to be looked at" * 9)
    assert found(archive, "dish") == ["T 1"]
    assert sqlite3.connect(file).execute("SELECT count(*) FROM piece").fetchone() == (3,)


def test_where_nothing_can_be_written_the_index_is_made_in_memory(
    archive: Archive, monkeypatch: pytest.MonkeyPatch
) -> None:
    archive.of_records.write_bytes(b"a file where a folder should be")
    assert found(archive, "dish") == ["T 1"]
