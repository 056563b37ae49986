"""Undo takes back an action whole, keeps what came later, or refuses and says why."""

from __future__ import annotations

import msgspec
import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.sources import (
    ImportedCell,
    add_imported,
    add_source,
    imported,
)
from archivist.catalogue.undoing import last_undoable, undo
from archivist.errors import ConflictError, SelectionError
from archivist.model import (
    Depiction,
    Note,
    ObjectRecord,
    Party,
    Photograph,
    Title,
    canonical_json,
)
from tests.archives import OWNER, new_id, piece, save


def take_back(catalogue: Catalogue, number: int) -> int:
    """Undoes an action; the number of the undoing."""
    undo(catalogue, catalogue.action_numbered(number), OWNER)
    return catalogue.actions()[0].number


def current(catalogue: Catalogue, record: ObjectRecord) -> ObjectRecord:
    found = catalogue.get(record.id, ObjectRecord)
    assert found is not None
    return found


def noted(record: ObjectRecord, *words: str) -> ObjectRecord:
    return msgspec.structs.replace(record, notes=tuple(Note(as_stated=w) for w in words))


def test_an_edit_is_taken_back_by_a_new_version(catalogue: Catalogue) -> None:
    before = piece("T 1", "Bowl")
    save(catalogue, before)
    edit = save(catalogue, noted(before, "chipped"))
    take_back(catalogue, edit)
    assert canonical_json(current(catalogue, before)) == canonical_json(before)
    assert [v.number for v in catalogue.versions(before.id)] == [1, 2, 3]


def test_what_came_later_elsewhere_stays(catalogue: Catalogue) -> None:
    record = piece("T 1", "Bowl")
    save(catalogue, record)
    first = save(catalogue, noted(record, "chipped"))
    later = msgspec.structs.replace(noted(record, "chipped", "from a sale"), stock_number="T 1a")
    save(catalogue, later)
    take_back(catalogue, first)
    now = current(catalogue, record)
    assert [note.as_stated for note in now.notes] == ["from a sale"]
    assert now.stock_number == "T 1a"


def test_a_statement_that_was_removed_comes_back_in_its_place(catalogue: Catalogue) -> None:
    record = noted(piece("T 1"), "one", "two", "three")
    save(catalogue, record)
    removal = save(catalogue, noted(record, "one", "three"))
    save(catalogue, noted(record, "one", "three", "four"))
    take_back(catalogue, removal)
    assert [n.as_stated for n in current(catalogue, record).notes] == [
        "one",
        "two",
        "three",
        "four",
    ]


def test_an_order_that_was_changed_is_put_back(catalogue: Catalogue) -> None:
    record = noted(piece("T 1"), "one", "two", "two")
    save(catalogue, record)
    turned = save(catalogue, noted(record, "two", "one", "two"))
    take_back(catalogue, turned)
    assert [n.as_stated for n in current(catalogue, record).notes] == ["one", "two", "two"]


def test_a_statement_that_was_changed_since_is_not_touched_and_the_action_is_named(
    catalogue: Catalogue,
) -> None:
    record = piece("T 1", "Bowl")
    save(catalogue, record)
    edit = save(catalogue, noted(record, "chipped"))
    later = save(catalogue, noted(record, "chipped at the rim"))
    with pytest.raises(ConflictError) as refused:
        take_back(catalogue, edit)
    assert f"Action {edit} cannot be undone: action {later} (edit, " in refused.value.message
    assert "changed notes of T 1 since" in refused.value.message
    assert f"Undo action {later} first" in refused.value.remedy
    assert len(catalogue.versions(record.id)) == 3
    assert len(catalogue.actions()) == 3


def test_a_single_value_that_was_changed_since_is_not_touched(catalogue: Catalogue) -> None:
    record = piece("T 1")
    save(catalogue, record)
    edit = save(catalogue, msgspec.structs.replace(record, stock_number="T 2"))
    save(catalogue, msgspec.structs.replace(record, stock_number="T 3"))
    with pytest.raises(ConflictError, match="changed stock number of T 2 since"):
        take_back(catalogue, edit)


def test_one_refusal_keeps_the_whole_action(catalogue: Catalogue) -> None:
    one, two = piece("T 1"), piece("T 2")
    save(catalogue, one, two)
    edit = save(catalogue, noted(one, "a"), noted(two, "b"))
    save(catalogue, noted(two, "c"))
    with pytest.raises(ConflictError):
        take_back(catalogue, edit)
    assert current(catalogue, one) == noted(one, "a")


def test_what_an_action_created_is_withdrawn_and_stays_readable(catalogue: Catalogue) -> None:
    record = piece("T 1", "Bowl")
    photograph = Photograph(
        id=new_id(), sha256="0" * 64, depictions=(Depiction(object=record.id, reviewed=True),)
    )
    party = Party(id=new_id(), name="Edith Harrow")
    made = save(catalogue, record, photograph, party, kind="apply")
    done = undo(catalogue, catalogue.action_numbered(made), OWNER)
    assert (done.changed, done.withdrawn) == (0, 2)
    assert list(catalogue.all(ObjectRecord)) == []
    assert list(catalogue.all(Photograph)) == []
    assert catalogue.get(party.id, Party) == party
    assert catalogue.versions(record.id)[0].value() == record
    with pytest.raises(SelectionError):
        catalogue.object_named("T 1")


def test_a_photograph_of_a_piece_that_was_withdrawn_counts_as_unassigned(
    catalogue: Catalogue,
) -> None:
    record = piece("T 1")
    made = save(catalogue, record)
    photograph = Photograph(id=new_id(), sha256="0" * 64, depictions=(Depiction(object=record.id),))
    save(catalogue, photograph)
    assert list(catalogue.unassigned_photographs()) == []
    take_back(catalogue, made)
    assert list(catalogue.unassigned_photographs()) == [photograph]


def test_a_party_that_was_edited_since_it_came_does_not_stand_in_the_way(
    catalogue: Catalogue,
) -> None:
    record, party = piece("T 1"), Party(id=new_id(), name="Edith Harrow")
    made = save(catalogue, record, party, kind="apply")
    later = msgspec.structs.replace(party, as_published="private collection, Wales")
    save(catalogue, later)
    take_back(catalogue, made)
    assert catalogue.get(party.id, Party) == later
    assert current(catalogue, record).withdrawn


def test_an_action_that_saved_the_same_thing_twice_is_taken_back_whole(
    catalogue: Catalogue,
) -> None:
    record = piece("T 1")
    with catalogue.action("apply", OWNER) as action:
        action.save(record)
        action.save(noted(record, "a"))
    take_back(catalogue, catalogue.actions()[0].number)
    assert current(catalogue, record).withdrawn
    kept = piece("T 2")
    save(catalogue, kept)
    with catalogue.action("edit", OWNER) as action:
        action.save(noted(kept, "a"))
        action.save(noted(kept, "a", "b"))
    take_back(catalogue, catalogue.actions()[0].number)
    assert current(catalogue, kept) == kept


def test_undoing_the_undo_does_the_action_again(catalogue: Catalogue) -> None:
    record = piece("T 1")
    made = save(catalogue, record)
    undoing = take_back(catalogue, made)
    take_back(catalogue, undoing)
    assert current(catalogue, record) == record


def test_an_action_cannot_be_undone_twice(catalogue: Catalogue) -> None:
    made = save(catalogue, piece("T 1"))
    undoing = take_back(catalogue, made)
    with pytest.raises(ConflictError, match=f"already undone by action {undoing}"):
        take_back(catalogue, made)


def test_without_a_number_the_latest_action_that_stands_is_meant(catalogue: Catalogue) -> None:
    first = save(catalogue, piece("T 1"))
    second = save(catalogue, piece("T 2"))
    assert last_undoable(catalogue).number == second
    undoing = take_back(catalogue, second)
    assert last_undoable(catalogue).number == first
    redoing = take_back(catalogue, undoing)
    assert last_undoable(catalogue).number == redoing, "what was done again is what stands last"
    take_back(catalogue, redoing)
    assert last_undoable(catalogue).number == first


def test_with_nothing_done_there_is_nothing_to_undo(catalogue: Catalogue) -> None:
    with pytest.raises(SelectionError, match="nothing to undo"):
        last_undoable(catalogue)


def test_cells_as_taken_in_count_only_while_their_action_stands(archive: Archive) -> None:
    catalogue = archive.catalogue
    cell = ImportedCell(row="T 1", column="Title", text="Bowl", object=new_id(1))
    with catalogue.action("apply", OWNER) as action:
        add_source(action, "s", "spreadsheet", "/old/stock.xlsx")
        add_imported(action, "s", cell)
        action.save(piece("T 1", id_=cell.object))
    made = catalogue.actions()[0].number
    assert imported(catalogue, "s") == {("T 1", "Title"): cell}
    undoing = take_back(catalogue, made)
    assert imported(catalogue, "s") == {}
    take_back(catalogue, undoing)
    assert imported(catalogue, "s") == {("T 1", "Title"): cell}, "done again, it stands again"


def test_a_title_changed_in_place_is_taken_back_beside_one_added_since(
    catalogue: Catalogue,
) -> None:
    record = piece("T 1", "Bowl")
    save(catalogue, record)
    renamed = piece("T 1", "Tea bowl", id_=record.id)
    edit = save(catalogue, renamed)
    other = Title(value="Chawan", language="ja-Latn")
    save(catalogue, msgspec.structs.replace(renamed, titles=(*renamed.titles, other)))
    take_back(catalogue, edit)
    assert [t.value for t in current(catalogue, record).titles] == ["Bowl", "Chawan"]
