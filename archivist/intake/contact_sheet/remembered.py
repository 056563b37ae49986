"""What lists of photographs said, remembered until a photograph comes that it is about."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from archivist.catalogue.action import Action
from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import STANDS, Catalogue
from archivist.catalogue.holdings import occurrences
from archivist.catalogue.sources import sources
from archivist.intake.audiences import audiences_of
from archivist.intake.contact_sheet.clocks import with_clocks
from archivist.intake.contact_sheet.deciding import Decider, names_a_picture
from archivist.intake.contact_sheet.pieces import Pieces
from archivist.intake.contact_sheet.places import (
    KnownPhotograph,
    Photographs,
    photographs_known,
)
from archivist.intake.contact_sheet.reading import RowSaid, said_again
from archivist.intake.contact_sheet.reviewing import is_spoken_of, with_review
from archivist.intake.contact_sheet.testimony import Testimony
from archivist.intake.vocabulary import tables_of
from archivist.model import ObjectRecord, Photograph
from archivist.plugins import load_plugins
from archivist.reading.tables import Tables


@dataclass(frozen=True)
class RememberedRow:
    """A row as last taken in: of which list, and the photograph it went to ('' if none yet)."""

    source: str
    photograph: str
    said: RowSaid


def anything_remembered(catalogue: Catalogue) -> bool:
    """Whether any list of photographs was ever taken in."""
    query = "SELECT 1 FROM imported WHERE row >= 'photograph' AND row < 'photographt' LIMIT 1"
    return catalogue.connection.execute(query).fetchone() is not None


def remembered_rows(catalogue: Catalogue, tables: Tables) -> Iterator[RememberedRow]:
    """Every row of every list of photographs that was taken in, as it said last."""
    rows = catalogue.connection.execute(
        'SELECT source, row, "column", text, object FROM imported '
        "JOIN action ON action.id = imported.action WHERE row >= 'photograph' "
        f"AND row < 'photographt' AND {STANDS} ORDER BY action.number"
    )
    cells: dict[tuple[str, str], dict[str, str]] = {}
    went: dict[tuple[str, str], str] = {}
    for row in rows:
        place = (row["source"], row["row"])
        cells.setdefault(place, {})[row["column"]] = row["text"]
        went[place] = row["object"]
    lists: dict[str, list[RowSaid]] = {}
    for (source, key), words in cells.items():
        said = said_again(words, key, tables)
        if said is not None:
            lists.setdefault(source, []).append(said)
    for source, listed in lists.items():
        for said in with_clocks(listed)[0]:
            yield RememberedRow(source, went[source, said.key], said)


def settle(archive: Archive, action: Action, fresh: Collection[str]) -> int:
    """Lays what lists said over photographs that came just now (their UUIDs); how many changed."""
    catalogue = archive.catalogue
    if not fresh or not anything_remembered(catalogue):
        return 0
    plugins = load_plugins()
    tables = tables_of(archive, plugins)
    known = Photographs()
    locations = {source.id: source.location for source in sources(catalogue)}
    for photograph_id in fresh:
        photograph = catalogue.get(photograph_id, Photograph)
        if photograph is None or is_spoken_of(photograph):
            continue
        known.add(photograph, held=True)
        for place in occurrences(catalogue, sha256=photograph.sha256):
            known.add_place(photograph.sha256, locations.get(place.source, ""), place.path)
    rows = list(remembered_rows(catalogue, tables))
    copies = any(row.said.copy for row in rows)
    everything = photographs_known(catalogue) if copies else known
    pieces = Pieces(catalogue.all(ObjectRecord), tables)
    decider = Decider(pieces, tables, audiences_of(archive, plugins), everything)
    changed = 0
    for row in rows:
        about = spoken_of(row, known)
        if about is not None:
            decision = decider.decide(row.said, about, row.source)
            changed += action.save(
                with_review(about.photograph, decision.depictions, decision.taken, decision.copy_of)
            )
    return changed


def copies_said(catalogue: Catalogue, tables: Tables, known: Photographs) -> dict[str, Testimony]:
    """Of what pictures are copies by the words of lists that were taken in. They hold for
    photographs of the archive and for those that are proposed."""
    said: dict[str, Testimony] = {}
    for row in remembered_rows(catalogue, tables):
        if row.said.copy is None:
            continue
        about = spoken_of(row, known)
        if about is None:
            continue
        words = row.said.copy.strip()
        if not names_a_picture(words):
            said[about.photograph.sha256] = Testimony(copy_of="")
            continue
        others = [k.photograph.sha256 for k in known.named(words, words)]
        if len(others) == 1 and others[0] != about.photograph.sha256:
            said[about.photograph.sha256] = Testimony(copy_of=others[0])
    return said


def spoken_of(row: RememberedRow, known: Photographs) -> KnownPhotograph | None:
    """The photograph that a remembered row is about, None where it is not among `known`.

    A row that went to a photograph once is about no other.
    """
    found = known.named(row.said.path, row.said.sha256)
    if len(found) != 1 or row.photograph not in ("", found[0].photograph.id):
        return None
    return found[0]
