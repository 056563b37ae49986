"""Writes Dublin Core terms as XML, in both published forms."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from lxml import etree

from archivist.hooks import Exporter, Package, Piece, Selection
from archivist_plugins.dublin_core.terms import Term, collection_terms, part_of, piece_terms

DC = "http://purl.org/dc/elements/1.1/"
DCTERMS = "http://purl.org/dc/terms/"
OAI_DC = "http://www.openarchives.org/OAI/2.0/oai_dc/"
XSI = "http://www.w3.org/2001/XMLSchema-instance"
XML = "http://www.w3.org/XML/1998/namespace"

_QDC = "http://dublincore.org/schemas/xmls/qdc/2008/02/11"


@dataclass(frozen=True)
class Form:
    """A published form: its root, the namespace of its elements, and where its schemas lie."""

    root: str
    namespace: str
    namespaces: dict[str, str]
    locations: dict[str, str]


SIMPLE = Form(
    root=f"{{{OAI_DC}}}dc",
    namespace=DC,
    namespaces={"oai_dc": OAI_DC, "dc": DC, "xsi": XSI},
    locations={
        f"{{{XSI}}}schemaLocation": f"{OAI_DC} http://www.openarchives.org/OAI/2.0/oai_dc.xsd"
    },
)
"""Open Archives Initiative Protocol for Metadata Harvesting 2.0, section 7 (oai_dc)."""

QUALIFIED = Form(
    root="qualifieddc",
    namespace=DCTERMS,
    namespaces={"dcterms": DCTERMS, "xsi": XSI},
    locations={
        f"{{{XSI}}}schemaLocation": f"{DCTERMS} {_QDC}/dcterms.xsd",
        f"{{{XSI}}}noNamespaceSchemaLocation": f"{_QDC}/qualifieddc.xsd",
    },
)
"""DCMI's XML schemas of 2008-02-11; their container `qualifieddc` is in no namespace."""

_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What XML 1.0 (fifth edition, production 2, Char) does not allow."""

_SYMBOLS = 0x2400
"""Unicode's pictures of the control characters, U+2400 for NUL and so on."""


class DublinCore(Exporter):
    """Writes `SLUG.xml` and `SLUG.dcterms.xml` a piece, and `collection.xml`."""

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        """Writes one piece in both forms."""
        terms = piece_terms(piece, selection)
        write(package, f"{piece.slug}.xml", SIMPLE, terms)
        write(package, f"{piece.slug}.dcterms.xml", QUALIFIED, terms)
        package.note(part_of(piece))

    def export_selection(self, selection: Selection, package: Package) -> None:
        """Writes the collection in the qualified form, which has a term for 'has part'."""
        terms = collection_terms(selection, package.notes())
        write(package, "collection.xml", QUALIFIED, terms)


def write(package: Package, path: str, form: Form, terms: Iterable[Term]) -> None:
    """Writes those of `terms` that have a name in `form` to `path`."""
    root = etree.Element(form.root, form.locations, nsmap=form.namespaces)
    replaced = 0
    for term in terms:
        name = term.simple if form is SIMPLE else term.qualified
        if not name or not term.value:
            continue
        element = etree.SubElement(root, f"{{{form.namespace}}}{name}", _attributes(form, term))
        element.text, changed = legal(term.value)
        replaced += changed
    if replaced:
        root.insert(0, etree.Comment(_remark(replaced)))
    package.write(
        path, etree.tostring(root, encoding="UTF-8", xml_declaration=True, pretty_print=True)
    )


def _attributes(form: Form, term: Term) -> dict[str, str]:
    """The type of a value in the qualified form, else its language: the schema takes only one."""
    if term.scheme:
        return {f"{{{XSI}}}type": term.scheme} if form is QUALIFIED else {}
    return {f"{{{XML}}}lang": term.language} if term.language else {}


def legal(text: str) -> tuple[str, int]:
    """`text` with what XML forbids replaced by what can be seen, and how often that was done.

    Control characters become their symbols (U+2400 and after), all others the replacement
    character (U+FFFD).
    """
    return _FORBIDDEN.subn(_symbol, text)


def _symbol(found: re.Match[str]) -> str:
    code = ord(found.group())
    return chr(_SYMBOLS + code) if code < 0x20 else "\ufffd"


def _remark(replaced: int) -> str:
    return (
        f" XML does not allow {replaced} characters of this text: they stand here as the symbols "
        "U+2400 to U+241F, or as U+FFFD. The record holds them as they were. "
    )
