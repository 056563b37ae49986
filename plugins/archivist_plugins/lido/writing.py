"""The recurring small forms of LIDO: identifiers, concepts, names, dates, notes."""

from __future__ import annotations

from lxml import etree

from archivist import wording
from archivist.hooks import Piece
from archivist.model import Date, Statement, Term, is_settled
from archivist_plugins.dates import calendar_date
from archivist_plugins.xml_writing import XML_LANG, XSI, XmlDocument

LIDO = "http://www.lido-schema.org"
LOCATION = {f"{{{XSI}}}schemaLocation": f"{LIDO} https://lido-schema.org/schema/v1.1/lido-v1.1.xsd"}
UNDETERMINED = "und"
"""The language tag for 'not known' (BCP 47), where the archive's is none."""


def attributes(**named: str) -> dict[str, str]:
    """Attributes of LIDO's own namespace, by name."""
    return {f"{{{LIDO}}}{name}": value for name, value in named.items()}


def doubted(piece: Piece, label: str, statement: Statement) -> str:
    """A label with its doubt, and whose word it is: LIDO has no place of its own for either."""
    doubt = wording.doubt(piece, statement)
    return f"{label} ({doubt})" if doubt and label else label


def year(astronomical: int) -> str:
    """A year as ISO 8601 writes it: '0960', '-0205'."""
    return f"-{-astronomical:04d}" if astronomical < 0 else f"{astronomical:04d}"


class Writer:
    """A LIDO record in the making."""

    def __init__(self, language: str) -> None:
        self.language = wording.language_tag(language) or UNDETERMINED
        self._document = XmlDocument(LIDO, "lido", {"lido": LIDO, "xsi": XSI}, LOCATION)
        self.root = self._document.root

    def as_bytes(self) -> bytes:
        return self._document.as_bytes()

    def add(
        self,
        parent: etree._Element,
        name: str,
        text: str = "",
        attributes: dict[str, str] | None = None,
    ) -> etree._Element:
        """A new element at the end of `parent`."""
        return self._document.add(parent, name, text, attributes)

    def metadata(self, name: str) -> etree._Element:
        """One of the two halves of a record, in the archive's language."""
        return self.add(self.root, name, attributes={XML_LANG: self.language})

    def identifier(self, parent: etree._Element, name: str, value: str, kind: str) -> None:
        """An identifier, unless it is empty."""
        if value:
            self.add(parent, name, value, attributes(type=kind))

    def concept(
        self,
        parent: etree._Element,
        name: str,
        label: str,
        *,
        uri: str = "",
        kind: str = "",
        order: str = "",
    ) -> etree._Element:
        """A term, with the URI that defines it where there is one."""
        element = self.add(parent, name, attributes=attributes(type=kind, sortorder=order))
        self.identifier(element, "conceptID", uri, "URI")
        if label:
            self.add(element, "term", label)
        return element

    def term(
        self,
        parent: etree._Element,
        name: str,
        term: Term | None,
        statement: Statement,
        piece: Piece,
        *,
        kind: str = "",
    ) -> etree._Element:
        """What a statement says as a term, its doubt with it; only what is certain has the URI."""
        label = term.label if term and term.label else " ".join(statement.as_stated.split())
        sure = is_settled(statement)
        uri = term.uri if term and sure else ""
        return self.concept(parent, name, doubted(piece, label, statement), uri=uri, kind=kind)

    def named(self, parent: etree._Element, name: str, words: str) -> etree._Element:
        """A name as LIDO gives names: an appellation with its value."""
        element = self.add(parent, name)
        self.add(element, "appellationValue", words)
        return element

    def note(self, parent: etree._Element, name: str, words: str, kind: str) -> None:
        """A descriptive note of a kind."""
        element = self.add(parent, name, attributes=attributes(type=kind))
        self.add(element, "descriptiveNoteValue", words)

    def date_set(
        self,
        parent: etree._Element,
        name: str,
        words: str,
        date: Date | None,
        until: Date | None,
        doubt: str = "",
    ) -> None:
        """A date in words, and what it lies between, from `date` to `until` where that is given.

        `doubt` stands as the type of both ends.
        """
        ends = {
            "earliestDate": _end(date, date.earliest if date else None),
            "latestDate": _end(until or date, (until or date or Date()).latest),
        }
        if not words and not any(ends.values()):
            return
        element = self.add(parent, name)
        if words:
            self.add(element, "displayDate", words)
        if any(ends.values()):
            between = self.add(element, "date")
            for end, value in ends.items():
                if value:
                    self.add(between, end, value, attributes(type=doubt))


def _end(date: Date | None, bound: int | None) -> str:
    """One end of a date: its day or month where just that is known, else the year; '' for none."""
    if date is None or bound is None:
        return ""
    return calendar_date(date) or year(bound)
