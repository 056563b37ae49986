"""Stock numbers as people write them, told to be the same: 'HW 0417', 'hw-417' and 'HW417'."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

_RUN = re.compile(r"\d+|[^\W\d_]+")

Key = tuple[str, ...]


@dataclass(frozen=True)
class Token:
    """A run of letters or of digits; `joined` says that it follows the one before it directly."""

    text: str
    raw: str
    start: int
    joined: bool

    @property
    def is_number(self) -> bool:
        return self.raw[0].isdigit()


def tokens(words: str) -> list[Token]:
    """The runs of letters and digits in `words`, folded, zeros before numbers left out."""
    plain = unicodedata.normalize("NFKC", words)
    found = []
    end = -1
    for match in _RUN.finditer(plain):
        raw = match.group()
        text = raw.lstrip("0") or "0" if raw[0].isdigit() else raw.casefold()
        found.append(Token(text, raw, match.start(), match.start() == end))
        end = match.end()
    return found


def number_key(number: str) -> Key:
    """What a stock number is compared by: 'HW 0417', 'hw-417' and 'HW417' are one."""
    return tuple(token.text for token in tokens(number))
