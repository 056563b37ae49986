"""Writes the crate: the files of each piece, then what describes all of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from itertools import chain

import msgspec

from archivist.hooks import Exporter, Package, Piece, Selection, WrittenFile
from archivist.model import canonical_json
from archivist_plugins.record_schemas import PARTY, RECORD, schema
from archivist_plugins.ro_crate import entities
from archivist_plugins.ro_crate.entities import CONTEXT, METADATA, NAME
from archivist_plugins.ro_crate.graph import Entity


class RoCrate(Exporter):
    """Writes `SLUG/record.json`, `SLUG/parties.json`, the photographs, and the metadata."""

    def __init__(self, *, photographs: bool = True) -> None:
        self._photographs = photographs

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        """Writes the record of one piece, and its photographs unless they were not wanted."""
        package.write(f"{piece.slug}/record.json", canonical_json(piece.record))
        parties = b",".join(canonical_json(party) for party in piece.parties)
        package.write(f"{piece.slug}/parties.json", b"[" + parties + b"]")
        if self._photographs:
            for photo in piece.photographs:
                package.copy(f"{piece.slug}/{photo.name}", photo.path, photo.sha256)

    def export_selection(self, selection: Selection, package: Package) -> None:
        """Writes `ro-crate-metadata.json`, one entity at a time.

        A piece that this exporter failed on is not in the crate, and so is not described.
        """
        own: dict[str, list[WrittenFile]] = defaultdict(list)
        beside: list[WrittenFile] = []
        for file in package.companions():
            exporter, _, path = file.path.partition("/")
            if exporter == NAME:
                own[path.split("/")[0]].append(replace(file, path=path))
            else:
                beside.append(file)
        schemas = [package.write(name, schema(name)) for name in (RECORD, PARTY)]
        others = dict(entities.of_others(beside))
        with package.open(METADATA) as target:
            target.write(b'{\n"@context": ' + msgspec.json.encode(CONTEXT) + b',\n"@graph": [')
            for number, entity in enumerate(_entities(selection, dict(own), others, schemas)):
                target.write(b",\n" if number else b"\n")
                target.write(msgspec.json.encode(entity))
            target.write(b"\n]\n}\n")


def _entities(
    selection: Selection,
    own: dict[str, list[WrittenFile]],
    others: dict[str, Entity],
    schemas: list[WrittenFile],
) -> Iterator[Entity]:
    """Every entity of the crate, the whole first, none twice (an original may be of two pieces)."""
    by_piece: dict[str, list[str]] = defaultdict(list)
    of_all: list[str] = []
    for path, other in others.items():
        slug = entities.slug_in(path)
        (by_piece[slug] if slug in own else of_all).append(other["@id"])
    seen: set[str] = set()
    for entity in chain(
        entities.whole(selection, own, of_all, schemas),
        _pieces(selection, own, by_piece),
        others.values(),
    ):
        if entity["@id"] not in seen:
            seen.add(entity["@id"])
            yield entity


def _pieces(
    selection: Selection, own: dict[str, list[WrittenFile]], others: dict[str, list[str]]
) -> Iterator[Entity]:
    for piece in selection.pieces():
        if piece.slug in own:
            yield from entities.of_piece(
                piece, selection, own[piece.slug], others.get(piece.slug, [])
            )
