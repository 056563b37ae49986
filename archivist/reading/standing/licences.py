"""Whether anything licenses a value: what it needs to be said of the piece."""

from __future__ import annotations

from bisect import bisect_left

from archivist.reading.standing.candidates import Candidate, is_a_colour, is_a_day, is_a_form
from archivist.reading.standing.effects import Effects
from archivist.reading.standing.forms import (
    ADJECTIVES,
    Form,
    is_before_the_noun,
    is_called,
    names_another,
)
from archivist.reading.standing.law import Kind, Outcome, Position
from archivist.reading.standing.outline import Span as Tokens
from archivist.reading.standing.passage import Passage
from archivist.reading.standing.reach import FARTHEST
from archivist.reading.standing.roles import Licence
from archivist.reading.standing.small_words import DATED, SINCE, SOME, WHEN
from archivist.reading.standing.speakers import Speaker
from archivist.reading.standing.subjects import Subject, Topic

_ASKED = frozenset({Kind.ATTRIBUTION, Kind.CONDITION, Kind.SIZE})
"""Kinds that are worth a question where nothing licenses them."""
_MOST_UNKNOWN = 1
"""Unknown words that the phrase of a fault or a size may have, to be asserted and not asked.
Chosen on texts of our own: with two more, half as many false faults again were asserted."""


def licence_of(
    passage: Passage, one: Candidate, topic: Topic | None, speaker: Speaker | None
) -> Licence:
    """What in the text licenses a value, and in which role."""
    if one.kind is not Kind.ATTRIBUTION:
        return Licence("made", "caption" if topic is None else topic.subject.value)
    if any(first <= one.first < end for first, end in passage.periods):
        return Licence("made", "mark and period")
    found = passage.roles.of(one, topic, passage.lone)
    if passage.position is Position.OPINION and speaker and found.words in ("", "caption"):
        return found._replace(words=Position.OPINION.value)
    return found


def is_licensed(
    passage: Passage,
    form: Form,
    effects: Effects,
    one: Candidate,
    subject: Subject,
    licence: Licence,
    speaker: Speaker | None,
) -> bool:
    """Whether a value may be asserted of the piece or of a part."""
    if one.kind in (Kind.EVENT, Kind.MARK, Kind.TITLE):
        return True
    if one.kind in (Kind.CONDITION, Kind.SIZE):
        return _is_plain(passage, effects, one, subject)
    if one.kind is Kind.ATTRIBUTION:
        if is_a_day(one) and licence.words not in DATED:
            return False
        if passage.words.folded[one.first] in SINCE or _dates_another(passage, one):
            return False
        if licence.words == "caption" and not (speaker and speaker.name):
            return passage.position is Position.CELL or _stands_alone(passage, one)
        of_ours = subject in (Subject.PIECE, Subject.PART, Subject.SELF)
        if names_another(passage, form, one):
            return False
        weighed = _is_weighed(passage, effects, one, subject)
        return (bool(licence.words) and of_ours) or weighed or speaker is not None
    if is_a_form(one):
        return subject is not Subject.PART and (one.first == form.first or is_called(passage, one))
    if is_a_colour(one) and passage.position is Position.DESCRIPTION:
        return is_before_the_noun(passage, form, one)
    if names_another(passage, form, one):
        return False
    return subject is not Subject.UNKNOWN or is_before_the_noun(passage, form, one)


def _is_weighed(passage: Passage, effects: Effects, one: Candidate, subject: Subject) -> bool:
    """'Ming, I would say', 'cannot rule out Ming': who weighs a value speaks of the piece."""
    hedged = any(s.signal.effect == "hedge" for s in effects.signs)
    if subject is Subject.SELF:
        return hedged
    return hedged and passage.is_short and subject in (Subject.PIECE, Subject.UNKNOWN)


def _dates_another(passage: Passage, one: Candidate) -> bool:
    """'A dish dated 1531': a participle goes with the noun before it, here of another piece."""
    folded = passage.words.folded
    if folded[one.first] not in DATED or passage.topics.of(one.first) is None:
        return False
    before = folded[max(0, one.first - ADJECTIVES) : one.first]
    return any(token in SOME for token in before)


def _stands_alone(passage: Passage, one: Candidate) -> bool:
    """Whether no word of unknown import stands between a value and what is known beside it.

    'Rare bowl, 18th century' licenses the date by its place, 'until 1731 worked there' does
    not. A name before it in a caption may be the maker's.
    """
    phrase = passage.outline.phrases[one.first]
    closed = passage.described
    if _is_adverbial(passage, one, phrase):
        return False
    for index in range(one.end, min(phrase.end, one.end + FARTHEST)):
        if closed[index]:
            break
        if not passage.known[index]:
            return _describes(passage, index, phrase)
    bracket = passage.bracket(one.first)
    first = phrase.first if bracket < 0 else max(0, bracket - 1)
    for index in range(one.first - 1, max(first, one.first - FARTHEST) - 1, -1):
        if closed[index]:
            break
        if not passage.known[index]:
            name = passage.words.text[passage.words.starts[index]].isupper()
            if not (name and passage.is_short):
                return False
    return True


def _describes(passage: Passage, index: int, phrase: Tokens) -> bool:
    """'A Louis XVI mantel clock': an unknown word right before the piece's noun."""
    at = bisect_left(passage.forms, index)
    near = at < len(passage.forms) and passage.forms[at] < min(phrase.end, index + ADJECTIVES)
    return near and passage.is_short


def _is_adverbial(passage: Passage, one: Candidate, phrase: Tokens) -> bool:
    """'In the Warring States period, such ewers ...': when it was, and no caption."""
    folded = passage.words.folded
    sentence = passage.outline.sentences[passage.outline.sentence_of[one.first]]
    opens = next((t for t in folded[phrase.first : one.first] if t.isalpha()), "")
    named = bisect_left(passage.forms, sentence.first)
    after_a_form = named < len(passage.forms) and passage.forms[named] < phrase.first
    return phrase.end < sentence.end and opens in WHEN and not after_a_form


def _is_plain(passage: Passage, effects: Effects, one: Candidate, subject: Subject) -> bool:
    """Whether a fault or a size stands among words of which most are understood: where many
    are not, they may turn what is said ('there is no hiding the crack')."""
    if one.kind is Kind.SIZE and subject is Subject.UNKNOWN:
        return False
    if any(sign.end == one.first for sign in effects.signs):
        return True  # 'no chips' needs no plainer words
    phrase = passage.outline.phrases[one.first]
    first = max(phrase.first, one.first - FARTHEST)
    unknown = sum(
        not passage.known[i]
        and not passage.outline.verb_at[i]
        and not passage.words.folded[i].isdigit()
        for i in range(first, min(phrase.end, one.end + FARTHEST))
    )
    return unknown <= _MOST_UNKNOWN


def outcome_of_the_unlicensed(passage: Passage, one: Candidate, subject: Subject) -> Outcome:
    """Whether what nothing licenses is asked or only mentioned."""
    if one.kind not in _ASKED or is_a_day(one):
        return Outcome.MENTION
    if passage.position is Position.DESCRIPTION:
        asks = one.kind is not Kind.ATTRIBUTION and subject in (Subject.PIECE, Subject.PART)
    else:
        asks = subject in (Subject.PIECE, Subject.SELF, Subject.UNKNOWN)
    return Outcome.QUESTION if asks else Outcome.MENTION
