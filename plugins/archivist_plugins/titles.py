"""Titles with the language that they are written in, as far as that is said or can be seen.

A title that says no language is taken to be in the archive's own, unless it is in another script:
what is written in Chinese characters is not English. Then the tag tells the script and no language,
since characters are shared by several ('und-Hani', BCP 47 with the script codes of ISO 15924).
"""

from __future__ import annotations

import unicodedata
from collections import Counter

from archivist import wording
from archivist.model import ObjectRecord, Title, Value

UNDETERMINED = "und"

SCRIPTS: dict[str, str] = {
    "CJK": "Hani",
    "HIRAGANA": "Jpan",
    "KATAKANA": "Jpan",
    "HANGUL": "Kore",
    "CYRILLIC": "Cyrl",
    "GREEK": "Grek",
    "ARABIC": "Arab",
    "HEBREW": "Hebr",
    "DEVANAGARI": "Deva",
    "THAI": "Thai",
}
"""How the Unicode name of a letter begins, and the script that it is of."""

NEEDS: dict[str, frozenset[str]] = {
    "Hani": frozenset({"zh", "ja", "ko", "vi"}),
    "Jpan": frozenset({"ja"}),
    "Kore": frozenset({"ko"}),
    "Cyrl": frozenset({"ru", "uk", "bg", "sr", "mk", "be"}),
    "Grek": frozenset({"el"}),
    "Arab": frozenset({"ar", "fa", "ur", "ota"}),
    "Hebr": frozenset({"he", "yi"}),
    "Deva": frozenset({"hi", "mr", "ne", "sa"}),
    "Thai": frozenset({"th"}),
}
"""Languages that are written in a script; common practice, and not all there are."""

ONE_LANGUAGE: dict[str, str] = {"Jpan": "ja", "Kore": "ko", "Grek": "el", "Thai": "th"}
"""Scripts of one language, which therefore tell it."""


class TaggedTitle(Value, frozen=True, kw_only=True):
    """A title and the tag of its language (BCP 47), '' where there is none."""

    value: str
    language: str = ""


def tagged_title(record: ObjectRecord, default: str) -> TaggedTitle:
    """The title of a record; empty where it has none. `default` is the archive's language."""
    chosen = next((t for t in record.titles if t.value == record.title), None)
    if chosen is None:
        return TaggedTitle(value=record.title, language=language_of(record.title, "", default))
    return TaggedTitle(value=chosen.value, language=language_of_title(chosen, default))


def language_of_title(title: Title, default: str) -> str:
    """The tag of a title's language; `default` is the archive's."""
    return language_of(title.value, title.language, default)


def language_of(words: str, stated: str, default: str) -> str:
    """The language that is stated, else the archive's where `words` may be written in it."""
    own = wording.language_tag(stated)
    if own:
        return own
    tag = wording.language_tag(default)
    script = script_of(words)
    if not script or tag.partition("-")[0].lower() in NEEDS[script]:
        return tag
    return ONE_LANGUAGE.get(script, f"{UNDETERMINED}-{script}")


def script_of(words: str) -> str:
    """The script that most letters of `words` are of (ISO 15924); '' for Latin, or none at all.

    Kana among Chinese characters are Japanese, Hangul among them Korean.
    """
    counted = Counter(
        SCRIPTS.get(unicodedata.name(letter, "").partition(" ")[0], "")
        for letter in words
        if letter.isalpha()
    )
    for mixed in ("Jpan", "Kore"):
        if counted[mixed] and counted["Hani"]:
            counted[mixed] += counted.pop("Hani")
    return counted.most_common(1)[0][0] if counted else ""
