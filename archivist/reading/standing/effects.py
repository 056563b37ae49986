"""What the signs of a text do with the values that they govern."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from archivist.model.base import Certainty, Polarity, least_sure
from archivist.reading.standing.candidates import Candidate
from archivist.reading.standing.law import Kind, Position
from archivist.reading.standing.outline import quotations
from archivist.reading.standing.passage import Passage
from archivist.reading.standing.reach import FARTHEST, Reach
from archivist.reading.standing.signals import Sign
from archivist.reading.standing.small_words import INVERTED, OR, TOLD
from archivist.reading.standing.subjects import Subject

_SUBJECTS: Mapping[str, Subject] = {
    "other": Subject.OTHER,
    "companion": Subject.OTHER,
    "model": Subject.OTHER,
    "photograph": Subject.PHOTOGRAPH,
    "publication": Subject.PUBLICATION,
    "exhibition": Subject.EXHIBITION,
    "generic": Subject.TRADE,
    "wanted": Subject.TRADE,
    "style": Subject.OTHER,
    "than": Subject.OTHER,
}
"""Signs that make what they govern that of something else."""

_POLARITIES: Mapping[str, Polarity] = {
    "conditional": Polarity.CONDITIONAL,
    "modal": Polarity.CONDITIONAL,
    "sought": Polarity.SOUGHT,
    "ask": Polarity.ASKED,
    "question": Polarity.ASKED,
    "former": Polarity.FORMER,
    "claim": Polarity.CLAIMED,
    "reported as": Polarity.CLAIMED,
}
_SHORT_QUESTION = 4
"""Tokens of a question that the next sentence answers: 'Gold? The acid said brass.'"""
_PARTICIPLE_REACH = 3
_BESIDE = 2
"""Tokens between two faults of which one is meant."""


@dataclass(slots=True)
class Effects:
    """What the signs that govern a candidate do with it."""

    certainty: Certainty = Certainty.CERTAIN
    denials: int = 0
    affirmed: bool = False
    polarity: Polarity = Polarity.ASSERTED
    subject: Subject | None = None
    undecided: bool = False
    ambiguous: bool = False
    borrowed: str = ""
    signs: list[Sign] = field(default_factory=list)


def effects_of(passage: Passage) -> dict[int, Effects]:
    """What is done with each candidate of a passage, by the `id` of the candidate."""
    effects = {id(c): Effects() for c in passage.candidates}
    reach = Reach(passage.outline, passage.candidates, passage.signs)
    for sign in passage.signs:
        effect = sign.signal.effect
        if effect not in _EFFECTS or not _holds(passage, sign):
            continue
        for candidate in reach.governed(sign):
            members = passage.position is Position.CELL and candidate.kind is Kind.CONDITION
            if effect == "companion" and members:
                continue  # of a pair: 'one chipped, the other not'
            _EFFECTS[effect](effects[id(candidate)], sign)
            effects[id(candidate)].signs.append(sign)
            effects[id(candidate)].borrowed += reach.shared_part(sign)
        if effect in ("deny", "lack"):
            for candidate in reach.ambiguous(sign):
                effects[id(candidate)].ambiguous = True
    _deny_within(passage, effects)
    _suppose(passage, effects)
    quoted = _quoted(passage)
    for one in passage.candidates:
        if one.kind is not Kind.MARK and quoted[one.first]:
            _claimed(effects[id(one)])
        elif _is_one_of_two_asked(passage, one):
            effects[id(one)].polarity = Polarity.ASKED
        undenied = one.kind is Kind.CONDITION and not effects[id(one)].denials
        if undenied and _is_an_alternative(passage, one):
            _doubt(effects[id(one)])
    return effects


def _deny_within(passage: Passage, effects: Mapping[int, Effects]) -> None:
    """'The rim is free of chips': a denial between a part and its fault is of the fault."""
    at = 0
    faults = [c for c in passage.candidates if c.kind is Kind.CONDITION]
    for sign in passage.every_denial:
        while at < len(faults) and faults[at].end <= sign.first:
            at += 1
        if at < len(faults) and faults[at].first < sign.first and sign.end < faults[at].end:
            effects[id(faults[at])].denials += 1


def _suppose(passage: Passage, effects: Mapping[int, Effects]) -> None:
    """'Had it a foot ring, Ming would be possible': a sentence that begins with its verb."""
    folded = passage.words.folded
    supposed = [
        s
        for s in passage.outline.sentences
        if folded[s.first] in INVERTED and folded[s.end - 1] != "?" and s.end - s.first > 3
    ]
    for sentence in supposed:
        at = bisect_left(passage.candidates, sentence.first, key=lambda c: c.first)
        for one in passage.candidates[at:]:
            if one.first >= sentence.end:
                break
            effects[id(one)].polarity = Polarity.CONDITIONAL


def _is_an_alternative(passage: Passage, one: Candidate) -> bool:
    """'Chip or firing flaw': neither is held for certain."""
    folded = passage.words.folded
    at = bisect_left(passage.faults, (one.first, 0))
    for first, end in passage.faults[max(0, at - 1) : at + 2]:
        gap = folded[one.end : first] if one.end <= first else folded[end : one.first]
        if gap and len(gap) <= _BESIDE and gap[0] in OR:
            return True
    return False


def _is_one_of_two_asked(passage: Passage, one: Candidate) -> bool:
    """'Chelsea or Derby?', 'Would a Chelsea plate ring like this?': what a question offers."""
    sentence = passage.outline.sentences[passage.outline.sentence_of[one.first]]
    folded = passage.words.folded[sentence.first : min(sentence.end, sentence.first + FARTHEST)]
    asked = folded[-1:] == ["?"]
    if one.kind not in (Kind.ATTRIBUTION, Kind.FEATURE, Kind.CONDITION) or not asked:
        return False
    whole = sentence.verb >= 0 and one.first > sentence.verb
    short = sentence.end - sentence.first <= _SHORT_QUESTION and sentence.end < len(passage.words)
    whole = whole or (sentence.verb < 0 and short)
    return whole or (one.kind is not Kind.CONDITION and not OR.isdisjoint(folded))


def _holds(passage: Passage, sign: Sign) -> bool:
    """Whether a sign is one here: words that ask only in a question, and of two denials side
    by side neither."""
    if sign.signal.effect == "question":
        sentence = passage.outline.sentences[passage.outline.sentence_of[sign.first]]
        return "?" in passage.words.folded[sign.end : sentence.end]
    if sign.signal.effect == "reported as":
        return _reports(passage, sign)
    if sign.signal.effect not in ("deny", "lack"):
        return True
    at = bisect_left(passage.denials, sign.first, key=lambda other: other.first)
    near = passage.denials[max(0, at - 2) : at + 3]
    return not any(o.end == sign.first or o.first == sign.end for o in near)


def _reports(passage: Passage, sign: Sign) -> bool:
    """'Priced as Qianlong', 'shown (as Chelsea)': 'as' after a participle, before a name."""
    first = max(0, sign.first - _PARTICIPLE_REACH)
    before = passage.words.folded[first : sign.first]
    named = any(sign.end <= c.first <= sign.end + 1 for c in passage.candidates)
    return named and any(t in TOLD or (t.endswith("ed") and len(t) > 4) for t in before)


def _quoted(passage: Passage) -> bytearray:
    """The tokens within double quotation marks, where not all of the text stands in them."""
    marked = bytearray(len(passage.words))
    for first, end in quotations(passage.words):
        if end - first < len(passage.words) - 3:
            marked[first:end] = b"\x01" * (end - first)
    return marked


def _deny(effects: Effects, sign: Sign) -> None:
    effects.denials += 1


def _claimed(effects: Effects) -> None:
    """Words in quotation marks are somebody else's: a title, a label, an opinion."""
    if effects.polarity is Polarity.ASSERTED:
        effects.polarity = Polarity.CLAIMED


def _doubt(effects: Effects) -> None:
    effects.certainty = least_sure(effects.certainty, Certainty.POSSIBLE)


def _affirm(effects: Effects, sign: Sign) -> None:
    effects.affirmed = True


def _hedge(effects: Effects, sign: Sign) -> None:
    effects.certainty = least_sure(effects.certainty, sign.signal.certainty)


def _undecided(effects: Effects, sign: Sign) -> None:
    effects.undecided = True
    effects.certainty = least_sure(effects.certainty, Certainty.POSSIBLE)


def _of_another(effects: Effects, sign: Sign) -> None:
    effects.subject = _SUBJECTS[sign.signal.effect]


def _polarity(effects: Effects, sign: Sign) -> None:
    found = _POLARITIES[sign.signal.effect]
    ranked = tuple(dict.fromkeys(_POLARITIES.values()))
    held = effects.polarity
    if held is Polarity.ASSERTED or ranked.index(found) < ranked.index(held):
        effects.polarity = found
    if found is Polarity.SOUGHT:
        effects.denials += 1


_EFFECTS: Mapping[str, Callable[[Effects, Sign], None]] = {
    "deny": _deny,
    "lack": _deny,
    "affirm": _affirm,
    "hedge": _hedge,
    "undecided": _undecided,
    **dict.fromkeys(_SUBJECTS, _of_another),
    **dict.fromkeys(_POLARITIES, _polarity),
}
