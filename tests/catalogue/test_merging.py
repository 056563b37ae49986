"""Two records that are one piece, one that is two, and the way back from both."""

from __future__ import annotations

import msgspec
import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.merging import merge, merged, split
from archivist.catalogue.search import Query, select
from archivist.catalogue.undoing import undo
from archivist.errors import ConflictError, RecordError, SelectionError
from archivist.model import (
    Depiction,
    Mark,
    Note,
    ObjectRecord,
    Photograph,
    View,
    canonical_json,
)
from tests.archives import OWNER, new_id, piece, save


def joined(catalogue: Catalogue, kept: ObjectRecord, taken: ObjectRecord) -> int:
    merge(catalogue, kept, taken, OWNER, "the same piece")
    return catalogue.actions()[0].number


def photograph_of(record: ObjectRecord, view: View = View.OVERALL) -> Photograph:
    return Photograph(
        id=new_id(), sha256="0" * 64, depictions=(Depiction(object=record.id, view=view),)
    )


def test_nothing_of_the_record_taken_is_lost_and_nothing_of_it_wins() -> None:
    kept = piece("T 1", "Bowl", (1700, 1750))
    taken = msgspec.structs.replace(
        piece("T 2", "Dish", (1800, 1850)), notes=(Note(as_stated="bought back"),)
    )
    one = merged(kept, taken)
    assert [t.value for t in one.titles] == ["Bowl", "Dish"]
    assert one.title == "Bowl"
    assert [a.as_stated for a in one.attributions] == ["1700/1750", "1800/1850"]
    assert one.date == kept.date
    assert one.notes == taken.notes
    assert one.other_numbers == ("T 2",)


def test_what_both_say_is_said_once() -> None:
    kept = piece("T 1", "Bowl", (1700, 1750))
    assert merged(kept, msgspec.structs.replace(kept, id=new_id())) == kept


def test_number_and_identifier_of_the_record_taken_lead_on(catalogue: Catalogue) -> None:
    kept, taken = piece("T 1"), piece("T 2")
    save(catalogue, kept, taken)
    joined(catalogue, kept, taken)
    for name in (taken.id, "T 2", "t  2", taken.id[:8], kept.id, "T 1"):
        assert catalogue.object_named(name).id == kept.id, name
    assert [record.id for record in catalogue.all(ObjectRecord)] == [kept.id]


def test_a_number_that_is_borne_again_means_who_bears_it_now(catalogue: Catalogue) -> None:
    kept, taken, new = piece("T 1"), piece("T 2"), piece("T 2")
    save(catalogue, kept, taken, new)
    joined(catalogue, kept, taken)
    assert catalogue.object_named("T 2").id == new.id


def test_photographs_of_the_record_taken_are_photographs_of_the_other(
    catalogue: Catalogue,
) -> None:
    first, second, third = piece("T 1"), piece("T 2"), piece("T 3")
    photograph = photograph_of(third, View.BASE)
    save(catalogue, first, second, third, photograph)
    joined(catalogue, second, third)
    joined(catalogue, catalogue.object_named("T 1"), catalogue.object_named("T 2"))
    (shown,) = catalogue.photographs_of(first.id)
    assert shown.depictions_of(first.id)[0].view is View.BASE
    assert select(catalogue, Query(view="base")) == (first.id,)
    assert list(catalogue.unassigned_photographs()) == []


def test_a_merge_can_be_undone(catalogue: Catalogue) -> None:
    kept, taken = piece("T 1", "Bowl"), piece("T 2", "Dish")
    photograph = photograph_of(taken)
    save(catalogue, kept, taken, photograph)
    number = joined(catalogue, kept, taken)
    undo(catalogue, catalogue.action_numbered(number), OWNER)
    assert [canonical_json(r) for r in catalogue.all(ObjectRecord)] == [
        canonical_json(kept),
        canonical_json(taken),
    ]
    assert catalogue.photographs_of(kept.id) == ()
    assert catalogue.photographs_of(taken.id) == (photograph,)


def test_a_record_cannot_be_merged_with_itself_nor_with_what_it_took_over(
    catalogue: Catalogue,
) -> None:
    kept, taken = piece("T 1"), piece("T 2")
    save(catalogue, kept, taken)
    joined(catalogue, kept, taken)
    with pytest.raises(RecordError, match="cannot be merged with itself"):
        merge(catalogue, catalogue.object_named("T 1"), catalogue.object_named("T 2"), OWNER, "")


def test_merges_that_would_lead_in_a_circle_are_refused(catalogue: Catalogue) -> None:
    one, two = piece(""), piece("")  # alike, so that the merge adds no statement
    save(catalogue, one, two)
    first = joined(catalogue, one, two)
    undo(catalogue, catalogue.action_numbered(first), OWNER)
    undoing = catalogue.actions()[0]
    joined(catalogue, two, one)
    with pytest.raises(ConflictError, match="itself part of it"):
        undo(catalogue, undoing, OWNER)
    assert catalogue.object_named(one.id).id == two.id


def test_split_moves_statements_and_photographs_and_can_be_undone(archive: Archive) -> None:
    catalogue = archive.catalogue
    marks = (Mark(as_stated="seal on the jar"), Mark(as_stated="label in the cover"))
    record = msgspec.structs.replace(piece("T 1", "Jar and cover"), marks=marks)
    jar, cover = photograph_of(record), photograph_of(record, View.INTERIOR)
    save(catalogue, record, jar, cover)
    new = piece("T 1b", "Cover")
    made = split(catalogue, record, new, [cover], [("marks", 1)], OWNER, "")
    assert made.marks == marks[1:]
    assert catalogue.object_named("T 1").marks == marks[:1]
    assert [p.id for p in catalogue.photographs_of(new.id)] == [cover.id]
    assert [p.id for p in catalogue.photographs_of(record.id)] == [jar.id]
    undo(catalogue, catalogue.actions()[0], OWNER)
    assert catalogue.object_named("T 1") == record
    assert {p.id for p in catalogue.photographs_of(record.id)} == {jar.id, cover.id}
    with pytest.raises(SelectionError):
        catalogue.object_named("T 1b")


@pytest.mark.parametrize(("field", "place"), [("marks", 0), ("marks", 7), ("id", 0), ("prices", 0)])
def test_split_refuses_a_statement_that_is_not_there(
    catalogue: Catalogue, field: str, place: int
) -> None:
    record = piece("T 1")
    save(catalogue, record)
    with pytest.raises(RecordError, match=f"number {place + 1} was named"):
        split(catalogue, record, piece("T 2"), [], [(field, place)], OWNER, "")
    assert catalogue.count("object") == 1
