"""IPTC-IIM 4.2 datasets, bare or inside Photoshop's image resources (as JPEG APP13 holds them)."""

from __future__ import annotations

from archivist.imaging.words import readable

CAPTION, HEADLINE, TITLE, BYLINE = (2, 120), (2, 105), (2, 5), (2, 80)
KEYWORDS = (2, 25)
DATE_CREATED, TIME_CREATED = (2, 55), (2, 60)
_IPTC_RESOURCE = 0x0404

Datasets = dict[tuple[int, int], tuple[str, ...]]


def from_photoshop(resources: bytes) -> bytes:
    """The IPTC block among image resources (8BIM, id 0x0404); empty where there is none."""
    position = 14 if resources.startswith(b"Photoshop 3.0\0") else 0
    while resources[position : position + 4] == b"8BIM":
        identifier = int.from_bytes(resources[position + 4 : position + 6], "big")
        name = resources[position + 6 : position + 7]
        if not name:
            break
        position += 6 + (name[0] + 2) // 2 * 2  # a Pascal string, padded to an even length
        size = int.from_bytes(resources[position : position + 4], "big")
        position += 4
        if identifier == _IPTC_RESOURCE:
            return resources[position : position + size]
        position += size + size % 2
    return b""


def read_iptc(block: bytes) -> Datasets:
    """The datasets by record and number, as text; what follows a broken one is left out."""
    found: dict[tuple[int, int], list[str]] = {}
    position = 0
    while block[position : position + 1] == b"\x1c" and position + 5 <= len(block):
        key = (block[position + 1], block[position + 2])
        size = int.from_bytes(block[position + 3 : position + 5], "big")
        position += 5
        if size & 0x8000:
            width = size & 0x7FFF
            size = int.from_bytes(block[position : position + width], "big")
            position += width
        if size > len(block) - position:
            break
        words = readable(block[position : position + size])
        if words:
            found.setdefault(key, []).append(words)
        position += size
    return {key: tuple(words) for key, words in found.items()}
