"""What each clause speaks of: this piece, a part of it, another piece, a person, the trade."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from enum import StrEnum
from typing import NamedTuple

from archivist.reading.standing.outline import Outline, Span
from archivist.reading.standing.signals import Sign
from archivist.reading.tables import Tables
from archivist.reading.words import Lexicon, fold, plurals


class Subject(StrEnum):
    """Of what something is said."""

    PIECE = "this piece"
    PART = "a part"
    OTHER = "another piece"
    PHOTOGRAPH = "a photograph"
    PUBLICATION = "a publication"
    EXHIBITION = "an exhibition"
    PERSON = "a person"
    PAPER = "a paper"
    TRADE = "the trade in general"
    SELF = "the writer"
    UNKNOWN = "unknown"


_OF_SIGNALS = {
    "demonstrative": Subject.PIECE,
    "generic": Subject.TRADE,
    "other": Subject.OTHER,
    "companion": Subject.OTHER,
    "photograph": Subject.PHOTOGRAPH,
    "publication": Subject.PUBLICATION,
    "exhibition": Subject.EXHIBITION,
    "speaker self": Subject.SELF,
    "speaker noun": Subject.PERSON,
    "accessory": Subject.PART,
    "document": Subject.PAPER,
    "existential": Subject.PIECE,
}
"""What a clause speaks of whose subject begins with such a word."""

_HEADS = frozenset(
    ("document", "publication", "photograph", "exhibition", "speaker noun", "speaker self")
)
_DEFINITE = frozenset(
    ("the", "der", "die", "das", "dem", "den", "le", "la", "les", "de", "het", "il", "lo", "i")
) | frozenset(("gli", "el", "los", "las", "l"))
_INDEFINITE = frozenset(
    ("a", "an", "one", "ein", "eine", "einer", "un", "une", "een", "una", "uno")
)
_APART = frozenset(
    (
        *("base", "cover", "stand", "saucer", "handle", "spout", "finial", "mount", "plinth"),
        *("stopper", "head", "decoration", "gilding", "enamel"),
    )
)
_OF_THE_WHOLE = frozenset(
    (
        *("body", "glaze", "enamel", "exterior", "interior", "decoration", "mark", "throughout"),
        *("front", "back", "surface", "centre", "gilding"),
    )
)
_AND = frozenset(("and", "und", "et", "en", "e", "y", "but", "aber", "mais", "maar", "ma"))
_WHICH = frozenset(("which", "who", "that", "welche", "welcher", "welches", "qui", "che", "que"))
_OPENING_SIGNS = frozenset(("pronoun", "generic", "companion", "demonstrative"))
_THEY = frozenset(("they", "them", "their", "ils", "elles"))
_SHE = frozenset(("she", "sie", "zij"))
_SEVERAL = frozenset(("pair", "set", "two", "paar", "paire", "coppia", "pareja", "garniture"))
_REACH_AFTER_VERB = 5
_OPENING = 30
"""Tokens at the beginning of a text that say whether it is of a pair or a set."""
_NOUN_REACH = 8
"""Tokens after 'this' among which its noun stands."""


class Noun(NamedTuple):
    """A noun that names a piece, a part or a fault; whether it stands in the plural."""

    kind: str
    plural: bool
    apart: bool = False
    """Whether a part may be of a time of its own, as covers and bases may and rims may not."""
    own: bool = False
    """Whether what a part is like is its own: not so of the body, the glaze and the like."""


class Topic(NamedTuple):
    """What a clause speaks of; of a part, its name."""

    subject: Subject
    part: str = ""


class Topics:
    """The topics of a text's clauses, each worked out once."""

    def __init__(
        self,
        outline: Outline,
        signs: Sequence[Sign],
        languages: Sequence[str],
        closed: bytearray,
        tables: Tables,
    ) -> None:
        """`closed` marks the tokens of values, which name nobody."""
        self.outline = outline
        self.capitals = "de" in languages
        self.words = outline.words
        self.nouns = {n.first: n for n in _nouns(tables).find(self.words.folded)}
        self.marked = {sign.first for sign in signs}
        self.marked.update(index for index, value in enumerate(closed) if value)
        self.signs: dict[int, list[Sign]] = {}
        for sign in signs:
            if sign.signal.effect in _OF_SIGNALS or sign.signal.effect == "pronoun":
                self.signs.setdefault(sign.first, []).append(sign)
        self._speaks_of_several = not _SEVERAL.isdisjoint(self.words.folded[:_OPENING])
        self._known: dict[Span, Topic | None] = {}
        self._of_sentence: list[Topic | None] = []
        for number in range(len(outline.sentences)):
            self._of_sentence.append(self._sentence_topic(number))

    def of(self, index: int) -> Topic | None:
        """The topic of the clause at token `index`; None in a fragment without a verb."""
        clause = self.outline.clauses[index]
        number = self.outline.sentence_of[index]
        own = self._clause_topic(clause, number)
        if own is not None:
            return own
        verb = self.outline.sentences[number].verb
        main = self.outline.clauses[verb] if verb >= 0 else clause
        if clause.first < main.first and main.first in self.outline.openers:
            return None  # 'not Korean, whatever the label claims'
        return self._of_sentence[number]

    def head(self, index: int) -> Topic | None:
        """What a fragment is headed by, where that is no piece: 'Invoice, 2 January 1709'.

        The first noun or sign of its first phrase; a part only where it ends the phrase ('gilt-
        bronze base, Louis XV').
        """
        sentence = self.outline.sentences[self.outline.sentence_of[index]]
        phrase = self.outline.phrases[sentence.first]
        for at in range(sentence.first, min(phrase.end, index)):
            for sign in self.signs.get(at, ()):
                if sign.signal.effect in _HEADS:
                    return Topic(_OF_SIGNALS[sign.signal.effect])
                named = at in self.nouns and self.nouns[at].entry.kind == "form"
                if sign.signal.effect == "accessory" and not named and self._ends(sign.end, phrase):
                    return Topic(Subject.PART, " ".join(self.words.folded[at : sign.end]))
            noun = self.nouns.get(at)
            if noun is not None and noun.entry.kind == "form":
                return None
            if noun is not None and noun.entry.kind == "part" and noun.entry.apart:
                name = " ".join(self.words.folded[noun.first : noun.end])
                return Topic(Subject.PART, name) if self._ends(noun.end, phrase) else None
        return None

    def _ends(self, index: int, phrase: Span) -> bool:
        """Whether nothing but signs stands between a token and the end of its phrase."""
        return not any(token.isalnum() for token in self.words.folded[index : phrase.end])

    def _sentence_topic(self, number: int) -> Topic | None:
        sentence = self.outline.sentences[number]
        if sentence.verb < 0:
            return None
        return self._clause_topic(self.outline.clauses[sentence.verb], number)

    def _clause_topic(self, clause: Span, number: int) -> Topic | None:
        if clause not in self._known:
            verb = self.outline.verb_at.find(1, clause.first, clause.end)
            self._known[clause] = (
                self._opening(clause, number) if verb < 0 else self._topic(clause, verb, number)
            )
        return self._known[clause]

    def _opening(self, clause: Span, number: int) -> Topic | None:
        """What a clause speaks of whose verb nobody knows: 'They crack in the firing'."""
        opens = any(
            sign.signal.effect in _OPENING_SIGNS for sign in self.signs.get(clause.first, ())
        )
        return self._noun_phrase(clause.first, clause.first + 2, number) if opens else None

    def _topic(self, clause: Span, verb: int, number: int) -> Topic:
        if self.words.folded[clause.first] in _AND and verb == clause.first + 1 and clause.first:
            joined = self._clause_topic(self.outline.clauses[clause.first - 1], number)
            if joined is not None and self.outline.sentence_of[clause.first - 1] == number:
                return joined
        if self.words.folded[clause.first] in _WHICH and clause.first:
            return self._antecedent_of_which(clause, number)
        first = max(clause.first, self.outline.phrases[verb].first)
        if not any(token.isalnum() for token in self.words.folded[first:verb]):
            first = clause.first  # 'the cover, a replacement, is ...'
        found = self._noun_phrase(first, verb, number)
        if found is not None:
            return found
        before = [t for t in self.words.folded[first:verb] if t.isalpha()]
        found = self._noun_phrase(verb, min(clause.end, verb + _REACH_AFTER_VERB), number)
        if not before:  # 'Looks Ming to me', 'Entstanden ist es'
            return found or Topic(Subject.PIECE)
        if self._names_a_person(first, verb):
            return Topic(Subject.PERSON)
        return Topic(Subject.UNKNOWN)

    def _noun_phrase(self, first: int, end: int, number: int) -> Topic | None:
        """What stands between two tokens speaks of; the first word that tells decides."""
        folded = self.words.folded
        stuff: Topic | None = None
        for index in range(first, end):
            for sign in sorted(self.signs.get(index, ()), key=_pronouns_first):
                if sign.end > end:
                    continue
                effect = sign.signal.effect
                if folded[sign.first] in _SHE and number:
                    return self._antecedent(number)  # a figure, a ship, German 'die Schale'
                if effect == "pronoun":
                    found = self._antecedent(number)
                    several = folded[sign.first] in _THEY and found.subject is Subject.PIECE
                    return (
                        Topic(Subject.TRADE) if several and not self._speaks_of_several else found
                    )
                if effect == "demonstrative":
                    return self._of_this(sign.end, end)
                if effect == "accessory":
                    return Topic(Subject.PART, " ".join(folded[sign.first : sign.end]))
                return Topic(_OF_SIGNALS[effect])
            noun = self.nouns.get(index)
            if noun is not None and noun.end <= end:
                if noun.entry.kind == "stuff":  # 'the wooden cover'
                    stuff = Topic(Subject.UNKNOWN)
                    continue
                return self._of_noun(noun.entry, index, first, number)
        return stuff

    def _of_this(self, index: int, end: int) -> Topic:
        """'This bowl', 'our stand'."""
        for at in range(index, min(end, index + _NOUN_REACH)):
            for sign in self.signs.get(at, ()):
                if sign.signal.effect == "accessory":
                    return Topic(Subject.PART, " ".join(self.words.folded[sign.first : sign.end]))
            if at in self.nouns:
                break
        return Topic(Subject.PIECE)

    def _of_noun(self, noun: Noun, index: int, first: int, number: int) -> Topic:
        if noun.kind in ("part", "fault"):
            return Topic(Subject.PIECE, self.words.folded[index] if noun.own else "")
        article = next(
            (t for t in reversed(self.words.folded[first:index]) if t in _DEFINITE | _INDEFINITE),
            "",
        )
        if article in _DEFINITE and article:
            return Topic(Subject.PIECE)
        if noun.plural and not article:
            return Topic(Subject.TRADE)
        if article in _INDEFINITE and number:
            return Topic(Subject.OTHER)
        return Topic(Subject.PIECE if not number else Subject.UNKNOWN)

    def _antecedent(self, number: int) -> Topic:
        """What 'it' stands for: what the sentence before spoke of."""
        before = self._of_sentence[number - 1] if 0 < number <= len(self._of_sentence) else None
        if before is None or before.subject in (Subject.SELF, Subject.UNKNOWN, Subject.PERSON):
            return Topic(Subject.PIECE)
        return before

    def _antecedent_of_which(self, clause: Span, number: int) -> Topic:
        """What a relative clause is of: the piece, where the clause before names nothing else."""
        before = self.outline.clauses[clause.first - 1]
        if self.outline.sentence_of[before.first] != number:
            return Topic(Subject.UNKNOWN)
        topic = self._clause_topic(before, number)
        others = any(
            sign.signal.effect in ("other", "companion", "document")
            for index in range(before.first, before.end)
            for sign in self.signs.get(index, ())
        )
        if topic is None or others or self._names_a_person(before.first + 1, before.end):
            return Topic(Subject.UNKNOWN)
        return topic

    def _names_a_person(self, first: int, end: int) -> bool:
        """Whether a capital stands before the verb, but for the sentence's first word."""
        words = self.words
        if self.capitals:  # in German every noun has one
            return False
        opening = self.outline.sentences[self.outline.sentence_of[first]].first
        return any(
            words.folded[i].isalpha()
            and words.text[words.starts[i]].isupper()
            and i not in self.marked
            and words.folded[i] not in _DEFINITE
            and words.folded[i] not in _INDEFINITE
            and not (i == opening and i + 1 < end and not self._goes_on(i + 1))
            for i in range(first, end)
        )

    def _goes_on(self, index: int) -> bool:
        """Whether a name goes on at a token: the first word of a sentence is a name beside one."""
        token = self.words.folded[index]
        return token in (".", "&") or self.words.text[self.words.starts[index]].isupper()


def _pronouns_first(sign: Sign) -> bool:
    """'Sie' and 'il' stand for the piece more often than for somebody."""
    return sign.signal.effect != "pronoun"


_KINDS = {
    "material": "stuff",
    "ware": "stuff",
    "form": "form",
    "part": "part",
    "condition": "fault",
    "mark": "fault",
}
"""What the nouns of each kind of term are to the stage."""


@functools.lru_cache(maxsize=8)
def _nouns(tables: Tables) -> Lexicon[Noun]:
    """Forms, words for pieces, parts and faults, each with its plural."""
    entries: list[tuple[str, Noun]] = []
    rows = tables.terms(*_KINDS, "standing")
    for row in sorted(rows, key=lambda row: row.kind != "form"):
        kind = _KINDS.get(row.kind, "form")
        if row.label == "mark" or (row.kind == "standing" and row.label != "piece noun"):
            continue
        names = row.variants if row.kind in ("mark", "standing") else row.names
        for name in names:
            singular, *more = plurals(fold(name))
            apart = row.label in _APART
            plural = kind == "form" and _looks_plural(singular)
            own = kind == "part" and row.label not in _OF_THE_WHOLE
            entries.append((singular, Noun(kind, plural, apart, own)))
            entries.extend((one, Noun(kind, True, apart, own)) for one in more)
    return Lexicon(entries)


def _looks_plural(name: str) -> bool:
    return name.endswith("s") and not name.endswith("ss")
