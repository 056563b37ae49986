"""A photograph's caption -> what it says of the piece, and nothing that it says of the picture.

Words that come with a photograph speak of two things. 'Celadon vase, Korea, 12th century' is of
the piece; 'photographed 12 March 2009', 'scan of a 35 mm slide' and 'scale 10 cm' are not, and a
year in a caption may be the year of the photograph, of the sale or of the making. What cannot be
of the piece is left unread, and a recent year by itself is a question.
"""

from __future__ import annotations

import functools
import re
from bisect import bisect_left
from collections.abc import Iterable, Sequence

import msgspec

from archivist.model.marks import Mark, MarkKind
from archivist.model.measurements import Dimension, Measurement
from archivist.model.observations import Observation
from archivist.model.records import Attribution, Composition, Feature, FeatureAspect, Title
from archivist.reading.caption import CLAUSE_ENDS
from archivist.reading.result import Question, ReadStatement, Span, Understood
from archivist.reading.standing import Position
from archivist.reading.tables import Tables
from archivist.reading.titles import read_title
from archivist.reading.words import Lexicon, Words, fillers, unread_spans

Scales = tuple[list[int], frozenset[int]]
"""Where words for a scale begin and end, in tokens."""

RECENT = 1900
"""The first year that, alone in a caption, may be of the photograph or a sale: a piece made later
can hardly be told from one photographed later. A choice of ours."""

RECENT_RANGE = 1950
"""The same for two years, which are more often of the making. A choice of ours."""

ASKS_OF_YEAR = "Is it the year when the piece was made, or when it was photographed or sold?"

_PLAIN = re.compile(r"[0-9]{4}")
_PLAIN_RANGE = re.compile(r"[0-9]{4}/[0-9]{4}")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}")
_ENDS = CLAUSE_ENDS | frozenset("()")
_COUNT = re.compile(r"(?<!\d)\d{1,4}\s?[.)]?\s*$")
_LONGEST_COUNT = 12
"""Characters at the end of a name in which the number of a series is looked for."""

LEAST_STATEMENTS = 3
"""Things that a name must say of a piece to be taken for a caption."""

MOST_UNREAD = 0.4
"""The share of a name's words that may be left unread where it is taken for a caption."""


def read_picture_caption(
    text: str, tables: Tables, numbers: Iterable[tuple[int, int]] = ()
) -> Understood:
    """What the caption `text` of a photograph says of the piece that it shows.

    `numbers` are spans that are stock numbers. The result has the statements of `read_title` but
    for those that are of the picture; a year by itself since 1900 is a question with one reading.
    """
    numbers = tuple(numbers)
    words = Words(text)
    of_picture = _of_the_picture(words, tables)
    understood = read_title(
        blanked(text, (*numbers, *of_picture)), tables, position=Position.PICTURE
    )
    scales = _scales(words, tables)
    damaged = any(isinstance(s, Observation) for s in understood.statements)
    statements: list[ReadStatement] = []
    questions = list(understood.questions)
    for statement in understood.statements:
        if damaged and _is_a_bare_size(statement):
            continue
        if not _is_recent(statement):
            if not _is_of_the_picture(statement, words, scales):
                statements.append(statement)
        elif not of_picture:
            questions.append(_question_of_year(statement))
    read = [*numbers, *((s.reading.start, s.reading.end) for s in statements if s.reading)]
    parts = understood.composition.parts if understood.composition else ()
    read += [(p.reading.start, p.reading.end) for p in parts if p.reading]
    read += [(q.span.start, q.span.end) for q in questions]
    return msgspec.structs.replace(
        understood,
        text=text,
        statements=tuple(statements),
        questions=tuple(questions),
        unread=unread_spans(words, read, fillers(tables)),
    )


def read_picture_name(
    text: str, tables: Tables, numbers: Iterable[tuple[int, int]] = ()
) -> Understood:
    """What the name of a photograph's file or folder says of the piece, without its ending.

    A name is weaker evidence than a caption. One that is as telling as a caption ('celadon vase
    12th c drilled base') is read as one, but for years and days, which in names are those of the
    photograph or the sale; any other says the form at most. Underscores and hyphens count as
    blanks; spans and words are those of `text`.
    """
    numbers = tuple(numbers)
    plain = _without_count(_spaced(text))
    understood = read_picture_caption(plain, tables, numbers)
    kept = [s for s in understood.statements if not isinstance(s, Title) and not _has_year(s)]
    telling = (
        len(kept) >= LEAST_STATEMENTS
        and len({type(s) for s in kept}) > 1
        and any(isinstance(s, Feature) for s in kept)
        and _share_unread(understood, numbers) <= MOST_UNREAD
    )
    composition: Composition | None = understood.composition
    if not telling:
        kept = [s for s in kept if isinstance(s, Feature) and s.aspect is FeatureAspect.FORM]
        composition = None
    return msgspec.structs.replace(
        understood,
        text=text,
        statements=tuple(_as_in(text, s) for s in kept),
        questions=(),
        composition=composition,
    )


def _without_count(text: str) -> str:
    """A name with blanks for the number in a series at its end: 'bowl 2', 'bowl (3)'."""
    tail = max(0, len(text) - _LONGEST_COUNT)
    count = _COUNT.search(text, tail)
    return text if count is None else text[: count.start()].ljust(len(text))


def _spaced(text: str) -> str:
    """A name with blanks for what stands for them; ' - ' parts clauses."""
    parted = re.sub(r"(?<=\s)[-–](?=\s)", ",", text)
    if " " in parted.strip():
        return parted.replace("_", " ")
    return re.sub(r"[_-]|(?<!\d)\.|\.(?!\d)", " ", parted)


def _as_in(text: str, statement: ReadStatement) -> ReadStatement:
    reading = statement.reading
    if reading is None:
        return statement
    return msgspec.structs.replace(statement, as_stated=text[reading.start : reading.end])


def _share_unread(understood: Understood, numbers: Sequence[tuple[int, int]]) -> float:
    """How many of the words of a name say nothing that is read, its number left out."""
    text = understood.text
    unread = sum(len(Words(text[span.start : span.end])) for span in understood.unread)
    return unread / max(1, len(Words(blanked(text, numbers))))


def _has_year(statement: ReadStatement) -> bool:
    """Whether a statement is a date of a single year or day: of the photograph, in names."""
    if not isinstance(statement, Attribution) or statement.date is None:
        return False
    edtf = statement.date.edtf
    return not statement.ground and bool(_PLAIN.fullmatch(edtf[:4]) and edtf[4:5] in ("", "-"))


def _is_recent(statement: ReadStatement) -> bool:
    """Whether a statement is a year, by itself, of the time of photographs and sales."""
    if not isinstance(statement, Attribution) or statement.date is None or statement.ground:
        return False
    date = statement.date
    if date.earliest is None:
        return False
    if _PLAIN.fullmatch(date.edtf):
        return date.earliest >= RECENT
    return bool(_PLAIN_RANGE.fullmatch(date.edtf)) and date.earliest >= RECENT_RANGE


def _is_of_the_picture(statement: ReadStatement, words: Words, scales: Scales) -> bool:
    """Whether a statement can only be of the picture: a day, the size of a scale, 'mark'."""
    if isinstance(statement, Attribution) and statement.date is not None:
        return not statement.ground and bool(_DAY.match(statement.date.edtf))
    if isinstance(statement, Measurement):
        return _is_a_scale(statement, words, scales)
    return isinstance(statement, Mark) and _only_names_a_mark(statement)


def _is_a_bare_size(statement: ReadStatement) -> bool:
    """A size of nothing named, which beside words for damage may be the size of the damage."""
    return isinstance(statement, Measurement) and statement.dimension is Dimension.UNSTATED


def _scales(words: Words, tables: Tables) -> Scales:
    """The tokens at which words for a scale begin, and those at which they end."""
    found = lexicon_of(tables, "scale word").find(words.folded)
    return [f.first for f in found], frozenset(f.end for f in found)


def _is_a_scale(size: Measurement, words: Words, scales: Scales) -> bool:
    """Whether a size is that of a scale or ruler that lies beside the piece: 'scale: 10 cm'."""
    if size.reading is None:
        return False
    first, end = words.at(size.reading.start), words.at(size.reading.end)
    before = first - 1 if first and words.folded[first - 1] == ":" else first
    begins, ends = scales
    within = bisect_left(begins, first)
    return before in ends or (within < len(begins) and begins[within] <= end)


def _only_names_a_mark(mark: Mark) -> bool:
    """Whether words say that there is a mark and nothing of it: what the picture shows."""
    return mark == Mark(
        kind=MarkKind.UNDETERMINED,
        as_stated=mark.as_stated,
        certainty=mark.certainty,
        reading=mark.reading,
        place=mark.place,
    )


def _question_of_year(statement: ReadStatement) -> Question:
    reading = statement.reading
    span = Span(start=reading.start, end=reading.end) if reading else Span(start=0, end=0)
    return Question(span=span, asks=ASKS_OF_YEAR, readings=((statement,),))


def _of_the_picture(words: Words, tables: Tables) -> list[tuple[int, int]]:
    """The clauses that speak of the picture."""
    clauses: list[tuple[int, int]] = []
    last = -1
    for found in lexicon_of(tables, "picture word").find(words.folded):
        if found.first <= last:
            continue
        first, last = found.first, found.end - 1
        while first > 0 and words.folded[first - 1] not in _ENDS:
            first -= 1
        while last + 1 < len(words) and words.folded[last + 1] not in _ENDS:
            last += 1
        clauses.append((words.starts[first], words.ends[last]))
    return clauses


@functools.lru_cache(maxsize=8)
def lexicon_of(tables: Tables, kind: str) -> Lexicon[str]:
    """The words of one kind of table rows, each to its row's label."""
    return Lexicon((name, row.label) for row in tables.terms(kind) for name in row.names)


def blanked(text: str, spans: Iterable[tuple[int, int]]) -> str:
    """The text, of the same length, with the spans blanked but for a mark that parts clauses."""
    pieces = []
    at = 0
    for start, end in sorted(spans):
        start = max(start, at)
        if start < end:
            pieces += [text[at:start], ";".ljust(end - start)]
            at = end
    return "".join((*pieces, text[at:]))
