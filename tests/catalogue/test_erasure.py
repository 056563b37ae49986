"""Erasing a name leaves no byte of it in the catalogue or the proposals, and says what it left."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec
import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.erasure import ERASED, erase, party_to_erase, preview
from archivist.catalogue.events import (
    EventType,
    Outcome,
    ReleaseFacts,
    events,
    record_event,
    record_release,
)
from archivist.catalogue.holdings import Occurrence, add_occurrence, add_original
from archivist.catalogue.search import Query, select
from archivist.catalogue.sources import ImportedCell, add_imported, add_source
from archivist.errors import SelectionError
from archivist.model import (
    EventKind,
    Note,
    ObjectRecord,
    Party,
    PartyKind,
    ProvenanceEvent,
)
from tests.archives import OWNER, new_id, piece, save

NAME = "Ottoline Quennell"
PARTY = Party(
    id=new_id(21),
    name=NAME,
    kind=PartyKind.PERSON,
    also_known_as=("Lady Quennell",),
    address="9 Saltpan Lane, Marrowgate",
    contact="ottoline@quennell.example",
    note="Quennell collection, pays late",
)
PIECES = ("Quennell", "QUENNELL", "Ottoline", "Saltpan", "pays late", "UXVlbm5lbGw")


@pytest.fixture
def filled(archive: Archive, tmp_path: Path) -> Archive:
    """An archive in which the name stands wherever a name can stand."""
    catalogue = archive.catalogue
    record = msgspec.structs.replace(
        piece("T 1", "Bowl"),
        notes=tuple(Note(as_stated=f"No. {n}: ex ottoline  QUENNELL") for n in range(40)),
        provenance=(
            ProvenanceEvent(
                kind=EventKind.SALE, receiver=PARTY.id, as_stated="to Lady Quennell", place="x"
            ),
        ),
    )
    save(catalogue, record, PARTY)
    save(catalogue, msgspec.structs.replace(record, notes=(Note(as_stated="now Mrs Quennell's"),)))
    letter = tmp_path / "letter from Quennell.txt"
    letter.write_text("Yours, Ottoline Quennell", encoding="utf-16")
    sheet = tmp_path / "stock.csv"
    sheet.write_text("buyer\nLady Quennell", encoding="utf-8")
    with catalogue.action("apply", "Ottoline Quennell's niece", "told by O. Quennell") as action:
        add_source(action, "s", "photo-folder", "/disk/Ottoline Quennell")
        for path in (letter, sheet):
            digests = archive.store.take_in(path, path.suffix)
            add_original(action, digests, path.suffix, "text/plain")
            add_occurrence(action, Occurrence(digests.sha256, "s", path.name))
        add_occurrence(
            action, Occurrence(digests.sha256, "s", "Ottoline Quennell \ufffd.txt", "UXVlbm5lbGw=")
        )
        cell = ImportedCell(row="T 1", column="Buyer", text="Lady Quennell", object=record.id)
        add_imported(action, "s", cell)
    record_event(catalogue, EventType.INGESTION, "Quennell, Ottoline", Outcome.SUCCESS, NAME)
    record_release(
        catalogue,
        ReleaseFacts(
            new_id(), "2026-01-01T00:00:00Z", "buyer", ("bagit",), f"/out/{NAME}", (), (record.id,)
        ),
    )
    (archive.proposals / "a.json").write_text(
        json.dumps({"items": [{"words": "Ottoline\nQuennell"}, {"é": "Qu\u0065nnell"}]}),
        encoding="utf-8",
    )
    (archive.proposals / "b.txt").write_text(f"ask {NAME}", encoding="utf-8")
    (archive.proposals / "c.json").write_text('{"nobody": "here"}', encoding="utf-8")
    return archive


def test_no_byte_of_the_name_remains_in_the_archive_but_in_originals(filled: Archive) -> None:
    erase(filled, PARTY, OWNER)
    filled.catalogue.close()
    for path in filled.folder.rglob("*"):
        if path.is_file() and path.parent.parent != filled.store.folder:
            content = path.read_bytes()
            for words in (NAME, "Lady Quennell", "Mrs Quennell", "O. Quennell", *PIECES[2:]):
                for encoding in ("utf-8", "utf-16-le"):
                    assert words.encode(encoding).lower() not in content.lower(), (path, words)


def test_what_is_left_reads_as_erased_in_every_version(filled: Archive) -> None:
    erase(filled, PARTY, OWNER)
    catalogue = filled.catalogue
    record = catalogue.object_named("T 1")
    assert record.notes[0].as_stated == f"now {ERASED}'s"
    assert record.provenance[0].receiver == PARTY.id
    assert catalogue.get(PARTY.id, Party) == Party(id=PARTY.id, name=ERASED, kind=PartyKind.PERSON)
    for entity in (record.id, PARTY.id):
        for version in catalogue.versions(entity):
            assert b"uennell" not in version.json
    assert select(catalogue, Query(words="quennell")) == ()
    assert select(catalogue, Query(words="bowl")) == (record.id,)


def test_digests_of_versions_are_those_of_what_is_left(filled: Archive) -> None:
    from archivist.model import digest

    erase(filled, PARTY, OWNER)
    for record in filled.catalogue.all(ObjectRecord):
        for version in filled.catalogue.versions(record.id):
            assert version.sha256 == digest(version.value())


def test_the_erasure_is_logged_without_the_name_and_cannot_be_undone(filled: Archive) -> None:
    from archivist.catalogue.undoing import last_undoable, undo
    from archivist.errors import ConflictError

    erase(filled, PARTY, NAME)
    catalogue = filled.catalogue
    logged = catalogue.actions()[0]
    assert (logged.kind, logged.who) == ("erase", ERASED)
    event = events(catalogue)[-1]
    assert (event.type, event.detail) == (EventType.DELETION, f"erased the party {PARTY.id}")
    assert last_undoable(catalogue).kind != "erase"
    with pytest.raises(ConflictError, match="cannot be undone"):
        undo(catalogue, logged, OWNER)


def test_originals_and_past_packages_that_hold_the_name_are_listed(filled: Archive) -> None:
    found = erase(filled, PARTY, OWNER)
    assert len(found.originals) == 2
    assert any("letter from Quennell.txt" in line for line in found.originals)
    assert any("Ottoline Quennell \ufffd.txt" in line for line in found.originals)
    assert found.releases == (f"2026-01-01T00:00:00Z for buyer: /out/{NAME}",)
    assert {path.name for path in found.proposals} == {"a.json", "b.txt"}
    assert json.loads((filled.proposals / "a.json").read_text(encoding="utf-8"))["items"][0] == {
        "words": ERASED
    }


def test_a_workbook_that_holds_the_name_is_removed_and_another_stays(filled: Archive) -> None:
    import xlsxwriter

    for name, words in (("named", f"Bought by {NAME} & son"), ("other", "Nobody of that name")):
        with xlsxwriter.Workbook(filled.proposals / f"{name}.xlsx") as book:
            book.add_worksheet().write_string(0, 0, words)
    found = erase(filled, PARTY, OWNER)
    assert "named.xlsx" in {path.name for path in found.proposals}
    assert not (filled.proposals / "named.xlsx").exists()
    assert (filled.proposals / "other.xlsx").exists()


def test_a_preview_changes_nothing(filled: Archive) -> None:
    before = {p: p.read_bytes() for p in filled.folder.rglob("*") if p.is_file()}
    found = preview(filled, PARTY)
    assert (found.versions, found.cells, len(found.proposals)) == (3, 1, 2)
    assert before == {p: p.read_bytes() for p in filled.folder.rglob("*") if p.is_file()}


def test_the_same_erasure_can_be_asked_for_again_after_it_was_cut_off(
    filled: Archive, monkeypatch: pytest.MonkeyPatch
) -> None:
    def cut_off(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("archivist.catalogue.erasure.index_everything", cut_off)
    with pytest.raises(KeyboardInterrupt):
        erase(filled, PARTY, OWNER)
    monkeypatch.undo()
    assert party_to_erase(filled, NAME) == PARTY
    erase(filled, party_to_erase(filled, NAME), OWNER)
    again = party_to_erase(filled, NAME)
    assert again.id == PARTY.id, "it can be asked for once more, and finds what came since"
    with pytest.raises(SelectionError, match="0 parties are called"):
        party_to_erase(filled, "Nobody of that name")


def test_two_parties_of_one_name_must_be_told_apart(archive: Archive) -> None:
    one, two = (Party(id=new_id(), name=NAME) for _ in range(2))
    save(archive.catalogue, one, two)
    with pytest.raises(SelectionError) as refused:
        party_to_erase(archive, NAME)
    assert one.id in refused.value.message
    assert party_to_erase(archive, two.id) == two
