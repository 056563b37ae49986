"""A caption taken apart, in whatever order it comes: title, features, date, sizes, marks, rest.

Each reader is handed what those before it left. Marks come first (a reign in a mark is no date of
the piece), condition before sizes ('a 2 cm hairline' is no size of the piece), dates and features
last.
"""

from __future__ import annotations

from collections.abc import Sequence

from archivist.model.base import Reading
from archivist.model.marks import Mark, MarkRelation
from archivist.model.measurements import Dimension, Unit
from archivist.model.records import (
    Attribution,
    Feature,
    FeatureAspect,
    Title,
)
from archivist.reading.caption import CLAUSE_ENDS, Caption
from archivist.reading.citations.clauses import take_citations
from archivist.reading.composition import composition_in
from archivist.reading.condition import condition_in
from archivist.reading.dates import dates_in
from archivist.reading.features import features_in
from archivist.reading.marks import marks_in
from archivist.reading.measurements.read import measurements_in
from archivist.reading.provenance.clauses import take_headed_provenance, take_provenance
from archivist.reading.result import ReadStatement, Understood
from archivist.reading.standing import Position, understood
from archivist.reading.standing.signals import languages_of, signs_in
from archivist.reading.tables import Tables
from archivist.reading.words import Words, covered

_BLANKS = " ,;"
_LOOSE_ENDS = frozenset(("with", "and", "of", "in", "on", "a", "an", "the", "from", "by", "&"))
_ACCESSORIES = frozenset(("stand", "box"))
_SENTENCE_ENDS = frozenset(".!?\n")
_NOT_NAMING = frozenset(("deny", "lack", "former", "claim", "reported as", "conditional", "sought"))
"""Effects of words that a clause which names the piece does not hold."""
_DEFINITE = frozenset(("the", "der", "die", "das", "le", "la", "les", "il", "lo", "el", "het"))
_FARTHEST = 60
"""Tokens before and after a clause within which its sentence is looked at."""
_MOST_CLAUSES = 12
"""Clauses of forms that are tried; what names the piece stands early."""


def read_title(
    text: str,
    tables: Tables,
    *,
    order: str = "",
    default_unit: Unit | None = None,
    default_dimension: Dimension | None = None,
    position: Position = Position.CAPTION,
) -> Understood:
    """Everything that a caption says of a piece, in one pass.

    `order`, `default_unit` and `default_dimension` are as in `read_measurements`. A caption that
    speaks of a pair or a set, or of a cover that is there or missing, has a `composition`.
    """
    caption = Caption(text, tables)
    words = caption.words
    take_headed_provenance(caption)
    take_citations(caption)
    marks = marks_in(words, tables, caption.taken)
    caption.take(marks)
    caption.take(condition_in(words, tables, caption.taken))
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
    take_provenance(caption)
    features = features_in(words, tables, caption.taken)
    dates = covered(len(text), _dates(caption, marks, features))
    features = tuple(f for f in features if not _overlaps(f, dates))
    title = _title(caption, features)
    parts = covered(len(text), composition.spans)
    caption.take(tuple(f for f in features if not _is_a_part(f, parts)))
    if title is not None:
        caption.take((title,))
    spans = [*caption.spans, *composition.spans]
    return understood(
        words,
        sorted(caption.statements, key=_place),
        tables,
        position,
        questions=caption.questions,
        parties=caption.parties,
        composition=composition.composition,
        spans=spans,
    )


def _tokens_of(words: Words, statements: Sequence[ReadStatement]) -> bytearray:
    """The tokens within the spans of `statements`, marked."""
    marked = bytearray(len(words))
    for one in statements:
        if one.reading is not None:
            first, stop = words.at(one.reading.start), words.at(one.reading.end)
            marked[first:stop] = b"\x01" * (stop - first)
    return marked


def _is_a_part(statement: ReadStatement, parts: bytearray) -> bool:
    """Whether a form is only a part of the piece: 'with wooden stand'. A saucer is both."""
    reading = statement.reading
    return (
        isinstance(statement, Feature)
        and statement.aspect is FeatureAspect.FORM
        and statement.term.label in _ACCESSORIES
        and reading is not None
        and bool(parts[reading.start])
    )


def _place(statement: ReadStatement) -> tuple[int, int]:
    reading = statement.reading
    if reading is None:
        return (0, 0)
    return (reading.start, 0 if isinstance(statement, Title) else 1)


def _dates(
    caption: Caption,
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
    understood = dates_in(text.rstrip(_BLANKS), caption.tables)
    if not understood.statements and not understood.questions:
        return []
    caption.take(understood.statements)
    caption.questions.extend(understood.questions)
    spans = [(q.span.start, q.span.end) for q in understood.questions]
    for start, end in spans:
        caption.mark(start, end)
    spans.extend((s.reading.start, s.reading.end) for s in understood.statements if s.reading)
    return spans


def _overlaps(statement: ReadStatement, dates: bytearray) -> bool:
    reading = statement.reading
    return reading is not None and dates.find(1, reading.start, reading.end) >= 0


def _title(caption: Caption, features: tuple[ReadStatement, ...]) -> Title | None:
    """The clause that names the piece: that of its form, else the first that says what it is.

    Prose names no piece, nor does a clause that denies or tells what others hold.
    """
    named = [f for f in features if isinstance(f, Feature) and f.reading is not None]
    forms = [f for f in named if f.aspect is FeatureAspect.FORM] or named
    languages = languages_of(caption.words.folded, caption.tables) if forms else ()
    for form in forms[:_MOST_CLAUSES]:
        assert form.reading is not None
        first, end = _clause_of(caption, form.reading)
        if _names_the_piece(caption, first, end, languages):
            start, stop = caption.words.starts[first], caption.words.ends[end - 1]
            stated = caption.text[start:stop]
            reading = Reading(rule="clause of the form", confidence="0.8", start=start, end=stop)
            return Title(as_stated=stated, reading=reading, value=stated)
    return None


def _clause_of(caption: Caption, reading: Reading) -> tuple[int, int]:
    """The tokens of the clause around a feature, without loose ends."""
    words, taken = caption.words, caption.taken
    at = first = words.at(reading.start)
    while first > 0 and not taken[first - 1] and words.folded[first - 1] not in CLAUSE_ENDS:
        first -= 1
    end = words.at(reading.end)
    while end < len(words) and not taken[end] and words.folded[end] not in CLAUSE_ENDS:
        end += 1
    while end > at + 1 and words.folded[end - 1] in _LOOSE_ENDS:
        end -= 1
    while first < at and words.folded[first] in ("and", "&", ")", "-", "–"):
        first += 1
    return first, end


def _names_the_piece(caption: Caption, first: int, end: int, languages: tuple[str, ...]) -> bool:
    """Whether a clause is a fragment that names: it has no verb, nor has what its sentence says
    before it, it does not begin with 'the' where a verb follows, and nothing in it denies."""
    folded = caption.words.folded
    begins, stops = _sentence_of(caption, first, end)
    signs, verbs = signs_in(folded[begins:stops], languages, caption.tables)
    inside = [s for s in signs if first <= begins + s.first < end]
    if any(s.signal.effect in _NOT_NAMING for s in inside):
        return False
    told = [i for i in range(begins, stops) if folded[i] in verbs and not caption.taken[i]]
    if not told:
        return True
    return told[0] >= end and folded[first] not in _DEFINITE


def _sentence_of(caption: Caption, first: int, end: int) -> tuple[int, int]:
    folded = caption.words.folded
    begins, stops = first, end
    while begins > max(0, first - _FARTHEST) and folded[begins - 1] not in _SENTENCE_ENDS:
        begins -= 1
    while stops < min(len(folded), end + _FARTHEST) and folded[stops] not in _SENTENCE_ENDS:
        stops += 1
    return begins, stops
