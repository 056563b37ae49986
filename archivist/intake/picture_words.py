"""Which words that came with photographs speak of which piece.

A caption speaks of the one piece that its photograph shows; what a list calls a piece, of that
piece; the name of a folder, of the piece that all photographs in it show.
"""

from __future__ import annotations

import functools
import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import PurePosixPath

from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.holdings import occurrences
from archivist.catalogue.numbers import tokens
from archivist.imaging.words import is_keyword
from archivist.intake.pictures.findings import PictureFile
from archivist.intake.proposal import (
    AddPhotograph,
    AnyItem,
    LinkPhotograph,
    ReviewPhotograph,
    TellPhotograph,
)
from archivist.intake.rules.number_meanings import not_of_the_making
from archivist.intake.stock_numbers import NumberIndex
from archivist.model import Caption, Certainty, Depiction, ObjectRecord, Photograph, View
from archivist.reading.tables import Tables

NAME, FOLDER = "name of the file", "name of the folder"


@dataclass(frozen=True)
class Words:
    """Words that speak of one piece: where they stood, on which photograph's account, how sure it
    is that it shows the piece. `row` and `column` name them among what the source said."""

    text: str
    object: str
    source: str
    row: str
    column: str
    place: str
    original: str = ""
    certainty: Certainty = Certainty.CERTAIN


@dataclass
class Placed:
    """A photograph, where its files lie (source and path), words that came to lie beside it
    since, and what it shows of which piece."""

    photograph: Photograph
    places: list[tuple[str, str]] = field(default_factory=list)
    more_captions: list[Caption] = field(default_factory=list)
    depictions: dict[str, Depiction] = field(default_factory=dict)

    def show(self, depictions: Iterable[Depiction]) -> None:
        """Adds depictions; one of a piece takes the place of an earlier one of it."""
        self.depictions.update({d.object: d for d in depictions})

    @property
    def one_piece(self) -> Depiction | None:
        """The only piece that it shows; None of several, of a paper, and where none is known."""
        shown = [d for d in self.depictions.values() if d.certainty is not Certainty.REJECTED]
        if len(shown) != 1 or shown[0].view in (View.GROUP, View.DOCUMENT):
            return None
        return shown[0]


def placed_photographs(
    catalogue: Catalogue, files: Iterable[PictureFile], items: Sequence[AnyItem]
) -> dict[str, Placed]:
    """The photographs of a survey by their UUID, with what each shows by all that is said.

    `files` are all photographs of its folders, `items` what it proposes.
    """
    placed: dict[str, Placed] = {}
    added = {i.photograph.sha256: i for i in items if isinstance(i, AddPhotograph)}
    by_digest: dict[str, Placed | None] = {}
    for file in files:
        if file.sha256 not in by_digest:
            new = added.get(file.sha256)
            photograph = new.photograph if new else _held(catalogue, file.sha256)
            by_digest[file.sha256] = _new(photograph, placed) if photograph else None
        one = by_digest[file.sha256]
        if one is not None:
            one.places.append((file.source, file.path))
    for digest in sorted(added.keys() - by_digest.keys()):
        new = added[digest]
        _new(new.photograph, placed).places.append((new.source, new.path))
    for item in items:
        if isinstance(item, LinkPhotograph | ReviewPhotograph | TellPhotograph):
            one = placed.get(item.photograph) or _known(catalogue, item.photograph, placed)
            if one is not None and isinstance(item, TellPhotograph):
                one.more_captions.extend(item.captions)
            elif one is not None and not isinstance(item, TellPhotograph):
                one.show(item.depictions)
    return placed


def placed_by(items: Iterable[AnyItem], placed: Mapping[str, Placed]) -> list[Placed]:
    """The photographs that an answer would place, showing what it says."""
    moved: dict[str, Placed] = {}
    for item in items:
        if isinstance(item, LinkPhotograph) and item.photograph in placed:
            one = placed[item.photograph]
            copy = moved.setdefault(
                item.photograph, Placed(one.photograph, one.places, one.more_captions)
            )
            copy.show(item.depictions)
    return list(moved.values())


def _new(photograph: Photograph, placed: dict[str, Placed]) -> Placed:
    one = placed.setdefault(photograph.id, Placed(photograph))
    one.show(photograph.depictions)
    return one


def _held(catalogue: Catalogue, sha256: str) -> Photograph | None:
    known = catalogue.keyed(Photograph, sha256)
    return known[0] if known and not known[0].withdrawn else None


def _known(catalogue: Catalogue, photograph_id: str, placed: dict[str, Placed]) -> Placed | None:
    """A photograph of the archive that a list speaks of without its folder."""
    photograph = catalogue.get(photograph_id, Photograph) if photograph_id else None
    if photograph is None or photograph.withdrawn:
        return None
    one = _new(photograph, placed)
    found = occurrences(catalogue, sha256=photograph.sha256)
    one.places.extend((place.source, place.path) for place in found[:1])
    return one


def captions_of(placed: Placed) -> Iterator[Words]:
    """The captions in a photograph and beside it, of the one piece that it shows; keywords need not
    speak of it."""
    shown = placed.one_piece
    if shown is None or not placed.places:
        return
    source, path = placed.places[0]
    digest = placed.photograph.sha256
    for caption in (*placed.photograph.captions, *placed.more_captions):
        if is_keyword(caption):
            continue
        yield Words(
            text=caption.words.strip(),
            object=shown.object,
            source=source,
            row=f"caption\n{digest}",
            column=caption.where or "caption",
            place=path,
            original=digest,
            certainty=shown.certainty,
        )


def listed_captions(placed: Placed) -> Iterator[Words]:
    """What a list of photographs calls each piece that is seen."""
    for shown in placed.depictions.values():
        listed = shown.source
        if not shown.caption or listed is None or not listed.row:
            continue
        if shown.certainty is not Certainty.REJECTED and shown.view is not View.DOCUMENT:
            yield Words(
                text=shown.caption.strip(),
                object=shown.object,
                source=listed.source,
                row=f"caption\n{placed.photograph.sha256}\n{shown.object}",
                column="caption",
                place=listed.place,
                original=placed.photograph.sha256,
                certainty=shown.certainty,
            )


def names_of(placed: Iterable[Placed]) -> Iterator[Words]:
    """The names of files, and of folders in which all photographs show one piece."""
    folders: dict[tuple[str, str], set[str]] = {}
    certainties: dict[tuple[str, str], Certainty] = {}
    for one in placed:
        shown = one.one_piece
        for source, path in one.places:
            for folder in map(str, PurePosixPath(path).parents):
                if folder != ".":
                    folders.setdefault((source, folder), set()).add(shown.object if shown else "")
                    if shown:
                        certainties[source, folder] = shown.certainty
            if shown is not None:
                yield Words(
                    text=PurePosixPath(path).stem,
                    object=shown.object,
                    source=source,
                    row=f"name\n{path}",
                    column=NAME,
                    place=path,
                    original=one.photograph.sha256,
                    certainty=shown.certainty,
                )
    for (source, folder), objects in folders.items():
        if len(objects) == 1 and "" not in objects:
            yield Words(
                text=PurePosixPath(folder).name,
                object=next(iter(objects)),
                source=source,
                row=f"name\n{folder}",
                column=FOLDER,
                place=folder,
                certainty=certainties[source, folder],
            )


@functools.lru_cache(maxsize=1024)
def _index(record: ObjectRecord, tables: Tables) -> NumberIndex:
    return NumberIndex([record], tables)


def number_spans(words: str, record: ObjectRecord, tables: Tables) -> list[tuple[int, int]]:
    """Where the piece's own number stands in its caption, which is no year and no size; and where
    figures stand that tell nothing of the piece: a price, a lot, the year of a sale.

    A number of digits alone is the piece's only where the words begin with it.
    """
    if unicodedata.normalize("NFKC", words) != words:
        return []
    found = tokens(words)
    spans = not_of_the_making(words, tables)
    for claim in _index(record, tables).claims(words):
        first, last = found[claim.first], found[claim.end - 1]
        opens = not re.search(r"\w", words[: first.start])
        if opens or re.search(r"[^\W\d_]", claim.words):
            spans.append((first.start, last.start + len(last.raw)))
    return spans
