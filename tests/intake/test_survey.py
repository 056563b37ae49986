"""A survey reads every source it can, whatever one reader or one file does."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from archivist.catalogue.archive import Archive
from archivist.errors import SelectionError
from archivist.hooks import Cell, Found, FoundFile, FoundRow, ReaderDescription, Trouble
from archivist.intake.proposal import (
    AddPhotograph,
    CreateObject,
    KeepFile,
    proposal_files,
    read_proposal,
)
from archivist.intake.survey import survey
from archivist.model import ObjectRecord
from archivist.plugins import Offer, Origin, Plugins

Look = Callable[..., Any]
ROWS = [["Stock No", "What it is"], ["T 1", "bowl"]]


class Cards:
    """A stranger's reader of .cards files, which breaks off where it finds the word 'broken'."""

    def sure(self, source: Path) -> float:
        if source.suffix == ".worse":
            raise RuntimeError("cannot even look")
        return 0.9 if source.suffix == ".cards" else 0.0

    def read(self, source: Path) -> Iterator[Found]:
        for number, line in enumerate(source.read_text(encoding="utf-8").splitlines(), start=1):
            if line == "broken":
                raise ValueError("a card is broken")
            words = (Cell(column="No", text=f"C {number}"), Cell(column="Title", text=line))
            yield FoundRow(table="", number=number, cells=words)


@pytest.fixture
def with_cards(plugins: Plugins) -> Plugins:
    description = ReaderDescription(name="cards", title="Cards", make=lambda _: Cards())
    origin = Origin("cards", "a-strangers-distribution", "0.1")
    return Plugins((*plugins.offers, Offer("reader", description, origin)))


def troubles(told: Any) -> list[Trouble]:
    return [t.trouble for t in told.proposal.troubles]


def titles(told: Any) -> list[str]:
    return [i.record.title for i in told.proposal.items if isinstance(i, CreateObject)]


def test_a_strangers_reader_is_used_like_any_other(
    archive: Archive, with_cards: Plugins, tmp_path: Path
) -> None:
    (tmp_path / "a.cards").write_text("bowl\njug\n", encoding="utf-8")
    assert titles(survey(archive, [tmp_path / "a.cards"], with_cards)) == ["bowl", "jug"]


def test_a_reader_that_raises_is_named_and_what_it_found_before_counts(
    archive: Archive, with_cards: Plugins, tmp_path: Path, sheet: Look
) -> None:
    (tmp_path / "a.cards").write_text("bowl\nbroken\njug\n", encoding="utf-8")
    told = survey(archive, [tmp_path / "a.cards", sheet(ROWS)], with_cards)
    assert titles(told) == ["bowl", "bowl"]
    (trouble,) = troubles(told)
    assert "'cards' of cards (a-strangers-distribution 0.1) stopped" in trouble.reason
    assert "a card is broken" in trouble.reason


def test_a_reader_that_raises_when_it_looks_is_no_reader_of_that_file(
    archive: Archive, with_cards: Plugins, tmp_path: Path
) -> None:
    (tmp_path / "a.worse").write_text("x", encoding="utf-8")
    with pytest.raises(SelectionError, match="Nothing here can read"):
        survey(archive, [tmp_path / "a.worse"], with_cards)
    told = survey(archive, [tmp_path], with_cards)
    assert any(
        isinstance(i, KeepFile) and i.file.path.endswith("a.worse") for i in told.proposal.items
    )


def test_a_reader_can_be_named(archive: Archive, with_cards: Plugins, tmp_path: Path) -> None:
    (tmp_path / "a.other").write_text("bowl\n", encoding="utf-8")
    told = survey(archive, [tmp_path / "a.other"], with_cards, reader="cards")
    assert titles(told) == ["bowl"]
    with pytest.raises(SelectionError, match="no reader 'tapes'"):
        survey(archive, [tmp_path / "a.other"], with_cards, reader="tapes")


class Index:
    """A stranger's reader of a folder with an index of which picture shows which piece."""

    def sure(self, source: Path) -> float:
        return 0.95 if (source / "index").is_file() else 0.0

    def read(self, source: Path) -> Iterator[Found]:
        for line in (source / "index").read_text(encoding="utf-8").splitlines():
            path, _, number = line.partition("=")
            yield FoundFile(path=path, number=number)


def test_the_number_that_a_reader_knows_goes_before_what_names_say(
    archive: Archive, plugins: Plugins, tmp_path: Path, sheet: Look, picture: Look, take_in: Look
) -> None:
    take_in(sheet([*ROWS, ["T 2", "jug"]]))
    picture(tmp_path / "indexed/T 2.jpg")
    (tmp_path / "indexed/index").write_text("T 2.jpg=T 1\n", encoding="utf-8")
    description = ReaderDescription(name="index", title="Index", make=lambda _: Index())
    origin = Origin("index", "a-strangers-distribution", "0.1")
    readers = Plugins((*plugins.offers, Offer("reader", description, origin)))
    told = survey(archive, [tmp_path / "indexed"], readers)
    (item,) = [i for i in told.proposal.items if isinstance(i, AddPhotograph)]
    (shown,) = item.photograph.depictions
    record = archive.catalogue.get(shown.object, ObjectRecord)
    assert record is not None
    assert record.stock_number == "T 1"
    assert item.reasons[0] == "number 'T 1' has T 1"


def test_spreadsheets_within_a_folder_are_read_as_sources_of_their_own(
    look: Look, tmp_path: Path, sheet: Look, picture: Look
) -> None:
    source = tmp_path / "things"
    picture(source / "T 1/front.jpg")
    sheet(ROWS).rename(source / "deep.xlsx")
    told = look(source)
    assert titles(told) == ["bowl"]
    assert {s.reader for s in told.proposal.sources} == {"photo-folder", "spreadsheet"}
    files = [i.file.path for i in told.proposal.items if isinstance(i, KeepFile)]
    assert sorted(files) == ["T 1/front.jpg", "deep.xlsx"], "each is kept once"


@pytest.mark.parametrize("content", [b"", b"not a workbook", b"PK\x03\x04 cut short"])
def test_a_sheet_that_cannot_be_read_is_kept_and_named(
    look: Look, tmp_path: Path, content: bytes
) -> None:
    (tmp_path / "a.xlsx").write_bytes(content)
    told = look(tmp_path / "a.xlsx")
    assert [type(i) for i in told.proposal.items] == [KeepFile]
    assert "a.xlsx" in troubles(told)[0].reason
    assert not told.mappings


def test_nothing_in_the_catalogue_changes_by_looking(
    archive: Archive, look: Look, sheet: Look
) -> None:
    before = archive.catalogue.path.read_bytes()
    look(sheet(ROWS))
    assert archive.catalogue.path.read_bytes() == before
    assert archive.catalogue.actions() == ()


def test_a_proposal_is_text_that_a_person_can_read(
    archive: Archive, look: Look, sheet: Look
) -> None:
    told = look(sheet(ROWS))
    assert proposal_files(archive.proposals) == (told.path,)
    lines = told.path.read_text(encoding="utf-8").splitlines()
    assert max(len(line) for line in lines) < 200
    data = json.loads(told.path.read_text(encoding="utf-8"))
    (item,) = [i for i in data["items"] if i["what"] == "create object"]
    assert item["accept"] is True
    assert item["reasons"] == ["row 2 is new"]
    assert item["cells"] == {"Stock No": "T 1", "What it is": "bowl"}


def test_a_proposal_is_written_piece_by_piece_and_read_as_it_was(
    look: Look, picture: Look, sheet: Look, tmp_path: Path
) -> None:
    import msgspec

    for name in ("T 1/front.jpg", "T 2/foot.jpg", "T 2/copy of foot.jpg", "x/1.jpg", "x/2.jpg"):
        picture(tmp_path / "pictures" / name)
    told = look(sheet(ROWS), tmp_path / "pictures")
    assert told.proposal.found.photographs
    assert told.proposal.questions
    assert read_proposal(told.path) == told.proposal
    whole = msgspec.json.format(msgspec.json.encode(told.proposal), indent=1)
    assert told.path.read_bytes() == whole + b"\n"
