"""Words without case and accents, character by character, so that places stay as they are."""

from __future__ import annotations

import functools
import re
import unicodedata
from collections.abc import Iterable


def level(text: str) -> str:
    """`text` in lower case and without accents, each character still where it was."""
    if text.isascii():
        return text.lower()
    return "".join(map(_base, text))


def unaccented(text: str) -> str:
    """`text` without accents, each character still where it was, capitals as they are."""
    return text if text.isascii() else "".join(map(_bare, text))


@functools.lru_cache(maxsize=4096)
def _bare(character: str) -> str:
    return "'" if character == "’" else unicodedata.normalize("NFKD", character)[:1]


@functools.lru_cache(maxsize=4096)
def _base(character: str) -> str:
    base = _bare(character).lower()
    return base if len(base) == 1 else character


def either(names: Iterable[str]) -> str:
    """The inside of a group of a regular expression that matches any of `names`, longest first."""
    known = sorted({level(name) for name in names if name}, key=lambda name: (-len(name), name))
    return "|".join(re.escape(name).replace(r"\ ", r"\s+") for name in known)
