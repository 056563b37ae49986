"""The XMP packet (ISO 16684-1) that holds the fields of one photograph."""

from __future__ import annotations

from collections.abc import Iterable

from lxml import etree

from archivist_plugins.dublin_core.exporter import legal
from archivist_plugins.iptc.fields import Artwork, Fields, shortened

RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
DC = "http://purl.org/dc/elements/1.1/"
PHOTOSHOP = "http://ns.adobe.com/photoshop/1.0/"
XMP_RIGHTS = "http://ns.adobe.com/xap/1.0/rights/"
IPTC_EXT = "http://iptc.org/std/Iptc4xmpExt/2008-02-29/"
META = "adobe:ns:meta/"
_LANG = "{http://www.w3.org/XML/1998/namespace}lang"

_BEGIN = b'<?xpacket begin="\xef\xbb\xbf" id="W5M0MpCehiHzreSzNTczkc9d"?>\n'
_END = b'\n<?xpacket end="r"?>'
"""What stands around every packet (XMP part 1, 7.3.2); 'r': not to be edited in place."""

LARGEST = 65_502 - 500
"""What a JPEG segment leaves for a packet (XMP part 3, 1.1.3), less room to spare for its frame."""

_LIMITS = (1_000_000, 16_000, 4_000, 1_000, 200)
"""Bytes of a single text, tried in turn until the packet fits."""


def packet(fields: Fields) -> bytes:
    """The packet, read-only, its texts as long as fit."""
    made = b""
    for limit in _LIMITS:
        made = _packet(fields, limit)
        if len(made) <= LARGEST:
            break
    return made


def _packet(fields: Fields, limit: int) -> bytes:
    root = etree.Element(f"{{{META}}}xmpmeta", nsmap={"x": META})
    graph = etree.SubElement(root, f"{{{RDF}}}RDF", nsmap={"rdf": RDF})
    about = etree.SubElement(
        graph,
        f"{{{RDF}}}Description",
        {f"{{{RDF}}}about": ""},
        nsmap={
            "dc": DC,
            "photoshop": PHOTOSHOP,
            "xmpRights": XMP_RIGHTS,
            "Iptc4xmpExt": IPTC_EXT,
        },
    )
    written = _Writer(limit)
    written.alternatives(about, f"{{{DC}}}description", fields.caption)
    written.alternatives(about, f"{{{DC}}}rights", fields.notice)
    written.array(about, f"{{{DC}}}creator", "Seq", [fields.photographer])
    written.text(about, f"{{{PHOTOSHOP}}}Headline", fields.headline)
    written.text(about, f"{{{PHOTOSHOP}}}Credit", fields.credit)
    written.text(about, f"{{{XMP_RIGHTS}}}WebStatement", fields.rights_uri)
    written.alternatives(about, f"{{{XMP_RIGHTS}}}UsageTerms", fields.terms)
    bag = etree.SubElement(
        etree.SubElement(about, f"{{{IPTC_EXT}}}ArtworkOrObject"), f"{{{RDF}}}Bag"
    )
    item = etree.SubElement(bag, f"{{{RDF}}}li", {f"{{{RDF}}}parseType": "Resource"})
    _artwork(written, item, fields.artwork)
    return _BEGIN + etree.tostring(root, encoding="utf-8") + _END


def _artwork(written: _Writer, item: etree._Element, art: Artwork) -> None:
    """The fields of the structure 'ArtworkOrObject' (IPTC Extension), in its order."""
    written.alternatives(item, f"{{{IPTC_EXT}}}AOTitle", art.title)
    written.array(item, f"{{{IPTC_EXT}}}AOCreator", "Seq", art.creators)
    written.text(item, f"{{{IPTC_EXT}}}AODateCreated", art.created)
    written.text(item, f"{{{IPTC_EXT}}}AOCircaDateCreated", art.circa)
    written.array(item, f"{{{IPTC_EXT}}}AOStylePeriod", "Bag", art.style)
    written.text(item, f"{{{IPTC_EXT}}}AOSource", art.source)
    written.text(item, f"{{{IPTC_EXT}}}AOSourceInvNo", art.number)
    written.text(item, f"{{{IPTC_EXT}}}AOSourceInvURL", art.address)
    written.alternatives(item, f"{{{IPTC_EXT}}}AOPhysicalDescription", art.physical)
    written.alternatives(item, f"{{{IPTC_EXT}}}AOContentDescription", art.content)


class _Writer:
    """Writes values in the forms of XMP, none longer than `limit` bytes; empty ones not at all.

    An array grows no longer than a twentieth of that, so that any packet fits in the end.
    """

    def __init__(self, limit: int) -> None:
        self._limit = limit
        self._most = max(1, limit // 20)

    def text(self, parent: etree._Element, name: str, value: str) -> None:
        """A simple value."""
        if value:
            etree.SubElement(parent, name).text = self._made(value)

    def array(self, parent: etree._Element, name: str, kind: str, values: Iterable[str]) -> None:
        """An ordered (Seq) or unordered (Bag) array."""
        there = [value for value in values if value]
        if there:
            array = etree.SubElement(etree.SubElement(parent, name), f"{{{RDF}}}{kind}")
            for value in there[: self._most]:
                etree.SubElement(array, f"{{{RDF}}}li").text = self._made(value)

    def alternatives(self, parent: etree._Element, name: str, value: str) -> None:
        """A language alternative of one: the default."""
        if not value:
            return
        array = etree.SubElement(etree.SubElement(parent, name), f"{{{RDF}}}Alt")
        etree.SubElement(array, f"{{{RDF}}}li", {_LANG: "x-default"}).text = self._made(value)

    def _made(self, value: str) -> str:
        return legal(shortened(value, self._limit))[0]
