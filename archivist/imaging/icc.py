"""ICC profiles without the words in them (ICC.1:2022).

A profile carries names, dates and serial numbers beside its numbers (of a person's calibrated
screen, of a scanner). `cleaned` writes a new profile with the same numbers and nothing else.
"""

from __future__ import annotations

import struct

from archivist.imaging.icc_tables import NoTable, canonical_curve, canonical_table

_CURVES = frozenset({b"curv", b"para"})
_TABLES = frozenset({b"mft1", b"mft2", b"mAB ", b"mBA "})
_TRIPLE, _MATRIX = frozenset({b"XYZ "}), frozenset({b"sf32"})
_ALLOWED = {
    **dict.fromkeys((b"rXYZ", b"gXYZ", b"bXYZ", b"wtpt", b"bkpt"), _TRIPLE),
    **dict.fromkeys((b"rTRC", b"gTRC", b"bTRC", b"kTRC"), _CURVES),
    **dict.fromkeys((b"A2B0", b"A2B1", b"A2B2", b"B2A0", b"B2A1", b"B2A2", b"gamt"), _TABLES),
    b"chad": _MATRIX,
}
"""The tags that make colour (9.2), and the types whose numbers each may hold (clause 10)."""

_COLOUR_SETS = (
    {b"rXYZ", b"gXYZ", b"bXYZ", b"rTRC", b"gTRC", b"bTRC"},
    {b"kTRC"},
    {b"A2B0"},
)
"""What suffices for a matrix, a grey and a table profile (clause 8)."""

_CLASSES = frozenset({b"scnr", b"mntr", b"prtr", b"spac"})
_SPACES = frozenset({b"RGB ", b"GRAY", b"CMYK", b"Lab "})
_CONNECTION_SPACES = frozenset({b"XYZ ", b"Lab "})
_D50 = bytes.fromhex("0000f6d6000100000000d32d")
_FIXED_DATE = struct.pack(">6H", 2000, 1, 1, 0, 0, 0)
DESCRIPTION, COPYRIGHT = "Colour space of the picture", "Not stated"


def space_of(profile: bytes) -> bytes:
    """The colour space the profile is for ('RGB ', 'GRAY', 'CMYK', 'Lab '), empty if none."""
    space = profile[16:20]
    return space if profile[36:40] == b"acsp" and space in _SPACES else b""


def cleaned(profile: bytes) -> bytes:
    """A new profile with the same colour numbers; empty where it is damaged or of a rare kind."""
    version = profile[8:9]
    sound = (
        len(profile) >= 132
        and version in (b"\2", b"\4")
        and profile[12:16] in _CLASSES
        and space_of(profile)
        and profile[20:24] in _CONNECTION_SPACES
    )
    if not sound:
        return b""
    tags: dict[bytes, bytes] = {}
    for number in range(min(int.from_bytes(profile[128:132], "big"), 200)):
        record = profile[132 + 12 * number : 144 + 12 * number]
        if len(record) < 12:
            return b""
        name, offset, size = struct.unpack(">4sII", record)
        if name in _ALLOWED:
            value = _numbers(profile[offset : offset + size], _ALLOWED[name])
            if not value:
                return b""
            tags.setdefault(name, value)
    if not any(names <= tags.keys() for names in _COLOUR_SETS):
        return b""
    intent = int.from_bytes(profile[64:68], "big")
    return _written(profile[8:10] + b"\0\0", profile[12:24], intent if intent <= 3 else 0, tags)


def adobe_rgb() -> bytes:
    """A profile of DCF's optional colour space, made from its published numbers.

    Adobe RGB (1998) Color Image Encoding, 2005-05: primaries 0.64/0.33, 0.21/0.71, 0.15/0.06,
    white D65, gamma 2.19921875; here adapted to D50 (its annex C).
    """
    triples = {
        b"rXYZ": (0.60974, 0.31111, 0.01947),
        b"gXYZ": (0.20528, 0.62567, 0.06087),
        b"bXYZ": (0.14919, 0.06322, 0.74457),
        b"wtpt": (0.95045, 1.0, 1.08905),
    }
    tags = {
        name: b"XYZ \0\0\0\0" + struct.pack(">3i", *(round(part * 65536) for part in triple))
        for name, triple in triples.items()
    }
    gamma = b"curv\0\0\0\0" + struct.pack(">IH", 1, 0x0233)
    tags |= dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), gamma)
    return _written(b"\2\x10\0\0", b"mntrRGB XYZ ", 0, tags)


def _numbers(value: bytes, kinds: frozenset[bytes]) -> bytes:
    """A tag's value with its numbers alone, empty where it is too short or of another type."""
    kind = value[:4]
    if kind not in kinds or len(value) < 12:
        return b""
    if kind in _REWRITTEN:
        try:
            return _REWRITTEN[kind](value)
        except NoTable:
            return b""
    size = _size_of(kind, value)
    if size > len(value):
        return b""
    numbers = value[8:size]
    if kind in (b"mft1", b"mft2"):
        numbers = numbers[:3] + b"\0" + numbers[4:]  # a reserved byte (10.10 and 10.11)
    return kind + bytes(4) + numbers


_REWRITTEN = {
    b"curv": canonical_curve,
    b"para": canonical_curve,
    b"mAB ": canonical_table,
    b"mBA ": canonical_table,
}


def _size_of(kind: bytes, value: bytes) -> int:
    """The bytes that the numbers of a value take; more than there are where it is cut short."""
    beyond = len(value) + 1
    if kind == b"XYZ ":
        return 20
    if kind == b"sf32":
        return 44
    if len(value) < 52:
        return beyond
    inputs, outputs, points = value[8:11]
    if inputs > 4 or outputs > 4:
        return beyond
    table = points**inputs * outputs
    if kind == b"mft1":
        return int(48 + 256 * inputs + table + 256 * outputs)
    first, last = struct.unpack(">HH", value[48:52])
    return int(52 + 2 * (first * inputs + table + last * outputs))


def _written(version: bytes, kind: bytes, intent: int, tags: dict[bytes, bytes]) -> bytes:
    words = _multilingual if version[0] >= 4 else _description
    copyright_words = _multilingual(COPYRIGHT) if version[0] >= 4 else _text(COPYRIGHT)
    tags = {**tags, b"desc": words(DESCRIPTION), b"cprt": copyright_words}
    position, body, table, places = 132 + 12 * len(tags), b"", b"", dict[bytes, int]()
    for name, value in tags.items():
        if value not in places:  # curves are often shared
            places[value] = position + len(body)
            body += value + b"\0" * (-len(value) % 4)
        table += struct.pack(">4sII", name, places[value], len(value))
    header = version + kind + _FIXED_DATE + b"acsp" + bytes(24) + struct.pack(">I", intent) + _D50
    size = position + len(body)
    start = struct.pack(">II", size, 0) + header
    return start + bytes(128 - len(start)) + struct.pack(">I", len(tags)) + table + body


def _text(words: str) -> bytes:
    return b"text\0\0\0\0" + words.encode("ascii") + b"\0"


def _description(words: str) -> bytes:
    """textDescriptionType of version 2: ASCII, and empty Unicode and script parts."""
    ascii_words = words.encode("ascii") + b"\0"
    return b"desc\0\0\0\0" + struct.pack(">I", len(ascii_words)) + ascii_words + bytes(4 + 4 + 70)


def _multilingual(words: str) -> bytes:
    encoded = words.encode("utf-16-be")
    return (
        b"mluc\0\0\0\0" + struct.pack(">II2s2sII", 1, 12, b"en", b"GB", len(encoded), 28) + encoded
    )
