"""Pieces as an audience may see them: record, photographs and parties put together and filtered."""

from __future__ import annotations

import mimetypes
import uuid
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeVar

import msgspec

from archivist import __version__
from archivist.catalogue.archive import Archive
from archivist.catalogue.entities import party_ids, with_party_ids
from archivist.errors import ArchivistError
from archivist.hooks import ArchiveFacts, DisclosedPhotograph, Piece
from archivist.model import (
    VIEW_ORDER,
    Depiction,
    ObjectRecord,
    Party,
    Photograph,
    Rights,
    Value,
    View,
)
from archivist.names import slug
from archivist.release.disclosure import OWNER, Disclosure, disclosures
from archivist.release.naming import piece_slug, piece_uri, web_base
from archivist.release.pictures import Picture, clean_picture, original_picture
from archivist.release.scrubbing import Scrubber

ValueType = TypeVar("ValueType", bound=Value)


@dataclass
class Withheld:
    """The photographs that stayed with the owner, by UUID; and what could not be read."""

    photographs: set[str] = field(default_factory=set)
    problems: list[str] = field(default_factory=list)


def archive_facts(archive: Archive, base_uri: str = "") -> ArchiveFacts:
    """What outputs say of the archive; `base_uri` replaces that of the settings."""
    settings = archive.settings
    return ArchiveFacts(
        id=settings.id,
        name=settings.name,
        owner=settings.owner,
        language=settings.language,
        rights_uri=settings.rights.uri,
        rights_holder=settings.rights.holder or settings.owner,
        credit=settings.rights.credit or settings.owner,
        base_uri=base_uri or settings.base_uri,
        program=f"archivist {__version__}",
    )


class Discloser:
    """Makes pieces of an archive's records for one audience."""

    def __init__(self, archive: Archive, disclosure: Disclosure, base_uri: str = "") -> None:
        self.archive = archive
        self.disclosure = disclosure
        self.withheld = Withheld()
        self._base = web_base(archive_facts(archive, base_uri).base_uri, archive.settings.id)
        parties = tuple(archive.catalogue.all(Party))
        private = (party for party in parties if party.private)
        self._public = frozenset(party.id for party in parties if not party.private)
        self._scrubber = None if disclosure.everything else Scrubber(private)

    def pieces(self, ids: Sequence[str]) -> Iterator[Piece]:
        """The pieces of those UUIDs, one at a time."""
        for object_id in ids:
            record = self.archive.catalogue.get(object_id, ObjectRecord)
            if record is not None:
                yield self.piece(record)

    def piece(self, record: ObjectRecord) -> Piece:
        """The piece, holding nothing that the audience may not see."""
        disclosed = self._scrubbed(self.disclosure.filtered(record))
        if disclosed.rights is None:
            disclosed = msgspec.structs.replace(
                disclosed, rights=Rights(uri=self.archive.settings.rights.uri)
            )
        photographs = tuple(self._photographs(record))
        named = party_ids(disclosed).union(*(party_ids(p.photograph) for p in photographs))
        parties = (self.archive.catalogue.get(party_id, Party) for party_id in sorted(named))
        known_as = self._known_as(record)
        return Piece(
            record=with_party_ids(disclosed, known_as),
            photographs=tuple(
                replace(
                    p,
                    photograph=with_party_ids(p.photograph, known_as),
                    depiction=with_party_ids(p.depiction, known_as),
                )
                for p in photographs
            ),
            parties=tuple(self._party(p, known_as) for p in parties if p is not None),
            slug=piece_slug(record),
            uri=piece_uri(self._base, record),
        )

    def _known_as(self, record: ObjectRecord) -> Callable[[str], str]:
        """By which UUID a party is known in this piece.

        Others know a private party by another one in each piece: the same would tell them which
        pieces one person owned, and whoever knows that person from one of them, all of the rest.
        """

        def known_as(party_id: str) -> str:
            if self.disclosure.everything or party_id in self._public:
                return party_id
            return str(uuid.uuid5(uuid.NAMESPACE_OID, f"{record.id} {party_id}"))

        return known_as

    def _party(self, party: Party, known_as: Callable[[str], str]) -> Party:
        """The party as it may be known; its own name, where that is public, stays whole."""
        disclosed = self.disclosure.party(party)
        return msgspec.structs.replace(
            self._scrubbed(disclosed), id=known_as(party.id), name=disclosed.name
        )

    def _photographs(self, record: ObjectRecord) -> Iterator[DisclosedPhotograph]:
        """The pictures of a piece that the audience may see, in the order in which to show them."""
        shown: list[tuple[Photograph, Depiction]] = []
        for photograph in self.archive.catalogue.photographs_of(record.id):
            for depiction in photograph.depictions_of(record.id):
                if photograph.undecodable or not self._may_show(photograph, depiction):
                    self.withheld.photographs.add(photograph.id)
                else:
                    shown.append((photograph, depiction))
        shown.sort(key=lambda pair: _order(pair[1]))
        names: dict[str, int] = {}
        for photograph, depiction in shown:
            try:
                picture, depiction = self._picture(photograph, depiction)
            except ArchivistError as problem:
                self.withheld.problems.append(f"{record.name}: {problem.message}")
                continue
            stem = slug(depiction.view.value, 20)
            names[stem] = names.get(stem, 0) + 1
            yield self._disclosed(photograph, depiction, picture, f"{stem}-{names[stem]:02d}")

    def _may_show(self, photograph: Photograph, depiction: Depiction) -> bool:
        """Whether the audience may see it: a picture of several pieces only where it can be cut."""
        if not self.disclosure.depiction_shown(depiction):
            return False
        several = depiction.view is View.GROUP or len({d.object for d in photograph.depictions}) > 1
        return self.disclosure.everything or depiction.region is not None or not several

    def _picture(self, photograph: Photograph, depiction: Depiction) -> tuple[Picture, Depiction]:
        """The file, and the depiction as it is of that file."""
        if self.disclosure.everything:
            return original_picture(self.archive, photograph), depiction
        picture = clean_picture(self.archive, photograph, depiction.region)
        return picture, msgspec.structs.replace(depiction, region=None)

    def _disclosed(
        self, photograph: Photograph, depiction: Depiction, picture: Picture, stem: str
    ) -> DisclosedPhotograph:
        shown, seen = photograph, depiction
        if not self.disclosure.everything:
            mine = tuple(
                msgspec.structs.replace(d, region=None)  # the file is the crop already
                for d in photograph.depictions_of(depiction.object)
                if self._may_show(photograph, d)
            )
            of_this_piece = msgspec.structs.replace(photograph, depictions=mine)
            shown = self._scrubbed(self.disclosure.filtered(of_this_piece))
            seen = self._scrubbed(self.disclosure.filtered(depiction))
        return DisclosedPhotograph(
            photograph=shown,
            depiction=seen,
            path=picture.path,
            name=f"{stem}{picture.path.suffix}",
            media_type=picture.media_type or mimetypes.guess_type(picture.path.name)[0] or "",
            width=picture.width,
            height=picture.height,
            sha256=picture.sha256,
            sha512=picture.sha512,
            size=picture.size,
            original_sha256=photograph.sha256,
            label=seen.caption or depiction.view.value,
            region=depiction.region,
            how=picture.how,
        )

    def _scrubbed(self, value: ValueType) -> ValueType:
        return self._scrubber.value(value) if self._scrubber else value


def owners_piece(archive: Archive, record: ObjectRecord) -> Piece:
    """The piece with everything, as its owner sees it."""
    return Discloser(archive, disclosures()[OWNER]).piece(record)


def _order(depiction: Depiction) -> tuple[int, int]:
    """By the owner's own order where there is one, else the whole piece first."""
    return depiction.sequence or len(VIEW_ORDER), VIEW_ORDER.index(depiction.view)
