"""Pieces are found by the colour of their glaze as photographs tell it, as in the library."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from msgspec.structs import replace

from archivist.catalogue.archive import Archive
from archivist.catalogue.search import Query as Selecting
from archivist.catalogue.search import select
from archivist.errors import SelectionError
from archivist.finding import by_colour
from archivist.finding.by_colour import Nearness, asked_colour, like_colour
from archivist.finding.colours import piece_colours
from archivist.finding.kept import kept_index
from archivist.finding.query import Query
from archivist.finding.search import Found, search
from archivist.imaging.colour.lab import srgb_of
from archivist.model import Title, View
from archivist.release.disclosure import disclosures
from archivist.release.pieces import Discloser
from archivist_plugins.reference_library.entry import library_entry
from tests.archives import add_photograph, new_archive, piece, save
from tests.imaging.colour import drawn
from tests.plugins.reference_library.asking import ask

GLAZES = {"T 1": drawn.CELADON, "T 2": drawn.TENMOKU, "T 3": drawn.COBALT}
PUBLIC = disclosures()["public"]


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    """Three pieces of plain glazes, and one whose mark alone was photographed."""
    with new_archive(tmp_path / "archive") as made:
        for number, glaze in (*GLAZES.items(), ("T 4", drawn.CELADON)):
            record = piece(number, f"Jar {number}")
            save(made.catalogue, record)
            file = tmp_path / f"{number}.jpg"
            drawn.pot(drawn.plain((150, 152, 155)), glaze).save(file, "JPEG", quality=95)
            view = View.MARK if number == "T 4" else View.OVERALL
            add_photograph(made, file, (record,), view)
        yield made


def found(archive: Archive, wanted: str, near: Nearness = Nearness.NEAR) -> tuple[Found, ...]:
    with kept_index(archive, PUBLIC) as index:
        like = asked_colour(wanted) or archive.catalogue.object_named(wanted).id
        return like_colour(index, archive, PUBLIC, search(index, Query()), like, near).found


def numbers(some: tuple[Found, ...]) -> list[str]:
    return [one.entry.number for one in some]


def in_digits(pixel: tuple[int, int, int]) -> str:
    return f"#{bytes(pixel).hex()}"


@pytest.mark.parametrize(("number", "glaze"), GLAZES.items())
def test_a_glaze_is_found_by_its_colour(
    archive: Archive, number: str, glaze: tuple[int, int, int]
) -> None:
    (one,) = found(archive, in_digits(glaze))
    assert one.entry.number == number
    assert one.difference is not None
    assert one.difference < 4


def test_pieces_like_another_are_found_the_nearest_first(archive: Archive) -> None:
    assert numbers(found(archive, "T 1"))[0] == "T 1"
    assert found(archive, "T 1")[0].difference == pytest.approx(0, abs=0.01)


def test_a_piece_whose_glaze_no_photograph_shows_is_like_none(archive: Archive) -> None:
    assert "T 4" not in numbers(found(archive, in_digits(drawn.CELADON), Nearness.LOOSELY))
    with pytest.raises(SelectionError, match="colours of that piece are not known"):
        found(archive, "T 4")


@pytest.mark.parametrize("words", ["#7d9", "#7d9a8g", "#", "#7d9a86ff"])
def test_what_is_no_colour_is_told(words: str) -> None:
    with pytest.raises(SelectionError, match="is no colour"):
        asked_colour(words)


def test_a_colour_is_read_as_it_is_written() -> None:
    lab = asked_colour("#7D9a86")
    assert lab is not None
    assert bytes(srgb_of(lab)).hex() == "7d9a86"  # type: ignore[arg-type]
    assert asked_colour("T 1") is None


def test_colours_are_measured_once_and_again_when_a_piece_changed(
    archive: Archive, monkeypatch: pytest.MonkeyPatch
) -> None:
    measured: list[str] = []

    def counted(archive_: Archive, rule: object, ids: list[str], advance: object) -> object:
        measured.extend(ids)
        return whole(archive_, rule, ids, advance)  # type: ignore[arg-type]

    whole = by_colour._measured
    monkeypatch.setattr(by_colour, "_measured", counted)
    found(archive, "#7d9a86")
    assert len(measured) == 4
    found(archive, "#402010")
    assert len(measured) == 4
    record = archive.catalogue.object_named("T 2")
    save(archive.catalogue, replace(record, titles=(Title(value="Ewer"),)))
    found(archive, "#402010")
    assert measured[4:] == [record.id]


@pytest.mark.parametrize("near", list(Nearness))
def test_the_pages_of_the_library_find_the_same(
    archive: Archive, tmp_path: Path, near: Nearness
) -> None:
    pieces = list(
        Discloser(archive, PUBLIC, copies=False).pieces(select(archive.catalogue, Selecting()))
    )
    entries = [library_entry(one, (), "", piece_colours(one)) for one in pieces]
    asked = [in_digits(glaze) for glaze in GLAZES.values()] + ["#7d9a86", "#9a9a9a"]
    addresses = [f"colour={words[1:]}&near={near}&order=colour" for words in asked]
    for words, answer in zip(asked, ask(addresses, tmp_path, entries), strict=True):
        assert numbers(found(archive, words, near)) == answer["by_colour"], words
