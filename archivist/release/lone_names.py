"""Surnames of private persons that stand alone in running words.

A surname is often a word or a place too, so that it cannot be taken out wherever it stands
('Mason's ironstone'). Where the words around it say that a person is meant ('the Mason collection',
'bought of Mason', 'Mason's widow', 'Edith Mary Mason') it is; where they do not, it is named, so
that the owner can look.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from archivist.model import Party, PartyKind

_PEOPLE = frozenset({PartyKind.PERSON, PartyKind.UNKNOWN, PartyKind.HOUSEHOLD})
_FEWEST_LETTERS = 3
_NEAR = 48
"""Characters before a surname in which the words are looked for that lead to it."""

_WORD = re.compile(r"(?<![\w-])[^\W\d_][\w-]*(?:['’][^\W\d_][\w-]+)*")

_BEFORE = re.compile(
    r"""\b(?:
        ex[.:,]? | ex[ -]coll(?:ection|\.)? | collector | dealer
      | the\ late
      | (?:collection|coll\.|property|estate|possession|house|hands|heirs|widow|gift)\ of
      | (?:bought|purchased|acquired|got|had|came|obtained|inherited|taken|borrowed)
        (?:\ (?:it|this|back|privately|direct|directly))?\ (?:of|from|off)
      | (?:sold|resold|given|gave|lent|went|passed|bequeathed|left|offered|shown|promised|returned)
        (?:\ (?:it|this|back|on|privately))?\ to
      | (?:owned|sold|lent|given|consigned|bequeathed|collected|inherited|sent|told|shown)
        (?:\ us)?\ by
      | belong(?:s|ed|ing)\ to | according\ to | courtesy\ of | thanks\ to | gift\ from | via
    )\s+(?:the\s+|old\s+|late\s+|young\s+)*$""",
    re.IGNORECASE | re.VERBOSE,
)
"""What leads to the name of a person. From common usage of the trade, no published source."""

_THINGS = (
    r"(?:collections?|coll\.|estate|family|label|sale|bequest|gift|heirs|papers|archive|inventory"
    r"|provenance|household|executors)\b"
)
_KIN = r"(?:widow|wife|husband|son|daughter|brother|sister|mother|father|nephew|niece|heirs?)\b"
_DOES = (
    r"(?:says|said|thought|thinks|told|tells|wrote|writes|gave|bought|sold|paid|owned|lent"
    r"|inherited|collected|claims|claimed|wants|wanted|died|remembered|phoned|rang)\b"
)
_AFTER = re.compile(
    rf"\s+(?:(?:old|family|private|late)\s+)*{_THINGS}|\s+(?:late\s+)?{_KIN}|\s+{_DOES}"
    rf"|(?:['’]s|['’])\s+(?:(?:old|private|late)\s+)*(?:{_THINGS}|{_KIN})",
    re.IGNORECASE,
)


class LoneNames:
    """Finds the surnames of `parties` where they stand without title, first name or initial."""

    def __init__(self, parties: Iterable[Party]) -> None:
        self._first_names: dict[str, set[str]] = {}
        for party in parties:
            if party.kind in _PEOPLE:
                for name in (party.name, *party.also_known_as):
                    surname, first_names = _parted(name)
                    if len(surname) >= _FEWEST_LETTERS and surname[0].isupper():
                        known = self._first_names.setdefault(surname.casefold(), set())
                        known.update(first_names)

    def replaced(self, text: str, stand_in: str) -> str:
        """`text` with every surname replaced that is said to be a person's; the rest stays."""
        spans = [span for span, is_person in self._found(text) if is_person]
        for start, end in reversed(spans):
            text = text[:start] + stand_in + text[end:]
        return text

    def left(self, text: str) -> tuple[str, ...]:
        """The surnames in `text` of which nothing says whether a person is meant, each once."""
        found = (text[start:end] for (start, end), is_person in self._found(text) if not is_person)
        return tuple(dict.fromkeys(found))

    def _found(self, text: str) -> list[tuple[tuple[int, int], bool]]:
        """Where surnames stand with a capital, and whether the words around say it is a person."""
        if not self._first_names:
            return []
        words = list(_WORD.finditer(text))
        found = []
        for at, match in enumerate(words):
            surname = self._surname(match.group())
            if not surname or not match.group()[0].isupper():
                continue
            start = self._begin(words, at, surname, text)
            said_so = (
                start < match.start()
                or _BEFORE.search(text[max(0, start - _NEAR) : start]) is not None
                or _AFTER.match(text, match.end()) is not None
            )
            found.append(((start, match.end()), said_so))
        return found

    def _surname(self, word: str) -> str:
        """The surname that the word is, or is the plural of; '' where it is none."""
        folded = word.casefold()
        plural = folded.removesuffix("s")
        return next((name for name in (folded, plural) if name in self._first_names), "")

    def _begin(self, words: list[re.Match[str]], at: int, surname: str, text: str) -> int:
        """Where the name begins: at a first name of that person, other names in between."""
        for before in range(at - 1, max(-1, at - 4), -1):
            between = text[words[before].end() : words[before + 1].start()]
            if between.strip(" .") or not words[before].group()[0].isupper():
                break
            if words[before].group().casefold() in self._first_names[surname]:
                return words[before].start()
        return words[at].start()


def _parted(name: str) -> tuple[str, frozenset[str]]:
    """The surname of 'Edith Harrow' or 'Harrow, Edith', and the first names, in lower case.

    A name of one word is found wherever it stands, as a name in full, and is no surname here.
    """
    bare = re.sub(r"\(.*?\)", " ", name)
    last, comma, first = bare.partition(",")
    words = (f"{first} {last}" if comma and "," not in first else bare).split()
    if len(words) < 2:
        return "", frozenset()
    return words[-1], frozenset(w.casefold() for w in words[:-1] if len(w.strip(".")) > 1)
