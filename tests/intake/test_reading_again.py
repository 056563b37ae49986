"""The kept words of cells are read again: an older reading is corrected, and edits are not."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from archivist.catalogue.archive import Archive
from archivist.intake import cells, words
from archivist.intake.apply import apply
from archivist.intake.proposal import read_proposal
from archivist.intake.survey import Told, survey_again
from archivist.model import Aspect, Certainty, ObjectRecord
from archivist.plugins import Plugins

Sheet = Callable[..., Path]
ROWS = [
    ["Stock no", "Title", "When made", "Size"],
    ["HW 0401", "Celadon bowl", "certainly not 17th century", "D 14 cm"],
    ["HW 0402", "Plain vase", "18th century", "H 20 cm"],
]


@pytest.fixture
def older(monkeypatch: pytest.MonkeyPatch) -> Iterator[pytest.MonkeyPatch]:
    """A reading that, like an older one, takes whatever is named for asserted."""
    newer = words.read

    def read(*given: Any) -> Any:
        found = newer(*given)
        plain = tuple(
            msgspec.structs.replace(s, certainty=Certainty.CERTAIN) for s in found.statements
        )
        return msgspec.structs.replace(found, statements=plain)

    cells._understood.cache_clear()
    monkeypatch.setattr(words, "read", read)
    yield monkeypatch
    cells._understood.cache_clear()


def again(archive: Archive, plugins: Plugins, monkeypatch: pytest.MonkeyPatch) -> Told:
    monkeypatch.undo()
    cells._understood.cache_clear()
    return survey_again(archive, plugins)


def certainties(archive: Archive, number: str) -> set[Certainty]:
    record = next(r for r in archive.catalogue.all(ObjectRecord) if r.stock_number == number)
    return {a.certainty for a in record.attributions if a.aspect is Aspect.DATE}


def test_what_an_older_reading_asserted_is_corrected_once(
    archive: Archive,
    plugins: Plugins,
    sheet: Sheet,
    take_in: Callable[..., object],
    older: pytest.MonkeyPatch,
) -> None:
    take_in(sheet(ROWS))
    assert certainties(archive, "HW 0401") == {Certainty.CERTAIN}
    told = again(archive, plugins, older)
    (change,) = told.proposal.items
    assert "'certainly not 17th century' was read as" in change.reasons[0]
    assert told.path is not None
    apply(archive, read_proposal(told.path), told.path.name, "Ines Tidewell")
    assert certainties(archive, "HW 0401") == {Certainty.REJECTED}
    assert certainties(archive, "HW 0402") == {Certainty.CERTAIN}
    assert survey_again(archive, plugins).path is None


def test_what_a_person_edited_is_left_as_it_is(
    archive: Archive,
    plugins: Plugins,
    sheet: Sheet,
    take_in: Callable[..., object],
    older: pytest.MonkeyPatch,
) -> None:
    take_in(sheet(ROWS))
    record = next(r for r in archive.catalogue.all(ObjectRecord) if r.stock_number == "HW 0401")
    edited = tuple(
        msgspec.structs.replace(a, certainty=Certainty.POSSIBLE) for a in record.attributions
    )
    with archive.catalogue.action("edit", "Ines Tidewell", "I looked again") as action:
        action.save(msgspec.structs.replace(record, attributions=edited))
    told = again(archive, plugins, older)
    assert told.path is None
    assert told.unchanged == 1
    assert certainties(archive, "HW 0401") == {Certainty.POSSIBLE}


def test_what_a_person_answered_is_not_taken_back(
    archive: Archive,
    plugins: Plugins,
    sheet: Sheet,
    look: Callable[..., Told],
) -> None:
    told = look(sheet(ROWS))
    assert told.path is not None
    proposal = read_proposal(told.path)
    (asked,) = proposal.questions
    other = next(c.answer for c in asked.choices if "diameter" in c.answer)
    answered = msgspec.structs.replace(
        proposal, questions=(msgspec.structs.replace(asked, answer=other),)
    )
    told.path.write_bytes(msgspec.json.encode(answered))
    apply(archive, answered, told.path.name, "Ines Tidewell")
    assert survey_again(archive, plugins).path is None
    record = next(r for r in archive.catalogue.all(ObjectRecord) if r.stock_number == "HW 0401")
    assert [m.dimension.value for m in record.measurements] == ["diameter"]


def test_nothing_is_proposed_where_all_is_read_as_it_was(
    archive: Archive, plugins: Plugins, sheet: Sheet, take_in: Callable[..., object]
) -> None:
    take_in(sheet(ROWS))
    assert survey_again(archive, plugins).path is None
