"""Words made ready for the typesetter: no character without a glyph, each line in its direction.

A character that no font can show stands as its Unicode number between angle quotation marks
(‹U+13000›), and is counted, so that the dossier can say so: a box would tell nobody anything.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from archivist_plugins.typesetting.fonts import Fonts

PLAIN_KEYS = frozenset({"alt", "file", "lang"})
"""Keys of the content whose words are for programs, and stay as they are."""

_CLUSTER = re.compile(
    r".[\u0300-\u036f\u0483-\u0489\u1ab0-\u1aff\u1dc0-\u1dff\u20d0-\u20ff\ufe20-\ufe2f]*", re.DOTALL
)
"""A character with the combining marks after it that go over letters of any script."""

_INVISIBLE = frozenset("\u00ad\u034f\u061c\u200b\u200c\u200d\u200e\u200f\u2060\ufeff") | frozenset(
    map(chr, [*range(0x202A, 0x202F), *range(0x2066, 0x206A), *range(0xFE00, 0xFE10)])
)
"""Characters that steer others and have no look of their own; they need no glyph."""

_KANA = re.compile("[\u3040-\u30ff\u31f0-\u31ff\uff66-\uff9f]")
_HANGUL = re.compile("[\u1100-\u11ff\u3130-\u318f\uac00-\ud7af]")
_HAN = re.compile(
    "[\u2e80-\u2fdf\u3005-\u3007\u3400-\u4dbf\u4e00-\u9fff\uf900-\ufaff\U00020000-\U0003ffff]"
)

_EAST = re.compile("|".join(kind.pattern for kind in (_KANA, _HANGUL, _HAN)))


@dataclass
class Typesetter:
    """Makes words printable with `fonts`; `replaced` counts the characters it could not show."""

    fonts: Fonts
    replaced: dict[str, int] = field(default_factory=dict)
    _known: dict[str, tuple[str, str]] = field(default_factory=dict)

    def content(self, value: Any, key: str = "") -> Any:
        """A copy of `value` (of dictionaries, lists and words) in which all words are printable.

        Words that run from right to left, or are Japanese, Korean or simplified Chinese, become a
        dictionary: the words `t`, their direction `dir`, the `script` whose forms they take, and
        the language `lang` where the script alone tells it.
        """
        if isinstance(value, Mapping):
            return {k: self.content(v, k) for k, v in value.items()}
        if isinstance(value, list | tuple):
            return [self.content(item, key) for item in value]
        if not isinstance(value, str) or key in PLAIN_KEYS:
            return value
        words = self.printable(value)
        direction, script = direction_of(words), script_of(words)
        if direction == "ltr" and script == "tc":
            return words
        return {"t": words, "dir": direction, "script": script, "lang": language_of(words)}

    def printable(self, words: str) -> str:
        """`words` with everything that cannot be shown as its Unicode numbers."""
        return "".join(map(self._cluster, _CLUSTER.findall(" ".join(words.splitlines()))))

    def _cluster(self, cluster: str) -> str:
        """`cluster` as it can be set; what cannot be shown of it is counted."""
        if cluster not in self._known:
            self._known[cluster] = self._settable(cluster)
        settable, lost = self._known[cluster]
        for character in lost:
            self.replaced[character] = self.replaced.get(character, 0) + 1
        return settable

    def _settable(self, cluster: str) -> tuple[str, str]:
        """`cluster` as it can be set, and the characters that became numbers."""
        if cluster == "\t":
            return " ", ""
        if self._has_glyphs(cluster):
            return cluster, ""
        base, marks = cluster[0], cluster[1:]
        kept = base if marks and self._has_glyphs(base) else ""
        lost = cluster.removeprefix(kept)
        return kept + "".join(map(number, lost)), lost

    def _has_glyphs(self, cluster: str) -> bool:
        if unicodedata.category(cluster[0]) in ("Cc", "Cs"):
            return False
        visible = "".join(c for c in cluster if c not in _INVISIBLE)
        composed = unicodedata.normalize("NFC", visible)
        return not visible or self.fonts.show(visible) or self.fonts.show(composed)


def number(character: str) -> str:
    """The Unicode number of a character, as it stands in its place."""
    return f"‹U+{ord(character):04X}›"


def direction_of(words: str) -> str:
    """'rtl' where the first letter with a direction runs from right to left (UAX 9, P2 and P3)."""
    for character in words:
        kind = unicodedata.bidirectional(character)
        if kind == "L":
            return "ltr"
        if kind in ("R", "AL"):
            return "rtl"
    return "ltr"


def script_of(words: str) -> str:
    """Whose forms Chinese characters take: 'jp' beside kana, 'kr' beside hangul, else 'tc'.

    Marks on pieces are in traditional characters; those that only simplified Chinese has are in
    no other font and are found in any case.
    """
    if _KANA.search(words):
        return "jp"
    if _HANGUL.search(words):
        return "kr"
    return "tc"


def language_of(words: str) -> str:
    """'ja' or 'ko' for words in kana or hangul with Chinese characters and no other letters.

    Every other script is used by several languages, and '' says that it is not known.
    """
    if any(c.isalpha() and not _EAST.match(c) for c in words):
        return ""
    return {"jp": "ja", "kr": "ko"}.get(script_of(words), "")


def columns_of(mark: str) -> list[list[str]] | None:
    """A mark's columns of Chinese characters, as written; None where it is no such mark.

    Only short marks are drawn in columns: six of them, of six characters.
    """
    columns = [list(column.strip()) for column in mark.strip().splitlines() if column.strip()]
    drawn = 0 < len(columns) <= 6 and all(
        0 < len(column) <= 6 and all(_HAN.fullmatch(c) for c in column) for column in columns
    )
    return columns if drawn else None
