"""XMP (ISO 16684-1) as far as captions, dates and the camera go."""

from __future__ import annotations

CLOCKS = (
    "exif:DateTimeOriginal",
    "exif:DateTimeDigitized",
    "photoshop:DateCreated",
    "xmp:CreateDate",
)
"""The properties that say when a picture was taken or made, the most telling first."""

CAPTIONS = ("dc:title", "photoshop:Headline", "dc:description")
"""The properties that hold words on what is to be seen."""

SUBJECT = "dc:subject"
"""The property that holds keywords (ISO 16684-1: an unordered array); a line for each here."""

_RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
_SUBJECT_TAG = "{http://purl.org/dc/elements/1.1/}subject"
_LANGUAGE = "{http://www.w3.org/XML/1998/namespace}lang"
_PREFIXES = {
    "http://purl.org/dc/elements/1.1/": "dc",
    "http://ns.adobe.com/xap/1.0/": "xmp",
    "http://ns.adobe.com/photoshop/1.0/": "photoshop",
    "http://ns.adobe.com/exif/1.0/": "exif",
    "http://ns.adobe.com/exif/1.0/aux/": "aux",
    "http://cipa.jp/exif/1.0/": "exifEX",
    "http://ns.adobe.com/tiff/1.0/": "tiff",
}

Properties = dict[str, str]


def read_xmp(packet: bytes) -> Properties:
    """Simple properties by prefixed name ('dc:description'); of several values, the default one.
    Keywords are all there, a line each.

    Entities are not expanded, nothing is fetched, and a packet that is not XML says nothing.
    """
    if packet.startswith((b"\xff\xfe", b"\xfe\xff")):
        packet = packet.decode("utf-16", "replace").encode("utf-8")
    start = packet.find(b"<")
    if start < 0:
        return {}
    from lxml import etree

    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, recover=True, huge_tree=False
    )
    try:
        root = etree.fromstring(packet[start:].rstrip(b"\0 \r\n"), parser)
    except (etree.XMLSyntaxError, ValueError):
        return {}
    found: Properties = {}
    if root is None:
        return found
    for description in root.iter(f"{{{_RDF}}}Description"):
        for name, value in description.attrib.items():
            _keep(found, str(name), str(value))
        for child in description:
            if isinstance(child.tag, str):
                items = list(child.iter(f"{{{_RDF}}}li"))
                if child.tag == _SUBJECT_TAG:
                    words = (" ".join("".join(i.itertext()).split()) for i in items or [child])
                    _keep(found, child.tag, "\n".join(w for w in words if w))
                    continue
                default = [i for i in items if i.get(_LANGUAGE) == "x-default"]
                chosen = (default or items or [child])[0]
                _keep(found, child.tag, "".join(chosen.itertext(with_tail=False)))
    return found


def _keep(found: Properties, name: str, value: str) -> None:
    namespace, _, local = name.lstrip("{").partition("}")
    prefix = _PREFIXES.get(namespace)
    if prefix and value.strip():
        found.setdefault(f"{prefix}:{local}", value.strip())
