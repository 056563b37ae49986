"""Words as they are searched: without case, marks and apostrophes, in any script.

The reference library does the same to what is typed, in its `js/folding.js`; a test holds the two
together.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

ALIKE = {
    "ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "đ": "d", "ł": "l", "ı": "i", "þ": "th", "ð": "d",
}  # fmt: skip
"""Letters that Unicode does not take apart, and what is typed for them."""

APOSTROPHES = "'’‘ʻʼʿʾ`´"
"""Signs within words that romanisations use and people leave out: Ch'ien-lung, Ch’ien Lung."""

IDEOGRAPHS = "\u3005\u3040-\u30ff\u3400-\u9fff\uf900-\ufaff\U00020000-\U000323af"
"""Kana and Han characters, which are written without spaces and searched in pairs."""

_APOSTROPHE = re.compile(f"[{APOSTROPHES}]")
_RUN = re.compile(f"([{IDEOGRAPHS}]+)")


def fold(text: str) -> str:
    """`text` in lower case without marks, its words parted by single spaces."""
    letters = []
    for character in unicodedata.normalize("NFKD", _APOSTROPHE.sub("", text)).lower():
        category = unicodedata.category(character)[0]
        if category == "M":
            continue
        letters.append(ALIKE.get(character, character) if category in "LN" else " ")
    return " ".join("".join(letters).split())


def tokens(text: str) -> Iterator[str]:
    """The words of `text`, in order; of writing without spaces each pair of neighbours."""
    for word in fold(text).split():
        for part in _RUN.split(word):
            if _RUN.fullmatch(part):
                yield from pairs(part)
            elif part:
                yield part


def pairs(run: str) -> list[str]:
    """Neighbouring characters two by two; a single one stands for itself."""
    return [run[i : i + 2] for i in range(len(run) - 1)] or [run]
