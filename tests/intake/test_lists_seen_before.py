"""Lists at another place, superseded proposals, words beside numbers, lone descriptions."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest

from archivist.catalogue.archive import Archive
from archivist.errors import SelectionError
from archivist.intake.choose import newest_proposal, superseded_by, waiting_proposals
from archivist.intake.proposal import read_proposal, rewrite_proposal
from archivist.intake.survey import Told
from archivist.model import Note, ObjectRecord

Look = Callable[..., Told]
Sheet = Callable[..., Path]
HEAD = ["Stock no", "Title", "Size"]
BOWL = ["HW 0401", "Celadon bowl", "H 14 cm"]
VASE = ["HW 0402", "Plain vase", "H 20 cm"]


def test_a_list_that_was_moved_and_renamed_is_the_same_source(
    tmp_path: Path, archive: Archive, sheet: Sheet, look: Look, take_in: Callable[..., object]
) -> None:
    path = sheet([HEAD, BOWL, VASE])
    take_in(path)
    path.unlink()
    moved = sheet([HEAD, BOWL, [*VASE[:2], "H 21 cm"]], "stock book 2.xlsx")
    told = look(moved)
    kinds = [type(item).__name__ for item in told.proposal.items]
    assert "CreateObject" not in kinds
    assert "ChangeObject" in kinds


def test_a_copy_of_a_list_that_is_still_there_is_told_with_the_source_it_is_like(
    archive: Archive, sheet: Sheet, look: Look, take_in: Callable[..., object]
) -> None:
    take_in(sheet([HEAD, BOWL, VASE]))
    told = look(sheet([HEAD, BOWL, VASE], "copy.xlsx"))
    (hint,) = [t.trouble for t in told.proposal.troubles if "--source-id" in t.trouble.remedy]
    assert "stock.xlsx" in hint.reason


def test_another_list_is_another_source(
    archive: Archive, sheet: Sheet, look: Look, take_in: Callable[..., object]
) -> None:
    path = sheet([HEAD, BOWL, VASE])
    take_in(path)
    path.unlink()
    told = look(sheet([HEAD, ["HW 0403", "Delft plate", "H 3 cm"]], "other.xlsx"))
    assert [type(i).__name__ for i in told.proposal.items].count("CreateObject") == 1


def test_a_proposal_of_the_same_list_surveyed_again_waits_no_more(
    archive: Archive, sheet: Sheet, look: Look
) -> None:
    first = look(sheet([HEAD, BOWL])).path
    second = look(sheet([HEAD, BOWL, VASE])).path
    assert first is not None
    assert second is not None
    assert superseded_by(first) == second.name
    assert waiting_proposals(archive) == (second,)
    assert newest_proposal(archive) == second
    assert read_proposal(first).items, "what it says stays in its file"


def test_a_proposal_of_which_a_person_decided_something_is_not_put_aside(
    archive: Archive, sheet: Sheet, look: Look
) -> None:
    first = look(sheet([HEAD, BOWL])).path
    assert first is not None
    proposal = read_proposal(first)
    items = tuple(msgspec.structs.replace(item, accept=False) for item in proposal.items)
    rewrite_proposal(first, msgspec.structs.replace(proposal, items=items))
    second = look(sheet([HEAD, BOWL, VASE])).path
    assert waiting_proposals(archive) == (first, second)


def test_a_piece_with_a_description_and_no_title_is_called_by_what_it_is(
    archive: Archive, sheet: Sheet, take_in: Callable[..., object]
) -> None:
    words = "A stoneware jar with a brown glaze, made in the 17th century. The rim is chipped."
    take_in(sheet([["Stock no", "Description"], ["HW 0401", words], ["HW 0402", "As above"]]))
    titles = {r.stock_number: r.title for r in archive.catalogue.all(ObjectRecord)}
    assert "jar" in titles["HW 0401"]
    assert len(titles["HW 0401"]) < len(words)


@pytest.mark.parametrize("name", ["T-0470", "t 470", "T470", "T 0470", "t/470"])
def test_a_number_is_found_however_it_is_written(
    archive: Archive, sheet: Sheet, take_in: Callable[..., object], name: str
) -> None:
    take_in(sheet([HEAD, ["T 470", *BOWL[1:]], ["T 471", *VASE[1:]]]))
    assert archive.catalogue.object_named(name).stock_number == "T 470"
    with pytest.raises(SelectionError):
        archive.catalogue.object_named("T 47")


def test_words_in_brackets_after_a_number_are_kept_and_none_of_it(
    archive: Archive, sheet: Sheet, take_in: Callable[..., object]
) -> None:
    take_in(sheet([HEAD, ["KB 0512 (pair)", *BOWL[1:]], ["KB 0513 (a)", *VASE[1:]]]))
    pair = archive.catalogue.object_named("KB 0512")
    assert Note(heading="Stock no", as_stated="KB 0512 (pair)") in [
        msgspec.structs.replace(note, source=None) for note in pair.notes
    ]
    assert pair.composition is not None
    assert archive.catalogue.object_named("KB 0513 (a)").stock_number == "KB 0513 (a)"
