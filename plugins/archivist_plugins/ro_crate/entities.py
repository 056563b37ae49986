"""The entities of a crate, flat as RO-Crate 1.1 has them: values and references by `@id`."""

from __future__ import annotations

import mimetypes
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from archivist import wording
from archivist.hooks import ArchiveFacts, DisclosedPhotograph, Piece, Selection, WrittenFile
from archivist.model import CitationKind
from archivist.wording.facts import facts
from archivist_plugins.dates import held_date
from archivist_plugins.record_schemas import WHAT_THEY_ARE
from archivist_plugins.rights import rights_of
from archivist_plugins.ro_crate.citations import cited
from archivist_plugins.ro_crate.graph import Entity, entity, reference, references

NAME = "ro-crate"
METADATA = "ro-crate-metadata.json"
PROFILE = "https://w3id.org/ro/crate/1.1"
CONTEXT: list[Any] = [f"{PROFILE}/context", {"sha256": "http://schema.org/sha256"}]
"""The context of RO-Crate 1.1 and the one term that is newer than it."""

OWNER, PROGRAM, RIGHTS = "#owner", "#program", "#rights"

STAYS = "The original stays in the archive and is not part of this release."

_WEB_URI = re.compile(r"https?://[!#-;=?-\[\]_a-z~]+")
_TYPES = {".json": "application/json", ".xml": "application/xml", ".jsonld": "application/ld+json"}


# The crate as a whole


def whole(
    selection: Selection,
    slugs: Iterable[str],
    others: Iterable[str],
    schemas: Sequence[WrittenFile] = (),
) -> Iterator[Entity]:
    """The descriptor, the root, and those that all entities refer to."""
    archive = selection.archive
    yield entity(METADATA, "CreativeWork", about=reference("./"), conformsTo=reference(PROFILE))
    many = f"{selection.count} object record{'' if selection.count == 1 else 's'}"
    yield entity(
        "./",
        "Dataset",
        name=selection.title or archive.name or archive.id,
        description=f"{many} of {archive.name}, as they may be shown to the audience "
        f"'{selection.audience}'.",
        datePublished=selection.made[:10],
        identifier=f"urn:uuid:{archive.id}",
        license=reference(license_id(rights_of(None, archive).uri)),
        publisher=reference(OWNER),
        author=reference(OWNER),
        hasPart=references([*(f"{slug}/" for slug in slugs), *(file.path for file in schemas)]),
        mentions=references(others),
    )
    yield entity(
        OWNER,
        "Organization",
        name=archive.owner,
        description="owner of the archive",
        url=archive.base_uri,
    )
    name, _, version = archive.program.partition(" ")
    yield entity(PROGRAM, "SoftwareApplication", name=name, softwareVersion=version)
    yield from (_schema(file, archive) for file in schemas)
    rights = rights_of(None, archive)
    yield rights_entity(rights.uri, rights.holder, rights.credit, rights.note)


def license_id(uri: str) -> str:
    """The `@id` of the rights: their own address on the web, else one within the crate."""
    return uri if _WEB_URI.fullmatch(uri) else RIGHTS


def rights_entity(uri: str, holder: str, credit: str, note: str = "", at: str = "") -> Entity:
    """A licence or rights statement; told in words where it has no address."""
    said = [
        f"Rights holder: {holder}" if holder else "",
        f"Credit: {credit}" if credit else "",
        note,
    ]
    return entity(
        at or license_id(uri),
        "CreativeWork",
        name=uri or "Rights",
        description=wording.listed(said, "; "),
        url=uri if _WEB_URI.fullmatch(uri) else "",
    )


# A piece


def of_piece(
    piece: Piece, selection: Selection, own: list[WrittenFile], others: list[str]
) -> Iterator[Entity]:
    """The folder of a piece, the piece itself, its files, and what was done to make them.

    `own` are the files of the crate for this piece, their paths within the crate; `others` the
    `@id`s of what else this release holds of it.
    """
    record = piece.record
    title = wording.listed([record.title, record.stock_number]) or record.id
    rights = rights_of(piece, selection.archive)
    archive = selection.archive
    licence = license_id(rights_of(None, archive).uri)
    if rights != rights_of(None, archive):
        licence = f"#rights-{piece.slug}"
        yield rights_entity(rights.uri, rights.holder, rights.credit, rights.note, licence)
    yield entity(
        f"{piece.slug}/",
        "Dataset",
        name=title,
        description=f"The record of the piece{_how_many(own, piece)}.",
        about=reference(piece.uri),
        license=reference(licence),
        hasPart=references(file.path for file in own),
    )
    lines = facts(piece)
    found = list(cited(piece))
    yield entity(
        piece.uri,
        "CreativeWork",
        name=title,
        identifier=[f"urn:uuid:{record.id}", *filter(None, [record.stock_number])],
        description="\n".join(fact.headed for fact in lines),
        dateCreated=date_created(piece),
        citation=references(e["@id"] for k, e in found if k is CitationKind.LITERATURE),
        subjectOf=references(
            [*others, *(e["@id"] for k, e in found if k is CitationKind.EXHIBITION)]
        ),
    )
    yield from (one for _, one in found)
    photographs = {f"{piece.slug}/{photo.name}": photo for photo in piece.photographs}
    originals: dict[str, Entity] = {}
    for file in own:
        photo = photographs.get(file.path)
        yield _file(file, photo, piece, licence)
        if photo is not None and photo.sha256 != photo.original_sha256:
            source = f"#original-{photo.original_sha256}"
            originals[source] = entity(
                source,
                "CreativeWork",
                name="original photograph",
                description=STAYS,
                encodingFormat=photo.photograph.media_type,
                sha256=photo.original_sha256,
            )
            yield entity(
                f"#copy-{piece.slug}-{photo.name}",
                "CreateAction",
                name="copy for this audience",
                description=photo.how,
                instrument=reference(PROGRAM),
                object=reference(source),
                result=reference(file.path),
            )
    yield from originals.values()


def _how_many(own: list[WrittenFile], piece: Piece) -> str:
    """How many photographs are in the folder, as the end of a sentence."""
    names = {f"{piece.slug}/{photo.name}" for photo in piece.photographs}
    count = sum(file.path in names for file in own)
    return f", with {count} photograph{'' if count == 1 else 's'}" if count else ""


def date_created(piece: Piece) -> str:
    """The date held, where it is certain and a plain year, month or day (ISO 8601); else ''."""
    date = held_date(piece)
    return date.day if date else ""


def _schema(file: WrittenFile, archive: ArchiveFacts) -> Entity:
    """A schema of what the crate holds of each piece."""
    return entity(
        file.path,
        "File",
        name=file.path,
        description=WHAT_THEY_ARE[file.path],
        encodingFormat="application/schema+json",
        contentSize=str(file.size),
        sha256=file.sha256,
        license=reference(license_id(rights_of(None, archive).uri)),
    )


def _file(
    file: WrittenFile, photo: DisclosedPhotograph | None, piece: Piece, licence: str
) -> Entity:
    name = file.path.rsplit("/", 1)[-1]
    view = photo.depiction.view.value if photo else ""
    told = f"photograph: {view}" if photo else _RECORDS.get(name, "")
    caption = photo.label if photo and photo.label != view else ""
    return entity(
        file.path,
        "File",
        name=name,
        description=wording.listed([told, caption], "; "),
        encodingFormat=(photo.media_type if photo else "") or media_type(name),
        contentSize=str(file.size),
        sha256=file.sha256,
        about=reference(piece.uri),
        license=reference(licence),
    )


_RECORDS = {
    "record.json": "the object record as canonical JSON (RFC 8785)",
    "parties.json": "the parties that the record names, as canonical JSON (RFC 8785)",
}


def media_type(name: str) -> str:
    """The media type by the ending of a name; that of any bytes where none is known."""
    ending = name[name.rfind(".") :] if "." in name else ""
    known = _TYPES.get(ending) or mimetypes.guess_type(name, strict=True)[0]
    return known or "application/octet-stream"


# What others wrote

DEEPEST = 3
"""Parts of a path that is told file by file: exporter, piece, file. What lies deeper is counted."""


def of_others(files: Iterable[WrittenFile]) -> Iterator[tuple[str, Entity]]:
    """What other exporters wrote beside the crate: the path it begins with, and its entity.

    They lie outside of the crate, so they are described and are no part of it (RO-Crate 1.1,
    'RO-Crate Structure': payload lies below the root).
    """
    folders: Counter[str] = Counter()
    for file in files:
        parts = file.path.split("/")
        if len(parts) > DEEPEST:
            folders["/".join(parts[:DEEPEST])] += 1
            continue
        yield (
            file.path,
            entity(
                f"../{file.path}",
                "CreativeWork",
                name=file.path,
                description=f"written beside this crate by the exporter '{parts[0]}'",
                encodingFormat=media_type(parts[-1]),
                contentSize=str(file.size),
                sha256=file.sha256,
            ),
        )
    for folder, count in folders.items():
        words = f"a folder beside this crate with {count} file{'' if count == 1 else 's'}"
        yield folder, entity(f"../{folder}/", "CreativeWork", name=folder, description=words)


def slug_in(path: str) -> str:
    """The slug of a piece, if the path of another exporter is of one ('lido/SLUG.xml')."""
    return path.split("/")[1].split(".")[0] if "/" in path else ""
