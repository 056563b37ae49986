"""Text files of any age as text: which encoding their bytes are in."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
"""Byte order marks (Unicode Standard 15.0, table 2-4), the longer before those they begin with."""

_WESTERN = re.compile(
    "[\\x00-\\x7f\u00a0-\u00ff\u0152\u0153\u0178\u20ac\u2013\u2014\u2018-\u201e\u2020-\u2022\u2026\u2122]*"
)
"""What Windows-1252 is used for: ASCII, the letters of western Europe, quotation marks, dashes."""

_LONE_CAPITALS = re.compile("[a-z][\u00c0-\u00de\u2020-\u2022\u2122\u00a4\u00a6\u00a8\u00ac\u00af]")
"""A capital with an accent or a rare sign after a small letter: another encoding, read wrongly."""

_OTHERS = [
    "cp1252",
    "cp1250",
    "cp1251",
    "mac_roman",
    "cp437",
    "shift_jis",
    "euc_jp",
    "gb18030",
    "big5",
    "euc_kr",
]


@dataclass(frozen=True)
class Decoded:
    """The text, the encoding it was in, and whether that is a guess to be looked at."""

    text: str
    encoding: str
    guessed: bool = False


def decode(data: bytes) -> Decoded:
    """`data` as text. Never fails: what no encoding fits is read as Windows-1252 with marks.

    UTF-8, UTF-16 and UTF-32 are known by their byte order mark; UTF-16 without one by its zero
    bytes; UTF-8 without one by its strict form (RFC 3629). What then remains is Windows-1252
    where the letters it gives are ones that words have, else what the bytes are most like.
    """
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return Decoded(data.decode(encoding, "replace"), encoding)
    wide = _wide(data)
    if wide:
        return Decoded(data.decode(wide, "replace"), wide)
    try:
        return Decoded(data.decode("utf-8"), "utf-8")
    except UnicodeDecodeError:
        pass
    western = data.decode("cp1252", "replace")
    if _WESTERN.fullmatch(western) and not _LONE_CAPITALS.search(western):
        return Decoded(western, "cp1252")
    from charset_normalizer import from_bytes

    best = from_bytes(data, cp_isolation=_OTHERS).best()
    if best is None:
        return Decoded(western, "cp1252", guessed=True)
    return Decoded(str(best), best.encoding, guessed=True)


def _wide(data: bytes) -> str:
    """UTF-16 without a mark: in Latin text every second byte is zero."""
    sample = data[:4096]
    if len(sample) < 4:
        return ""
    even, odd = sample[0::2].count(0), sample[1::2].count(0)
    if odd > len(sample) // 5 and not even:
        return "utf-16-le"
    if even > len(sample) // 5 and not odd:
        return "utf-16-be"
    return ""
