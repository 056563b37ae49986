"""One spelling for many: how words and names are compared."""

from __future__ import annotations

import functools
import unicodedata


@functools.lru_cache(maxsize=65536)
def fold(word: str) -> str:
    """Lower case without diacritics, apostrophes, hyphens and spaces."""
    if word.isascii():
        lower = word.lower()
        return lower if lower.isalnum() else "".join(c for c in lower if c.isalnum())
    folded = unicodedata.normalize("NFKD", word).casefold()
    return "".join(c for c in folded if c.isalnum())
