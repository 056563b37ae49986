"""Literature and exhibitions that name a piece: what is cited, and never a change of hands."""

from __future__ import annotations

from enum import StrEnum

from archivist.model.base import Statement
from archivist.model.dates import Date


class CitationKind(StrEnum):
    LITERATURE = "literature"
    EXHIBITION = "exhibition"


class Citation(Statement, frozen=True, kw_only=True):
    """A publication or an exhibition in which this piece is, as far as the words say.

    `title` is that of the book, article or exhibition; `authors` as they are named; `venue` where
    an exhibition was held, or the place and publisher of a book; `pages` and `number` as cited
    ('pp. 14-15'; 'no. 27', 'pl. 12'); `date` when it was published or shown.
    """

    kind: CitationKind
    title: str = ""
    authors: str = ""
    venue: str = ""
    pages: str = ""
    number: str = ""
    date: Date | None = None
