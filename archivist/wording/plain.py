"""Words put together: quoted, listed, and with the words as they were written."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache


def quoted(words: str) -> str:
    """`words` in quotation marks, on one line."""
    return f"“{' '.join(words.split())}”"


def listed(items: Iterable[str], mark: str = ", ") -> str:
    """What is not empty of `items`, with `mark` between."""
    return mark.join(item for item in items if item)


def with_words(text: str, as_stated: str) -> str:
    """`text`, followed by the words as they were written where it does not hold them already."""
    plain = " ".join(as_stated.split())
    if not plain or plain.casefold() in text.casefold():
        return text
    return f"{text}, stated as {quoted(plain)}" if text else plain


@lru_cache(maxsize=256)
def language_tag(tag: str) -> str:
    """`tag` where it has the form of a language tag (BCP 47 as xs:language takes it), else ''."""
    return tag if re.fullmatch(r"[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*", tag) else ""
