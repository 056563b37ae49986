"""The manifest of a piece and the collection of manifests, as plain dictionaries.

IIIF Presentation API 3.0 (https://iiif.io/api/presentation/3.0/). The shapes are
those of the IIIF Cookbook: 0053 (seeAlso), 0117 (thumbnail), 0032 (collection), 0230 (navDate).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Any

from archivist import wording
from archivist.hooks import Piece, Selection
from archivist.model import Certainty
from archivist.wording.facts import Fact, Heading, facts
from archivist_plugins.dates import held_date
from archivist_plugins.iiif.canvases import Addresses, Shown, canvas, thumbnail, views
from archivist_plugins.iiif.texts import (
    NONE,
    LanguageMap,
    headed,
    language_map,
    plain,
    rights_uri,
)
from archivist_plugins.rights import rights_of
from archivist_plugins.titles import language_of_title

CONTEXT = "http://iiif.io/api/presentation/3/context.json"

DESCRIPTIONS = {
    ".dcterms.xml": ("Dublin Core, qualified terms", "http://purl.org/dc/terms/"),
    ".xml": ("Dublin Core, fifteen elements", "http://www.openarchives.org/OAI/2.0/oai_dc/"),
}
"""What the Dublin Core exporter may have written for the piece: ending, label and profile."""


def manifest(
    piece: Piece,
    selection: Selection,
    canvases: Sequence[Shown],
    addresses: Addresses,
    companions: Iterable[str] = (),
) -> dict[str, Any]:
    """The manifest of a piece that has at least one canvas; `companions` are paths in the release.

    There is a `navDate` only where the date is held certain and is one year, month or day: put on
    a timeline, any other would claim what nobody said.
    """
    archive = selection.archive
    language = archive.language
    lines = facts(piece)
    made: dict[str, Any] = {
        "@context": CONTEXT,
        "id": addresses.of(piece.slug, "manifest.json"),
        "type": "Manifest",
        "label": label(piece, language),
        "summary": language_map([summary(piece, lines)], language),
        "metadata": metadata(lines, language),
        **rights(piece, selection, addresses),
        "thumbnail": [thumbnail(canvases[0], piece.slug, addresses)],
    }
    date = nav_date(piece)
    if date:
        made["navDate"] = date
    see_also = descriptions(piece, addresses, companions)
    if see_also:
        made["seeAlso"] = see_also
    made["partOf"] = [{"id": addresses.collection, "type": "Collection"}]
    made["items"] = [canvas(piece, shows, addresses, language) for shows in canvases]
    made["structures"] = [views(piece, canvases, addresses)]
    return made


def label(piece: Piece, language: str) -> LanguageMap:
    """The title in each language it is given in, else the stock number, else the UUID."""
    record = piece.record
    titles: LanguageMap = {}
    for title in sorted(record.titles, key=lambda t: t.value != record.title):
        tag = language_of_title(title, language) or NONE
        if title.value and title.certainty is not Certainty.REJECTED:
            titles.setdefault(tag, [plain(title.value)])
    return titles or language_map([record.name])


def summary(piece: Piece, lines: Sequence[Fact]) -> str:
    """One sentence: what it is, where and when it was made as it is held, and its stock number."""
    wanted = (Heading.CULTURE, Heading.PERIOD, Heading.PLACE, Heading.KILN, Heading.DATE)
    held_to_be = [
        fact.text if heading is Heading.DATE else fact.short
        for heading in wanted
        for fact in lines
        if fact.heading is heading
    ]
    record = piece.record
    number = record.stock_number if record.title else ""
    return wording.listed([record.title or record.name, *held_to_be, number])


def metadata(lines: Sequence[Fact], language: str) -> list[dict[str, LanguageMap]]:
    """All facts, those under one heading together."""
    return [
        headed(heading.value, [fact.text for fact in group], language)
        for heading, group in groupby(lines, key=lambda fact: fact.heading)
    ]


def rights(piece: Piece | None, selection: Selection, addresses: Addresses) -> dict[str, Any]:
    """`rights`, `requiredStatement` and `provider`, of the piece where it has its own."""
    archive = selection.archive
    own = rights_of(piece, archive)
    uri, holder, credit = own.uri, own.holder, own.credit
    found: dict[str, Any] = {}
    if rights_uri(uri):
        found["rights"] = rights_uri(uri)
    said = [
        credit or archive.owner,
        f"Rights holder: {holder}" if holder and holder not in credit else "",
        f"Rights: {uri}" if uri and not rights_uri(uri) else "",
        own.note,
    ]
    found["requiredStatement"] = headed("Credit", [line for line in said if line], archive.language)
    found["provider"] = [
        {
            "id": f"{addresses.base}#owner",
            "type": "Agent",
            "label": language_map([archive.owner]),
        }
    ]
    return found


def nav_date(piece: Piece) -> str:
    """The date held, as a moment for navigation; '' where it is not one certain year or day."""
    date = held_date(piece)
    return f"{(date.day + '-01-01')[:10]}T00:00:00Z" if date and date.day else ""


def descriptions(
    piece: Piece, addresses: Addresses, companions: Iterable[str]
) -> list[dict[str, Any]]:
    """Links to the Dublin Core of the piece, where this release holds it."""
    there = set(companions)
    return [
        {
            "id": f"{addresses.base}dublin-core/{piece.slug}{ending}",
            "type": "Dataset",
            "label": language_map([words], "en"),
            "format": "application/xml",
            "profile": profile,
        }
        for ending, (words, profile) in DESCRIPTIONS.items()
        if f"dublin-core/{piece.slug}{ending}" in there
    ]


def collection(
    selection: Selection, items: list[dict[str, Any]], without: int, addresses: Addresses
) -> dict[str, Any]:
    """The collection of the manifests `items`; it says how many pieces are `without` one."""
    archive = selection.archive
    shown = f"{len(items)} object{'' if len(items) == 1 else 's'}"
    said = [f"{shown} of {archive.name}, each with its photographs."]
    if without:
        which = "1 more has" if without == 1 else f"{without} more have"
        said.append(f"{which} no photograph that can be shown here, and so no manifest.")
    if addresses.base.endswith(".invalid/"):
        said.append("Not published: the addresses in these files lead nowhere.")
    return {
        "@context": CONTEXT,
        "id": addresses.collection,
        "type": "Collection",
        "label": language_map([selection.title or archive.name], archive.language),
        "summary": language_map([" ".join(said)], "en"),
        **rights(None, selection, addresses),
        "items": items,
    }


def reference(
    piece: Piece, canvases: Sequence[Shown], language: str, addresses: Addresses
) -> dict[str, Any]:
    """A manifest as the collection lists it."""
    made: dict[str, Any] = {
        "id": addresses.of(piece.slug, "manifest.json"),
        "type": "Manifest",
        "label": label(piece, language),
        "thumbnail": [thumbnail(canvases[0], piece.slug, addresses)],
    }
    date = nav_date(piece)
    if date:
        made["navDate"] = date
    return made
