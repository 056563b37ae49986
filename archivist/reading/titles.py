"""A caption taken apart, in whatever order it comes: title, features, date, sizes, marks, rest.

Each reader is handed what those before it left. Marks come first (a reign in a mark is no date of
the piece), condition before sizes ('a 2 cm hairline' is no size of the piece), dates and features
last.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from typing import TypeVar

import msgspec

from archivist.model.base import Reading
from archivist.model.marks import Mark, MarkRelation
from archivist.model.measurements import Dimension, Unit
from archivist.model.parties import Party
from archivist.model.records import (
    Attribution,
    Feature,
    FeatureAspect,
    Title,
)
from archivist.reading.composition import CompositionReading, composition_in
from archivist.reading.condition import condition_in
from archivist.reading.dates import read_dates
from archivist.reading.features import features_in
from archivist.reading.marks import marks_in
from archivist.reading.measurements.read import measurements_in
from archivist.reading.provenance.read import provenance_in
from archivist.reading.provenance.split import ends_in_abbreviation
from archivist.reading.result import Question, ReadStatement, Understood
from archivist.reading.tables import Tables
from archivist.reading.words import Lexicon, Words, fillers, fold, unread_spans

_CLAUSE_ENDS = frozenset(",;:.\n")
_TRAILING = _CLAUSE_ENDS | {"(", "-", "–"}
_SENTENCE_ENDS = frozenset(";\n")
_PARTS = ("", ",", ";", ":", "\n")
_ABBREVIATION_REACH = 20
_BLANKS = " ,;"
_LOOSE_ENDS = frozenset(("with", "and", "of", "in", "on", "a", "an", "the", "from", "by", "&"))
_ACCESSORIES = frozenset(("stand", "box"))
AnyStatement = TypeVar("AnyStatement", bound=ReadStatement)


@functools.lru_cache(maxsize=8)
def _cues(tables: Tables) -> Lexicon[str]:
    """The words that begin a clause of provenance."""
    return Lexicon(
        (name, row.label) for row in tables.terms("provenance cue") for name in row.variants
    )


@functools.lru_cache(maxsize=8)
def _headings(tables: Tables) -> frozenset[str]:
    """Single words that head a line of provenance."""
    return frozenset(fold(name) for row in tables.terms("heading") for name in row.variants)


class _Caption:
    """A caption being taken apart: what was found, and which tokens are taken."""

    def __init__(self, text: str, tables: Tables) -> None:
        self.text = text
        self.tables = tables
        self.words = Words(text)
        self.taken = bytearray(len(self.words))
        self.spans: list[tuple[int, int]] = []
        self.statements: list[ReadStatement] = []
        self.questions: list[Question] = []
        self.parties: tuple[Party, ...] = ()

    def take(self, statements: tuple[ReadStatement, ...]) -> None:
        """Keep statements, and mark their words as taken."""
        for statement in statements:
            self.statements.append(statement)
            if statement.reading is not None:
                self.mark(statement.reading.start, statement.reading.end)

    def mark(self, start: int, end: int) -> None:
        """Mark the words from `start` to `end` as taken."""
        self.spans.append((start, end))
        first, stop = self.words.at(start), self.words.at(end)
        self.taken[first:stop] = b"\x01" * (stop - first)

    def left(self, also: Sequence[tuple[int, int]] = ()) -> str:
        """The text, of the same length, with what is taken blanked, and the spans `also`."""
        if not self.spans and not also:
            return self.text
        pieces: list[str] = []
        at = 0
        for start, end in sorted((*self.spans, *also)):
            if end <= at:
                continue
            start = max(start, at)
            pieces.append(self.text[at:start])
            parted = self.text[:start].rstrip()[-1:] in _PARTS
            pieces.append(("" if parted else ";").ljust(end - start))
            at = end
        pieces.append(self.text[at:])
        return "".join(pieces)


def read_title(
    text: str,
    tables: Tables,
    *,
    order: str = "",
    default_unit: Unit | None = None,
    default_dimension: Dimension | None = None,
) -> Understood:
    """Everything that a caption says of a piece, in one pass.

    `order`, `default_unit` and `default_dimension` are as in `read_measurements`. A caption that
    speaks of a pair or a set, or of a cover that is there or missing, has a `composition`.
    """
    caption = _Caption(text, tables)
    words = caption.words
    _take_headed_provenance(caption)
    marks = marks_in(words, tables, caption.taken)
    caption.take(marks)
    condition = condition_in(words, tables, caption.taken)
    caption.take(condition.statements)
    caption.questions.extend(condition.questions)
    sizes = measurements_in(
        caption.left(),
        tables,
        order=order,
        default_unit=default_unit,
        default_dimension=default_dimension,
    )
    caption.take(sizes.statements)
    caption.questions.extend(sizes.questions)
    composition = composition_in(words, tables, _tokens_of(words, sizes.statements))
    _take_provenance(caption)
    features = features_in(words, tables, caption.taken)
    dates = _dates(caption, marks, features)
    features = tuple(f for f in features if not _overlaps(f, dates))
    title = _title(caption, features)
    caption.take(tuple(f for f in features if not _is_a_part(f, composition)))
    if title is not None:
        caption.take((title,))
    spans = [*caption.spans, *composition.spans]
    return Understood(
        text=text,
        statements=tuple(sorted(caption.statements, key=_place)),
        unread=unread_spans(words, spans, fillers(tables)),
        questions=tuple(caption.questions),
        parties=caption.parties,
        composition=composition.composition,
    )


def _tokens_of(words: Words, statements: Sequence[ReadStatement]) -> bytearray:
    """The tokens within the spans of `statements`, marked."""
    marked = bytearray(len(words))
    for one in statements:
        if one.reading is not None:
            first, stop = words.at(one.reading.start), words.at(one.reading.end)
            marked[first:stop] = b"\x01" * (stop - first)
    return marked


def _is_a_part(statement: ReadStatement, composition: CompositionReading) -> bool:
    """Whether a form is only a part of the piece: 'with wooden stand'. A saucer is both."""
    reading = statement.reading
    return (
        isinstance(statement, Feature)
        and statement.aspect is FeatureAspect.FORM
        and statement.term.label in _ACCESSORIES
        and reading is not None
        and any(start <= reading.start < end for start, end in composition.spans)
    )


def _place(statement: ReadStatement) -> tuple[int, int]:
    reading = statement.reading
    if reading is None:
        return (0, 0)
    return (reading.start, 0 if isinstance(statement, Title) else 1)


def _moved(statement: AnyStatement, offset: int) -> AnyStatement:
    """`statement` with its span moved by `offset` characters."""
    reading = statement.reading
    if reading is None or not offset:
        return statement
    moved = Reading(
        rule=reading.rule,
        confidence=reading.confidence,
        start=reading.start + offset,
        end=reading.end + offset,
    )
    return msgspec.structs.replace(statement, reading=moved)


def _take_headed_provenance(caption: _Caption) -> None:
    """'Provenance: ...' goes to the end of its line, whatever is in it."""
    folded = caption.words.folded
    headings = _headings(caption.tables)
    if headings.isdisjoint(folded):
        return
    for index, token in enumerate(folded):
        if token in headings and folded[index + 1 : index + 2] == [":"]:
            end = index + 2
            while end < len(folded) and folded[end] != "\n":
                end += 1
            if end > index + 2:
                _read_events(caption, index, index + 2, end)
            return


def _take_provenance(caption: _Caption) -> None:
    """Clauses that begin with words of provenance, as far as nobody else has read them."""
    cues = _cues(caption.tables)
    words, taken = caption.words, caption.taken
    free_from = 0
    for match in cues.starting(words.folded):
        index = match.first
        if index < free_from or taken[index] or not _begins_clause(caption, index):
            continue
        end = _clause_end(caption, index)
        if end - index > 1:
            _read_events(caption, index, index, end)
            free_from = end


def _begins_clause(caption: _Caption, index: int) -> bool:
    """Whether a clause begins at token `index`, brackets before it apart."""
    folded, taken = caption.words.folded, caption.taken
    before = index - 1
    while before >= 0 and folded[before] == "(" and not taken[before]:
        before -= 1
    return before < 0 or folded[before] in _CLAUSE_ENDS or bool(taken[before])


def _clause_end(caption: _Caption, index: int) -> int:
    """Where a clause of provenance ends: at a sentence's end or where others have read on."""
    folded, taken = caption.words.folded, caption.taken
    end = index
    while end < len(folded) and not taken[end] and folded[end] not in _SENTENCE_ENDS:
        if folded[end] == "." and end + 1 < len(folded) and _new_sentence(caption, end):
            break
        if folded[end] == "," and _begins_event(caption, end + 1):
            break
        end += 1
    while end > index and folded[end - 1] in _TRAILING:
        end -= 1
    return end


def _begins_event(caption: _Caption, index: int) -> bool:
    """Whether a change of hands begins at token `index`: '..., sold to a collector'."""
    folded = caption.words.folded
    match = _cues(caption.tables).match(folded, index) if index < len(folded) else None
    return match is not None and match.entry == "cue"


def _new_sentence(caption: _Caption, stop: int) -> bool:
    """Whether the full stop at token `stop` ends a sentence and no abbreviation."""
    words = caption.words
    at = words.starts[stop]
    following = words.starts[stop + 1]
    if following == words.ends[stop] or not words.text[following].isupper():
        return False
    before = words.text[max(0, at - _ABBREVIATION_REACH) : at + 1]
    return not ends_in_abbreviation(before, caption.tables)


def _read_events(caption: _Caption, heading: int, first: int, end: int) -> None:
    """Read tokens `first` to before `end` as provenance; the heading goes with the first event."""
    words = caption.words
    start, stop = words.starts[first], words.ends[end - 1]
    events, parties = provenance_in(caption.text[start:stop], caption.tables)
    known = {party.name.casefold(): party.id for party in caption.parties}
    ids: dict[str, str] = {"": ""}
    added: list[Party] = []
    for party in parties:
        same = known.get(party.name.casefold())
        ids[party.id] = same or f"party-{len(caption.parties) + len(added) + 1}"
        if same is None:
            added.append(msgspec.structs.replace(party, id=ids[party.id]))
    caption.parties += tuple(added)
    for event in events:
        moved = msgspec.structs.replace(
            _moved(event, start),
            giver=ids[event.giver],
            receiver=ids[event.receiver],
            agent=ids[event.agent],
        )
        caption.take((moved,))
    if heading < first:
        caption.mark(words.starts[heading], words.ends[first - 1])


def _dates(
    caption: _Caption,
    marks: tuple[ReadStatement, ...],
    features: tuple[Feature | Attribution, ...],
) -> list[tuple[int, int]]:
    """Take the dates of the piece, and give their spans.

    What a mark claims is no date of the piece, unless the mark is said to be of its period.
    Words that name a feature are kept from the reader of dates, but for places and cultures,
    which it may need, and for 'the year of the dragon'.
    """
    named = [
        (f.reading.start, f.reading.end)
        for f in features
        if isinstance(f, Feature) and f.reading is not None
    ]
    text = caption.left([] if "year" in caption.words.folded else named)
    for mark in marks:
        reading = mark.reading
        if (
            isinstance(mark, Mark)
            and mark.relation is MarkRelation.OF_THE_PERIOD
            and reading is not None
        ):
            words = caption.text[reading.start : reading.end]
            text = text[: reading.start] + words + text[reading.end :]
    understood = read_dates(text.rstrip(_BLANKS), caption.tables)
    if not understood.statements and not understood.questions:
        return []
    caption.take(understood.statements)
    caption.questions.extend(understood.questions)
    spans = [(q.span.start, q.span.end) for q in understood.questions]
    for start, end in spans:
        caption.mark(start, end)
    spans.extend((s.reading.start, s.reading.end) for s in understood.statements if s.reading)
    return spans


def _overlaps(statement: ReadStatement, spans: list[tuple[int, int]]) -> bool:
    reading = statement.reading
    return reading is not None and any(s < reading.end and reading.start < e for s, e in spans)


def _title(caption: _Caption, features: tuple[ReadStatement, ...]) -> Title | None:
    """The clause that names the piece: that of its form, else the first that says what it is."""
    forms = [f for f in features if isinstance(f, Feature) and f.aspect is FeatureAspect.FORM] or [
        f for f in features if isinstance(f, Feature)
    ]
    if not forms or forms[0].reading is None:
        return None
    words, taken = caption.words, caption.taken
    at = words.at(forms[0].reading.start)
    first = at
    while first > 0 and not taken[first - 1] and words.folded[first - 1] not in _CLAUSE_ENDS:
        first -= 1
    end = words.at(forms[0].reading.end)
    while end < len(words) and not taken[end] and words.folded[end] not in _CLAUSE_ENDS:
        end += 1
    while end > at + 1 and words.folded[end - 1] in _LOOSE_ENDS:
        end -= 1
    while first < at and words.folded[first] in ("and", "&", ")", "-", "–"):
        first += 1
    start, stop = words.starts[first], words.ends[end - 1]
    stated = caption.text[start:stop]
    return Title(
        as_stated=stated,
        reading=Reading(rule="clause of the form", confidence="0.8", start=start, end=stop),
        value=stated,
    )
