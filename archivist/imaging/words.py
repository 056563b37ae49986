"""Words found inside image files: made readable, and the camera's own told from a person's."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from archivist.model.photographs import Caption

_DEFAULTS = frozenset(
    ("digital", "camera", "dsc", "dcf", "exif", "image", "jpeg", "picture", "photo", "default")
)
_WORD = re.compile(r"\w+")


def readable(data: bytes) -> str:
    """Text of bytes whose encoding nobody recorded: UTF-8 where it fits, else Windows-1252.

    It ends at the first NUL, as EXIF and IPTC text does; blanks around it go.
    """
    data = data.split(b"\0", 1)[0]
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        # The five bytes Windows-1252 leaves open are kept as what Latin-1 makes of them.
        text = "".join(
            b.decode("cp1252") if b[0] not in b"\x81\x8d\x8f\x90\x9d" else b.decode("latin-1")
            for b in (data[i : i + 1] for i in range(len(data)))
        )
    return text.strip()


def utf16(data: bytes, encoding: str = "utf-16-le") -> str:
    """Text of UTF-16 bytes up to the first NUL character."""
    return data.decode(encoding, "replace").split("\0", 1)[0].strip()


def is_cameras_own(words: str, make: str, model: str) -> bool:
    """Whether a description is what the camera writes into every file ('... DIGITAL CAMERA').

    True where each of its words is part of the maker's or model's name, or one of a few general
    ones. Common practice, no source.
    """
    known = _DEFAULTS | set(_WORD.findall(f"{make} {model}".casefold()))
    found = _WORD.findall(words.casefold())
    return bool(found) and all(word in known for word in found)


KEYWORD_PLACES = ("IPTC keyword", "XMP dc:subject", "XMP sidecar dc:subject")
"""Where keywords stand: IPTC-IIM 4.2 dataset 2:25, and dc:subject of XMP (ISO 16684-1)."""

MOST_KEYWORDS = 200
"""Keywords of one picture that are kept; people give a few, programs may write thousands."""


def keywords_in(places: Mapping[str, Iterable[str]]) -> tuple[tuple[Caption, ...], str]:
    """The keywords that stand in each place, each once with all its places, and a remark where
    some were left out. They are kept as captions that `is_keyword` tells from sentences."""
    found: dict[str, list[str]] = {}
    for where, words in places.items():
        for word in words:
            if plain := " ".join(word.split()):
                found.setdefault(plain, [])
                if where not in found[plain]:
                    found[plain].append(where)
    kept = list(found.items())[:MOST_KEYWORDS]
    left = len(found) - len(kept)
    remark = f"{left} of {len(found)} keywords were left out" if left else ""
    return tuple(Caption(words=word, where=", ".join(where)) for word, where in kept), remark


def is_keyword(caption: Caption) -> bool:
    """Whether words stood among keywords only, so that they need not speak of the picture."""
    return bool(caption.where) and all(p in KEYWORD_PLACES for p in caption.where.split(", "))
