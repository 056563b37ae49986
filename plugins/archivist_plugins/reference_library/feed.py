"""What is new, as an Atom feed (RFC 4287), and the list of all pages (sitemaps.org)."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from lxml import etree

from archivist.hooks import Selection
from archivist_plugins.reference_library.entry import LibraryEntry

ATOM = "http://www.w3.org/2005/Atom"
SITEMAP = "http://www.sitemaps.org/schemas/sitemap/0.9"

_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What XML 1.0 (fifth edition, production 2, Char) does not allow."""

NEWEST = 50
"""Entries in the feed."""

MOST_ADDRESSES = 50_000
"""What one sitemap may hold (sitemaps.org protocol)."""


def feed(selection: Selection, entries: Iterable[LibraryEntry], address: str) -> bytes:
    """The pages that were written last, newest first; `address` is the library's, '' if none."""
    archive = selection.archive
    newest = sorted(entries, key=lambda e: (e.updated, e.id), reverse=True)[:NEWEST]
    root = etree.Element(f"{{{ATOM}}}feed", nsmap=_default(ATOM))
    _text(root, "id", f"urn:uuid:{archive.id}")
    _text(root, "title", selection.title or archive.name)
    _text(root, "updated", newest[0].updated if newest else selection.made)
    author = etree.SubElement(root, f"{{{ATOM}}}author")
    _text(author, "name", archive.owner)
    _link(root, f"{address}index.html", "alternate", "text/html")
    if address:
        _link(root, f"{address}feed.xml", "self", "application/atom+xml")
    for entry in newest:
        made = etree.SubElement(root, f"{{{ATOM}}}entry")
        _text(made, "id", f"urn:uuid:{entry.id}")
        _text(made, "title", entry.title)
        _text(made, "updated", entry.updated)
        _link(made, f"{address}pieces/{entry.id}/index.html", "alternate", "text/html")
        _text(made, "summary", ", ".join(filter(None, (entry.number, entry.date))))
    return _written(root)


def sitemaps(entries: Sequence[LibraryEntry], address: str) -> Iterator[tuple[str, bytes]]:
    """The sitemap, or an index and as many as it takes, each with its name."""
    places = [f"{address}index.html", *(f"{address}pieces/{e.id}/index.html" for e in entries)]
    parts = [places[i : i + MOST_ADDRESSES] for i in range(0, len(places), MOST_ADDRESSES)]
    if len(parts) == 1:
        yield "sitemap.xml", _list("urlset", "url", places)
        return
    names = [f"sitemap-{number}.xml" for number in range(1, len(parts) + 1)]
    for name, part in zip(names, parts, strict=True):
        yield name, _list("urlset", "url", part)
    yield "sitemap.xml", _list("sitemapindex", "sitemap", [f"{address}{name}" for name in names])


def _default(namespace: str) -> dict[Any, str]:
    """The namespace of names without a prefix; lxml's stubs know no such thing."""
    return {None: namespace}


def _list(root_name: str, item_name: str, places: Iterable[str]) -> bytes:
    root = etree.Element(f"{{{SITEMAP}}}{root_name}", nsmap=_default(SITEMAP))
    for place in places:
        item = etree.SubElement(root, f"{{{SITEMAP}}}{item_name}")
        etree.SubElement(item, f"{{{SITEMAP}}}loc").text = place
    return _written(root)


def _text(parent: etree._Element, name: str, text: str) -> None:
    """A text element; what XML cannot hold becomes the replacement character (U+FFFD)."""
    etree.SubElement(parent, f"{{{ATOM}}}{name}").text = _FORBIDDEN.sub("\ufffd", text)


def _link(parent: etree._Element, address: str, relation: str, kind: str) -> None:
    etree.SubElement(parent, f"{{{ATOM}}}link", href=address, rel=relation, type=kind)


def _written(root: etree._Element) -> bytes:
    written: bytes = etree.tostring(root, encoding="UTF-8", xml_declaration=True, pretty_print=True)
    return written
