"""What is said to be unchanged since a moment is seen by every audience as it was then."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from msgspec.structs import replace

from archivist.catalogue.archive import Archive
from archivist.catalogue.merging import merge
from archivist.catalogue.search import Query, select
from archivist.catalogue.since import Moment, changed_since, moment
from archivist.catalogue.undoing import undo
from archivist.errors import ArchivistError
from archivist.model import ObjectRecord, Party, PartyKind, Photograph, Title
from archivist.release.disclosure import disclosures
from archivist.release.pieces import Discloser
from archivist.release.running import piece_digest
from tests.archives import OWNER, add_photograph, jpeg, new_archive, new_id, piece, save


def seen(archive: Archive) -> dict[str, list[str]]:
    """A digest of what each audience sees of each record that is there."""
    there = select(archive.catalogue, Query())
    told: dict[str, list[str]] = {object_id: [] for object_id in there}
    for name in ("owner", "public", "buyer"):
        discloser = Discloser(archive, disclosures()[name])
        for object_id, one in zip(there, discloser.pieces(there), strict=True):
            told[object_id].append(f"{one.slug} {piece_digest(one)}")
    return told


@pytest.mark.parametrize("seed", range(4))
def test_only_what_is_named_is_seen_otherwise(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    with new_archive(tmp_path / "archive") as archive:
        for number in range(6):
            record = piece(f"T {number}", f"Bowl {number}")
            save(archive.catalogue, record)
            add_photograph(archive, jpeg(tmp_path / f"{number}.jpg", tone=number), (record,))
        told_apart = 0
        for step in range(12):
            then, before = moment(archive.catalogue), seen(archive)
            for _ in range(chance.randrange(1, 3)):
                edit(archive, chance, tmp_path / f"{step}.jpg")
            changed = changed_since(archive.catalogue, then)
            assert changed is not None
            after = seen(archive)
            same = {key for key in before.keys() & after.keys() if before[key] == after[key]}
            assert (before.keys() | after.keys()) - same <= changed, f"step {step}"
            told_apart += len(same - changed)
        assert told_apart > 12


def edit(archive: Archive, chance: random.Random, picture: Path) -> None:
    """One change of any kind that a person makes."""
    records = list(archive.catalogue.all(ObjectRecord))
    one, other = chance.sample(records, 2)
    match chance.randrange(7) if len(records) > 4 else 6:
        case 0:
            title = Title(value=f"Jar {chance.random()}")
            save(archive.catalogue, replace(one, titles=(title,)))
        case 1:
            add_photograph(archive, jpeg(picture, tone=chance.randrange(250)), (one,))
        case 2:
            shown = archive.catalogue.photographs_of(one.id)
            if shown:
                moved = replace(shown[0].depictions[0], object=other.id)
                save(archive.catalogue, replace(shown[0], depictions=(moved,)))
        case 3:
            merge(archive.catalogue, one, other, OWNER, "the same")
        case 4:
            save(archive.catalogue, replace(one, withdrawn=True))
        case 6:
            save(archive.catalogue, piece(f"N {chance.random()}", "Ewer"))
        case _:
            actions = [a for a in archive.catalogue.actions() if a.kind in ("edit", "merge")]
            try:
                undo(archive.catalogue, chance.choice(actions[:4]), OWNER)
            except ArchivistError:
                return  # something later stands upon it


def test_nothing_is_named_where_nothing_happened(tmp_path: Path) -> None:
    with new_archive(tmp_path / "archive") as archive:
        assert changed_since(archive.catalogue, moment(archive.catalogue)) == frozenset()
        save(archive.catalogue, piece("T 1", "Bowl"))
        assert len(changed_since(archive.catalogue, Moment()) or ()) == 1
        assert changed_since(archive.catalogue, moment(archive.catalogue)) == frozenset()


def test_all_may_be_otherwise_after_a_party_changed_or_in_another_history(tmp_path: Path) -> None:
    with new_archive(tmp_path / "archive") as archive:
        save(archive.catalogue, piece("T 1", "Bowl"))
        then = moment(archive.catalogue)
        save(archive.catalogue, Party(id=new_id(), name="Edith Harrow", kind=PartyKind.PERSON))
        assert changed_since(archive.catalogue, then) is None
        assert changed_since(archive.catalogue, replace(then, action=new_id())) is None
        assert changed_since(archive.catalogue, replace(then, number=99)) is None


@pytest.mark.parametrize("kind", ["erase", "restore"])
def test_all_may_be_otherwise_after_what_changes_earlier_versions(
    tmp_path: Path, kind: str
) -> None:
    with new_archive(tmp_path / "archive") as archive:
        then = moment(archive.catalogue)
        save(archive.catalogue, piece("T 1", "Bowl"), kind=kind)
        assert changed_since(archive.catalogue, then) is None


def test_every_photograph_there_is_can_be_read(tmp_path: Path) -> None:
    with new_archive(tmp_path / "archive") as archive:
        record = piece("T 1", "Bowl")
        save(archive.catalogue, record)
        then = moment(archive.catalogue)
        add_photograph(archive, jpeg(tmp_path / "a.jpg"), (record,))
        assert changed_since(archive.catalogue, then) == {record.id}
        shown = next(archive.catalogue.all(Photograph))
        then = moment(archive.catalogue)
        save(archive.catalogue, replace(shown, depictions=()))
        assert changed_since(archive.catalogue, then) == {record.id}, "it showed that one before"
