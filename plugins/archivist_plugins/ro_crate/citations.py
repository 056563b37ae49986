"""Literature and exhibitions as entities of a crate.

What is cited for certain has an entity of its own; what is doubted stays in the description, with
its doubt. Literature is a CreativeWork, since nobody says whether it is a book or an article.
"""

from __future__ import annotations

from collections.abc import Iterator

from archivist import wording
from archivist.hooks import Piece
from archivist.model import Citation, CitationKind, is_settled
from archivist_plugins.dates import calendar_date
from archivist_plugins.ro_crate.graph import Entity, entity, reference


def cited(piece: Piece) -> Iterator[tuple[CitationKind, Entity]]:
    """The entities of what is cited, of which kind each is."""
    for number, citation in enumerate(piece.record.citations, start=1):
        if not is_settled(citation):
            continue
        at = f"#cited-{piece.slug}-{number}"
        words = wording.citation_shown(citation)
        made = _exhibition if citation.kind is CitationKind.EXHIBITION else _literature
        yield citation.kind, made(piece, citation, at, words)


def _literature(piece: Piece, citation: Citation, at: str, words: str) -> Entity:
    return entity(
        at,
        "CreativeWork",
        name=citation.title or words,
        description=words,
        creditText=citation.authors,
        datePublished=calendar_date(citation.date),
        pagination=citation.pages,
        position=citation.number,
        mentions=reference(piece.uri),
    )


def _exhibition(piece: Piece, citation: Citation, at: str, words: str) -> Entity:
    return entity(
        at,
        "ExhibitionEvent",
        name=citation.title or words,
        description=words,
        startDate=calendar_date(citation.date),
        location=citation.venue,
        workFeatured=reference(piece.uri),
    )
