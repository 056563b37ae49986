"""The older IPTC block (IIM 4.2) in its Photoshop resource, for readers that know no XMP.

It has no fields for an artwork; it carries caption, credit and rights. Source of the numbers and
lengths: IPTC-NAA Information Interchange Model 4.2, records 1 and 2.
"""

from __future__ import annotations

import hashlib
import struct

from archivist_plugins.iptc.fields import Fields, shortened

LABEL = b"Photoshop 3.0\0"
_UTF8 = b"\x1b%G"
"""ISO 2022 for 'what follows is UTF-8', the value of dataset 1:90."""

OBJECT_NAME, BYLINE, HEADLINE, CREDIT, COPYRIGHT, CAPTION = 5, 80, 105, 110, 116, 120
LONGEST = {OBJECT_NAME: 64, BYLINE: 32, HEADLINE: 256, CREDIT: 32, COPYRIGHT: 128, CAPTION: 2000}
"""Bytes that a dataset of record 2 may have."""

_IPTC, _IPTC_DIGEST = 0x0404, 0x0425
"""Photoshop image resources: the IPTC block, and its MD5, by which readers see that XMP and it
were written together (Metadata Working Group, Guidelines 2.0, 3.3.1)."""


def resources(fields: Fields) -> bytes:
    """The payload of an APP13 segment."""
    values = {
        OBJECT_NAME: fields.artwork.title,
        BYLINE: fields.photographer,
        HEADLINE: fields.headline,
        CREDIT: fields.credit,
        COPYRIGHT: fields.notice,
        CAPTION: fields.caption,
    }
    block = _dataset(1, 90, _UTF8) + _dataset(2, 0, struct.pack(">H", 4))
    for number, value in values.items():
        if value:
            text = shortened(value.replace("\0", "\u2400"), LONGEST[number])
            block += _dataset(2, number, text.encode("utf-8", "replace"))
    digest = hashlib.md5(block, usedforsecurity=False).digest()
    return LABEL + _resource(_IPTC, block) + _resource(_IPTC_DIGEST, digest)


def _dataset(record: int, number: int, value: bytes) -> bytes:
    return struct.pack(">BBBH", 0x1C, record, number, len(value)) + value


def _resource(number: int, data: bytes) -> bytes:
    """An image resource without a name, padded to an even length."""
    return struct.pack(">4sHHI", b"8BIM", number, 0, len(data)) + data + b"\0" * (len(data) % 2)
