"""Pieces as an audience may see them: record, photographs and parties put together and filtered."""

from __future__ import annotations

import mimetypes
import uuid
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TypeVar

import msgspec

from archivist import __version__
from archivist.catalogue.archive import Archive
from archivist.catalogue.entities import party_ids, with_party_ids
from archivist.catalogue.holdings import note_damage
from archivist.content import compare
from archivist.errors import ArchivistError, FixityError
from archivist.hooks import ArchiveFacts, AudienceDescription, DisclosedPhotograph, Piece
from archivist.imaging.clean_copy import NoPreviewError
from archivist.model import (
    VIEW_ORDER,
    Depiction,
    ObjectRecord,
    Override,
    Party,
    Photograph,
    Rights,
    Value,
    View,
)
from archivist.names import slug, web_base
from archivist.plugins import Plugins
from archivist.release.disclosure import OWNER, Disclosure, disclosures
from archivist.release.history import History
from archivist.release.naming import piece_slug, piece_uri
from archivist.release.pictures import (
    Picture,
    clean_picture,
    colours_kept,
    original_picture,
    shown_by_preview,
)
from archivist.release.scrubbing import Scrubber
from archivist.release.withholding import withheld_fields

ValueType = TypeVar("ValueType", bound=Value)


class Stays(StrEnum):
    """Why a photograph stays with the owner; of several reasons, the first of these is told."""

    NOT_REVIEWED = "not reviewed"
    UNKNOWN_VIEW = "unknown view"
    NO_REGION = "no region"
    VIEW = "view"
    PRIVATE = "private"
    UNDECODABLE = "undecodable"
    RAW = "raw"


_STAYS = tuple(Stays)

PARTY = "party"
"""The kind of a party in the catalogue."""


@dataclass
class Withheld:
    """The photographs that stayed with the owner, by UUID, and why; and what could not be read."""

    photographs: dict[str, Stays] = field(default_factory=dict)
    problems: list[str] = field(default_factory=list)

    def add(self, photograph_id: str, why: Stays) -> None:
        """A photograph that stays; one of several pieces may do so for several reasons."""
        known = self.photographs.get(photograph_id, why)
        self.photographs[photograph_id] = min(known, why, key=_STAYS.index)

    def add_all(self, photographs: Mapping[str, Stays]) -> None:
        """Photographs that stay, each with its reason."""
        for photograph_id, why in photographs.items():
            self.add(photograph_id, why)

    def counted(self) -> dict[str, int]:
        """How many photographs stay for each reason; together, all that stay."""
        numbers = Counter(self.photographs.values())
        return {why.value: numbers[why] for why in Stays if numbers[why]}


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


def rules_of(archive: Archive, plugins: Plugins) -> dict[str, Disclosure]:
    """The rule of every audience that this archive knows.

    Raises:
        PluginError, SettingsError: as `disclosures` does.
    """
    described = plugins.of("audience", AudienceDescription)
    return disclosures(described, archive.settings.audiences)


@dataclass(frozen=True)
class Sight:
    """What one audience sees of one piece: the rule, and what is taken out of its words."""

    disclosure: Disclosure
    scrubber: Scrubber | None

    def scrubbed(self, value: ValueType) -> ValueType:
        """`value` without names, contacts and prices that its words may not tell."""
        return self.scrubber.value(value) if self.scrubber else value

    def seen(self, value: ValueType) -> ValueType:
        """What is seen of `value`."""
        return self.scrubbed(self.disclosure.filtered(value))

    def may_show(self, photograph: Photograph, depiction: Depiction) -> bool:
        """Whether the audience may see it: a picture of several pieces only where it can be cut."""
        return self.why_not_shown(photograph, depiction) is None

    def why_not_shown(self, photograph: Photograph, depiction: Depiction) -> Stays | None:
        """Why the audience may not see it; None where it may."""
        rule = self.disclosure
        if photograph.undecodable and (rule.everything or not shown_by_preview(photograph)):
            return Stays.UNDECODABLE
        if rule.depiction_shown(depiction):
            several = len({d.object for d in photograph.depictions}) > 1
            cut = depiction.region is not None
            alone = not several and depiction.view is not View.GROUP
            return None if rule.everything or cut or alone else Stays.NO_REGION
        if depiction.private:
            return Stays.PRIVATE
        if depiction.view in rule.withheld_views and depiction.view is not View.UNKNOWN:
            return Stays.VIEW
        return Stays.UNKNOWN_VIEW if depiction.reviewed else Stays.NOT_REVIEWED

    def photograph(self, photograph: Photograph, object_id: str) -> Photograph:
        """What is told of a photograph of that piece; of others that it shows, nothing."""
        if self.disclosure.everything:
            return photograph
        mine = tuple(
            msgspec.structs.replace(d, region=None)  # the file is the crop already
            for d in photograph.depictions_of(object_id)
            if self.may_show(photograph, d)
        )
        return self.seen(msgspec.structs.replace(photograph, depictions=mine))


class Discloser:
    """Makes pieces of an archive's records for one audience.

    Without `copies` nothing is decoded but the previews of raw files, and nothing compared with
    its digest: the originals stand in for the copies that others would be given. That is for
    whoever only wants to know what there is, and hands nothing on.
    """

    def __init__(
        self,
        archive: Archive,
        disclosure: Disclosure,
        base_uri: str = "",
        *,
        copies: bool = True,
    ) -> None:
        self.archive = archive
        self.disclosure = disclosure
        self.withheld = Withheld()
        self._copies = copies
        self._compared: set[str] = set()
        self._base = web_base(archive_facts(archive, base_uri).base_uri, archive.settings.id)
        self._parties = tuple(archive.catalogue.all(Party))
        self._by_id = {party.id: party for party in self._parties}
        self._public = frozenset(party.id for party in self._parties if not party.private)
        self._history = History(archive)
        self._sights: dict[tuple[Override, ...], Sight] = {}

    def sight(self, record: ObjectRecord) -> Sight:
        """What the audience sees of `record`, by the rule and the overrides of that piece.

        Raises:
            SettingsError: where an override cannot be kept to; then nothing of the piece goes out.
        """
        mine = tuple(o for o in record.overrides if o.audience == self.disclosure.audience)
        if mine not in self._sights:
            rule = self.disclosure.overridden(mine)
            self._sights[mine] = Sight(rule, None if rule.everything else self._scrubber(rule))
        return self._sights[mine]

    def _scrubber(self, rule: Disclosure) -> Scrubber:
        """What takes out of words the names that the audience may not know.

        Raises:
            FixityError: where a person's record is damaged: nobody knows then what to take out.
        """
        for (kind, _), problem in self.archive.catalogue.damaged.items():
            if kind == PARTY:
                raise problem
        return Scrubber(
            map(rule.unseen, self._parties),
            contacts=not rule.shows("private_party", "contact"),
            prices=not rule.shows("record", "sales"),
        )

    def pieces(self, ids: Sequence[str]) -> Iterator[Piece]:
        """The pieces of those UUIDs, one at a time."""
        for object_id in ids:
            record = self.archive.catalogue.sound(object_id, ObjectRecord)
            if record is not None:
                yield self.piece(record)

    def piece(self, record: ObjectRecord, withheld: Withheld | None = None) -> Piece:
        """The piece, holding nothing that the audience may not see.

        What stays with the owner is noted in `withheld`, else in the discloser's own.
        """
        sight = self.sight(record)
        disclosed = sight.seen(record)
        if disclosed.rights is None:
            disclosed = msgspec.structs.replace(
                disclosed, rights=Rights(uri=self.archive.settings.rights.uri)
            )
        photographs = tuple(self._photographs(record, sight, withheld or self.withheld))
        named = party_ids(disclosed).union(*(party_ids(p.photograph) for p in photographs))
        parties = (self._by_id.get(party_id) for party_id in sorted(named))
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
            parties=tuple(_party(p, sight, known_as) for p in parties if p is not None),
            slug=piece_slug(disclosed),
            uri=piece_uri(self._base, record),
            withheld=withheld_fields(record, disclosed),
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

    def depictions(self, record: ObjectRecord) -> list[tuple[Photograph, Depiction, Stays | None]]:
        """Every picture of a piece, in the order in which to show them, and why it is not shown;
        None where it is. Of a raw file whose picture lies beside it that picture is shown."""
        sight = self.sight(record)
        found = [
            (photograph, depiction, sight.why_not_shown(photograph, depiction))
            for photograph in self.archive.catalogue.photographs_of(record.id)
            for depiction in photograph.depictions_of(record.id)
        ]
        given = {photograph.derived_from for photograph, _, stays in found if stays is None}
        found = [
            (photograph, depiction, Stays.RAW)
            if stays is None and photograph.sha256 in given and shown_by_preview(photograph)
            else (photograph, depiction, stays)
            for photograph, depiction, stays in found
        ]
        return sorted(found, key=lambda one: _order(one[1]))

    def _photographs(
        self, record: ObjectRecord, sight: Sight, withheld: Withheld
    ) -> Iterator[DisclosedPhotograph]:
        """The pictures of a piece that the audience may see, in the order in which to show them."""
        names: dict[str, int] = {}
        for photograph, depiction, stays in self.depictions(record):
            if stays is not None:
                withheld.add(photograph.id, stays)
                continue
            kept = colours_kept(self.archive, photograph, depiction)
            try:
                picture, depiction = self._picture(photograph, depiction)
            except NoPreviewError:
                withheld.add(photograph.id, Stays.UNDECODABLE)
                continue
            except ArchivistError as problem:
                withheld.problems.append(
                    f"{record.name}: {problem.message} {problem.remedy}".rstrip()
                )
                continue
            if photograph.undecodable:
                photograph = msgspec.structs.replace(
                    photograph, width=picture.width, height=picture.height
                )
            stem = slug(depiction.view.value, 20)
            names[stem] = names.get(stem, 0) + 1
            name = f"{stem}-{names[stem]:02d}{picture.path.suffix}"
            everything = self.disclosure.everything
            yield replace(
                _disclosed(photograph, depiction, picture, name, sight),
                colours_kept=kept,
                history=self._history.of(photograph.sha256) if everything else (),
            )

    def _compare(self, picture: Picture) -> None:
        """Leaves out what is damaged before any exporter tells of it, so that all agree; each
        compares again what it uses.

        Raises:
            FixityError: where it is.
        """
        if picture.sha256 not in self._compared:
            try:
                compare(picture.path, picture.sha256)
            except FixityError:
                note_damage(self.archive.catalogue, picture.sha256)
                raise
            self._compared.add(picture.sha256)

    def _picture(self, photograph: Photograph, depiction: Depiction) -> tuple[Picture, Depiction]:
        """The file, and the depiction as it is of that file."""
        copies = self._copies or shown_by_preview(photograph)  # its original is no picture
        if self.disclosure.everything or not copies:
            picture = original_picture(self.archive, photograph)
            if copies:
                self._compare(picture)
            return picture, depiction
        picture = clean_picture(self.archive, photograph, depiction.region)
        return picture, msgspec.structs.replace(depiction, region=None)


def _party(party: Party, sight: Sight, known_as: Callable[[str], str]) -> Party:
    """The party as it may be known; its own name, where that is told, stays whole."""
    disclosed = sight.disclosure.party(party)
    return msgspec.structs.replace(
        sight.scrubbed(disclosed), id=known_as(party.id), name=disclosed.name
    )


def _disclosed(
    photograph: Photograph, depiction: Depiction, picture: Picture, name: str, sight: Sight
) -> DisclosedPhotograph:
    seen = sight.seen(depiction)
    return DisclosedPhotograph(
        photograph=sight.photograph(photograph, depiction.object),
        depiction=seen,
        path=picture.path,
        name=name,
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


def owners_piece(archive: Archive, record: ObjectRecord) -> Piece:
    """The piece with everything, as its owner sees it; its pictures are not to be handed on."""
    return Discloser(archive, disclosures()[OWNER], copies=False).piece(record)


def _order(depiction: Depiction) -> tuple[int, int]:
    """By the owner's own order where there is one, else the whole piece first."""
    return depiction.sequence or len(VIEW_ORDER), VIEW_ORDER.index(depiction.view)
