"""What happened to the files of a piece, as events of PREMIS."""

from __future__ import annotations

from dataclasses import dataclass

from archivist import wording
from archivist.hooks import DisclosedPhotograph, Piece, Selection
from archivist_plugins.premis.locations import CarryingCopy

_VOCABULARY = "http://id.loc.gov/vocabulary/preservation/eventType/"


@dataclass(frozen=True)
class EventType:
    """A term of the Library of Congress' vocabulary of PREMIS event types."""

    code: str
    label: str

    @property
    def uri(self) -> str:
        return _VOCABULARY + self.code


CREATION = EventType("cre", "creation")
INGESTION = EventType("ing", "ingestion")
DIGESTED = EventType("mes", "message digest calculation")
FIXITY_CHECK = EventType("fix", "fixity check")
DISSEMINATED = EventType("dis", "dissemination")
METADATA = EventType("mem", "metadata modification")
REDACTION = EventType("red", "redaction")
"""A copy for others holds less than its original: words, a place, or a part of the picture."""

OF_THE_ARCHIVE = {kind.label: kind for kind in (INGESTION, DIGESTED, FIXITY_CHECK)}
"""The events of a file's history that are told."""

DISSEMINATION = "release"
"""The end of the URI of the event by which a piece was given out."""


@dataclass(frozen=True)
class Event:
    """One event. `when` is EDTF or a moment (RFC 3339); `sources` and `outcomes` are SHA-256.

    `outcomes` is None for what concerns the piece and all of its files. `agent` is the program
    that did it, where it is another than this one, and `outcome` how it went.
    """

    uri: str
    type: EventType
    when: str
    detail: str = ""
    by_program: bool = True
    agent: str = ""
    outcome: str = ""
    sources: tuple[str, ...] = ()
    outcomes: tuple[str, ...] | None = None


def dissemination(piece: Piece, selection: Selection) -> Event:
    """That the piece was given out, to which audience and when."""
    return Event(
        uri=f"{piece.uri}#{DISSEMINATION}",
        type=DISSEMINATED,
        when=selection.made,
        detail=f"Released to the audience '{selection.audience}'.",
    )


def derivation(piece: Piece, photo: DisclosedPhotograph, selection: Selection) -> Event:
    """That a file is a copy, and what was done to make it.

    The moment is not known, only that it was on or before the day of the release: an open interval.
    """
    return Event(
        uri=f"{piece.uri}#copy-{photo.sha256[:16]}",
        type=REDACTION,
        when=f"../{selection.made[:10]}",
        detail=photo.how or "A copy for this audience; how it was made is not recorded.",
        sources=(photo.original_sha256,),
        outcomes=(photo.sha256,),
    )


def digested(piece: Piece, photo: DisclosedPhotograph, selection: Selection) -> Event:
    """That the digests of a copy were worked out, as it was made."""
    return Event(
        uri=f"{piece.uri}#digests-{photo.sha256[:16]}",
        type=DIGESTED,
        when=f"../{selection.made[:10]}",
        detail="SHA-256 and SHA-512, as it was written.",
        outcome="success",
        outcomes=(photo.sha256,),
    )


def befallen(piece: Piece, photo: DisclosedPhotograph) -> list[Event]:
    """What befell the original since it was taken in, as far as this audience is told."""
    return [
        Event(
            uri=f"{piece.uri}#{kind.code}-{photo.original_sha256[:16]}",
            type=kind,
            when=event.at,
            detail=event.detail,
            agent=event.agent,
            by_program=bool(event.agent),
            outcome=event.outcome,
            outcomes=(photo.original_sha256,),
        )
        for event in photo.history
        if (kind := OF_THE_ARCHIVE.get(event.type)) is not None
    ]


def embedding(piece: Piece, copy: CarryingCopy, selection: Selection) -> Event:
    """That words were written into a copy; its picture was not touched."""
    return Event(
        uri=f"{piece.uri}#words-{copy.file.sha256[:16]}",
        type=METADATA,
        when=selection.made,
        detail="What it shows, rights and credit written into a copy; no pixel changed.",
        sources=(copy.photo.sha256,),
        outcomes=(copy.file.sha256,),
    )


def taken(piece: Piece, photo: DisclosedPhotograph, when: str) -> Event:
    """That the photograph was taken, when, and by what witness that is known."""
    return Event(
        uri=f"{piece.uri}#taken-{photo.original_sha256[:16]}",
        type=CREATION,
        when=when,
        detail=wording.listed(["photograph taken", wording.taken_shown(photo)], ": "),
        by_program=False,
        outcomes=(photo.original_sha256,),
    )
