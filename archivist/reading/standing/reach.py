"""Which candidates a sign governs: its direction, its reach and what ends it."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from archivist.model.observations import Observation
from archivist.reading.standing.candidates import Candidate
from archivist.reading.standing.law import Kind
from archivist.reading.standing.outline import Outline, Sentence, Span
from archivist.reading.standing.signals import Sign

_THAT = frozenset(("that", "dass", "daß", "que", "che", "dat", "qu'il", "qu'elle"))
"""Words that let what was said of the speaker's belief reach into the clause they open."""
_OR = frozenset(("or", "nor", "oder", "noch", "ou", "ni", "of", "noch", "o", "né"))
FARTHEST = 60
"""Tokens over which a sign reaches at most, whatever the sentence: so that the time a text takes
grows with its length alone."""
_FEW = 4
"""Words of other import that a sentence may have which judges the one before it: 'This attribution
is no longer accepted today.'"""
_AND = frozenset(("and", "&", "et", "und", "en", "e", "y", "plus"))
_OF_DATES_ALONE = frozenset(("photograph", "publication", "exhibition"))
"""What is said beside such a word may date or place it; its looks stay the piece's."""
_JUDGING = frozenset(("deny", "hedge", "pronoun", "demonstrative", "speaker self"))
_DENIALS = frozenset(("deny", "lack", "sought"))
_VERDICT = 6
"""Tokens of the longest sentence that only judges the one before: 'I very much doubt it.'"""
_NEAR = 2
"""Tokens between a candidate and a 'not' after it that may still go for it."""


class Reach:
    """The tokens that signs govern, in one text with its candidates."""

    def __init__(
        self, outline: Outline, candidates: Sequence[Candidate], signs: Sequence[Sign]
    ) -> None:
        self.outline = outline
        self.judging = bytearray(len(outline.words))
        for sign in signs:
            if sign.signal.effect in _JUDGING:
                self.judging[sign.first : sign.end] = b"\x01" * (sign.end - sign.first)
        self.folded = outline.words.folded
        self.candidates = candidates
        self._starts = {c.first: c for c in candidates if c.kind is not Kind.TITLE}
        self._firsts = [c.first for c in candidates]

    def governed(self, sign: Sign) -> list[Candidate]:
        """The candidates that a sign governs."""
        signal = sign.signal
        found: list[Candidate] = []
        if signal.effect in ("deny", "lack") and self._answers(sign):
            return self._sentence_before(sign)
        if signal.direction in ("after", "both"):
            ahead = self._ahead(sign)
            found += self._within(ahead, sign.end)
            if signal.effect == "deny" and not found:
                found += self._judged_before(sign)
            if signal.effect == "modal":
                found = [c for c in found if c.kind is Kind.CONDITION]
            if signal.effect == "than":
                found = [c for c in found if c.kind in (Kind.ATTRIBUTION, Kind.FEATURE)]
            if signal.effect in _OF_DATES_ALONE:
                found = [c for c in found if c.kind is Kind.ATTRIBUTION]
        if signal.direction in ("before", "both"):
            before = self._before(sign)
            if signal.effect in _OF_DATES_ALONE:
                before = [c for c in before if c.kind is Kind.ATTRIBUTION]
            found += before
        return found

    def shared_part(self, sign: Sign) -> str:
        """The part of what stands after the 'and' that ends a denial: in 'no cracks and a chip to
        the rim' the rim is the chip's alone."""
        if sign.signal.effect not in _DENIALS or sign.signal.direction != "after":
            return ""
        end = self.outline.phrases[sign.end - 1].end
        parted = self.parted(end, sign)
        following = self._between(parted, min(end, parted + _NEAR + 2)) if parted < end else ()
        return _part_of(following[0]) if following else ""

    def ambiguous(self, sign: Sign) -> list[Candidate]:
        """What stands alone after a comma and a 'no' before it: 'no cracks, chips'."""
        end = self.outline.phrases[sign.end - 1].end
        stop = self.outline.sentences[self.outline.sentence_of[sign.first]].end
        if end >= stop or self.folded[end - 1] != "," or self._listed(end, sign) > end:
            return []
        one = self._starts.get(end)
        bare = one is not None and one.kind is Kind.CONDITION and _is_bare(one)
        if one is None or not bare or any(t.isalnum() for t in self.folded[one.end : stop]):
            return []
        return [one] if self._within(Span(sign.end, end), sign.end) else []

    def _within(self, span: Span, from_: int) -> list[Candidate]:
        end = min(span.end, from_ + FARTHEST)
        return [
            c
            for c in self._between(from_ - 1, end)
            if from_ <= c.first or from_ - 1 == c.first < c.end - 1
        ]

    def _between(self, first: int, end: int) -> Sequence[Candidate]:
        """The candidates that begin at tokens `first` to before `end`."""
        return self.candidates[bisect_left(self._firsts, first) : bisect_left(self._firsts, end)]

    def _ahead(self, sign: Sign) -> Span:
        """Where a sign that looks ahead stops."""
        outline = self.outline
        last = sign.end - 1
        if sign.signal.reach == "near":
            end = min(outline.phrases[last].end, sign.end + _NEAR)
        elif sign.signal.reach == "phrase":
            end = outline.phrases[last].end
            if sign.signal.effect in _DENIALS:
                end = self.parted(self._listed(end, sign), sign)
        elif sign.signal.reach == "sentence":
            end = outline.sentences[outline.sentence_of[last]].end
        else:
            end = outline.clauses[last].end
            end = self._before_a_main_clause(last, end)
            if self.folded[end - 1] == ":":
                end = outline.sentences[outline.sentence_of[last]].end
            elif end < len(self.folded) and self.folded[end] in _THAT:
                end = outline.clauses[end].end
        return Span(sign.end, end)

    def _before_a_main_clause(self, index: int, end: int) -> int:
        """'Long taken for Saint-Cloud, this salt is of Lille': a phrase without a verb of its own
        governs nothing in the sentence that follows it."""
        outline = self.outline
        phrase = outline.phrases[index]
        if outline.verb_at.find(1, phrase.first, phrase.end) >= 0:
            return end
        at = phrase.end
        while at < min(end, index + FARTHEST):
            following = outline.phrases[at]
            if outline.verb_at.find(1, following.first, following.end) >= 0:
                return at
            at = following.end
        return end

    def _listed(self, end: int, sign: Sign) -> int:
        """'No chips, cracks or repairs': a denial goes through its list to the 'or'.

        Only where each phrase of the list begins with a candidate or with 'or', and an 'or' comes.
        """
        stop = self.outline.sentences[self.outline.sentence_of[sign.first]].end
        reached = end
        at = end
        while at < min(stop, end + FARTHEST) and self.folded[at - 1] == ",":
            phrase = self.outline.phrases[at]
            heads = self.folded[at] in _OR
            if not heads and at not in self._starts:
                break
            if self.outline.verb_at.find(1, phrase.first, phrase.end) >= 0:
                break
            at = phrase.end
            if heads or not _OR.isdisjoint(self.folded[phrase.first : phrase.end]):
                reached = at
        return reached

    def parted(self, end: int, sign: Sign) -> int:
        """Where 'and' ends a denial: 'no cracks and a chip to the rim'."""
        for index in range(sign.end, min(end, sign.end + FARTHEST)):
            if self.folded[index] not in _AND:
                continue
            following = self._starts.get(index + 1)
            if following is None or following.kind is not Kind.CONDITION:
                if any(c.kind is Kind.CONDITION for c in self._within(Span(sign.end, index), 0)):
                    return index
            elif not _is_bare(following):
                return index
        return end

    def _answers(self, sign: Sign) -> bool:
        """'Ming? No, Qing': a word at the head of its sentence that answers the one before."""
        sentence = self.outline.sentences[self.outline.sentence_of[sign.first]]
        following = self.folded[sign.end : sign.end + 1]
        return sign.first == sentence.first and following in ([], [","], ["."], ["!"], [";"])

    def _only_judges(self, sentence: Sentence) -> bool:
        """'Hardly.', 'It is not.': a sentence of nothing but words that judge."""
        return sentence.end - sentence.first <= _VERDICT and not self._unknown_in(sentence)

    def _unknown_in(self, sentence: Sentence) -> int:
        """How many words of a sentence are neither verbs nor words that judge."""
        return sum(
            self.folded[i].isalnum() and not (self.outline.verb_at[i] or self.judging[i])
            for i in range(sentence.first, min(sentence.end, sentence.first + FARTHEST))
        )

    def _before(self, sign: Sign) -> list[Candidate]:
        outline = self.outline
        phrase, clause = outline.phrases[sign.first], outline.clauses[sign.first]
        if sign.signal.reach == "near":
            behind = self._behind(phrase, sign)
            return [c for c in behind if sign.first - _NEAR <= c.end]
        if sign.signal.effect == "hedge" and self._within(Span(sign.end, phrase.end), sign.end):
            return []  # 'small chip, possibly restored' doubts the second alone
        bounds = [phrase] if sign.signal.reach == "phrase" else [phrase, clause]
        sentence = outline.sentences[outline.sentence_of[sign.first]]
        if sign.signal.reach != "phrase":
            bounds.append(Span(sentence.first, sentence.end))
        if sign.signal.effect in _OF_DATES_ALONE and sentence.verb < 0:
            bounds = [phrase]  # 'Kangxi, exhibited Berlin 1929'
        for bound in bounds:
            found = self._behind(bound, sign)
            if found:
                return found if bound is not bounds[-1] or len(bounds) == 1 else self._last(found)
        if sign.signal.reach == "previous" and self._unknown_in(sentence) <= _FEW:
            return self._sentence_before(sign)
        return self._sentence_before(sign) if self._only_judges(sentence) else []

    def _last(self, found: list[Candidate]) -> list[Candidate]:
        """The candidates of the clause of the last of them."""
        clause = self.outline.clauses[found[-1].first]
        return [c for c in found if c.first >= clause.first]

    def _sentence_before(self, sign: Sign) -> list[Candidate]:
        number = self.outline.sentence_of[sign.first]
        if not number:
            return []
        sentence = self.outline.sentences[number - 1]
        first = max(sentence.first, sentence.end - FARTHEST)
        return [c for c in self._between(first, sentence.end) if c.kind is not Kind.TITLE]

    def _behind(self, span: Span, sign: Sign) -> list[Candidate]:
        """The candidates of a span that end before a sign."""
        first = max(span.first, sign.first - FARTHEST)
        return [c for c in self._between(first, sign.first) if c.end <= sign.first]

    def _judged_before(self, sign: Sign) -> list[Candidate]:
        """What a 'not' with nothing after it denies: 'Ming? Hardly.', 'Ming ist es nicht'."""
        outline = self.outline
        sentence = outline.sentences[outline.sentence_of[sign.first]]
        inside = self._behind(Span(sentence.first, sentence.end), sign)
        if not inside and self._only_judges(sentence):
            return self._sentence_before(sign)
        clause = outline.clauses[sign.first]
        if clause.end - sign.end > 1:
            return []
        return [c for c in self._behind(clause, sign) if sign.first - _NEAR <= c.end]


def _part_of(one: Candidate) -> str:
    return one.statement.part if isinstance(one.statement, Observation) else ""


def _is_bare(one: Candidate) -> bool:
    """Whether an observation has neither a part nor an extent of its own."""
    statement = one.statement
    return isinstance(statement, Observation) and not (statement.part or statement.extent)
