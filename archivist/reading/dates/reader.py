"""All date statements of a text, and the date of the whole."""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from archivist.model import edtf
from archivist.model.base import Certainty, Reading, Term
from archivist.model.dates import Date
from archivist.model.records import Aspect, Attribution
from archivist.reading.dates.characters import divided
from archivist.reading.dates.deciding import decide
from archivist.reading.dates.lore import Lore, lore_of
from archivist.reading.dates.misspelt import SLIP_OF_A_FIGURE, mended
from archivist.reading.dates.pieces import Found
from archivist.reading.dates.scan import Scan
from archivist.reading.dates.settle import weaker
from archivist.reading.dates.spelled import spelled_years
from archivist.reading.dates.statements import statement
from archivist.reading.dates.tokens import (
    DECADE,
    HAN,
    NUMBER,
    NUMERIC_DATE,
    OPEN,
    QUERY,
    ROMAN,
    TILDE,
    Token,
    tokenise,
)
from archivist.reading.dates.whole import narrowest
from archivist.reading.dates.words import (
    AFTER,
    AND,
    BEFORE,
    BETWEEN,
    CENTURY,
    CERTAINTY,
    CIRCA,
    CYCLICAL_WORD,
    DATED,
    ERA,
    FILLER,
    FROM,
    HIJRI,
    HUNDREDS,
    KIND,
    LIKE,
    MARK,
    MONTH,
    NO_DATE,
    NOT_AFTER,
    NOT_BEFORE,
    OR,
    ORDINAL,
    PART,
    SEASON,
    SHORT_DECADE,
    STAGE,
    TO,
    TURN,
    YEAR_WORD,
)
from archivist.reading.result import Question, Span, Understood
from archivist.reading.spelling import fold
from archivist.reading.tables import PeriodRow, Tables

LONGEST_CONTEXT = 64
LONGEST_DATE = 120
"""Characters of the longest text in which misspelt date words are looked for everywhere."""
MOST_OF_A_NAME = 5
"""How many tokens before 'period', 'mark' and the like a name that was misheard may begin."""
_BEGIN = frozenset(
    {
        *(
            CIRCA,
            BEFORE,
            AFTER,
            NOT_BEFORE,
            NOT_AFTER,
            CERTAINTY,
            PART,
            ORDINAL,
            CENTURY,
            HUNDREDS,
            TURN,
            MONTH,
        ),
        *(SEASON, ERA, BETWEEN, FROM, KIND, LIKE, DATED, STAGE, YEAR_WORD, HIJRI, CYCLICAL_WORD),
        *(NUMBER, ROMAN, DECADE, SHORT_DECADE, NUMERIC_DATE, OPEN, QUERY, TILDE, HAN),
    }
)
"""Senses of tokens at which a statement may begin, names of periods apart."""
_CORE = frozenset(
    {
        *(ORDINAL, CENTURY, HUNDREDS, TURN, MONTH, SEASON, HIJRI, CYCLICAL_WORD),
        *(NUMBER, ROMAN, DECADE, SHORT_DECADE, NUMERIC_DATE, HAN, KIND, ERA),
    }
)
"""Senses of tokens of which a date must hold one, names of periods apart."""
_FILLING = frozenset({FILLER, AND, OR, TO})


class DateReading(NamedTuple):
    """The dates and questions of a text, without the account of what was not read."""

    statements: tuple[Attribution, ...] = ()
    questions: tuple[Question, ...] = ()


def read_dates(text: str, tables: Tables, *, context: Sequence[str] = ()) -> Understood:
    """Every date statement in a running text, read cautiously.

    A number is a year only where nothing speaks against it; a name that is also an ordinary word
    is a period only beside 'period', 'dynasty' and the like. Statements are attributions of date
    and, for named periods and reigns, of period, with the same span. `context` are other words of
    the record ('China', 'Qing dynasty'), which may decide what two readings leave open.

    Never raises, whatever the text; linear in its length.
    """
    tokens, found = _all(text, lore_of(tables), permissive=False, context=context)
    return _understood(text, tokens, found)


def dates_in(text: str, tables: Tables) -> DateReading:
    """As `read_dates`, for readers that keep account of the words themselves."""
    tokens, found = _all(text, lore_of(tables), permissive=False, context=())
    return _stated(text, tokens, found)[0]


def read_date_cell(text: str, tables: Tables, *, context: Sequence[str] = ()) -> Understood:
    """The date statements of a text that is meant to be a date (a column 'Date').

    Where all of it can be read by freer rules ('900-1300', 'late 40s', '18th') these hold;
    otherwise it is read as `read_dates` reads a running text.
    """
    lore = lore_of(tables)
    tokens, found = _all(text, lore, permissive=True, context=context)
    if not found or _rest(text, tokens, found):
        return read_dates(text, tables, context=context)
    return _understood(text, tokens, found)


def claimed_date(text: str, tables: Tables, *, context: Sequence[str] = ()) -> Date | None:
    """The date that the words or characters of a mark lay claim to, whatever they are worth.

    '大清乾隆年製' claims 1736 to 1795. For `Mark.claims`; never a date of the piece.
    """
    return _claimed(text, tables, tuple(context))


@functools.lru_cache(maxsize=4096)
def _claimed(text: str, tables: Tables, context: tuple[str, ...]) -> Date | None:
    """As `claimed_date`; the few reigns that marks claim come again and again."""
    lore = lore_of(tables)
    for made in ("年製", "年制", "年造", "製", "制", "造"):
        text = text.replace(made, " ")
    _, found = _all(text, lore, permissive=True, context=context)
    dates = [date for one in found if one.read and (date := _date(one)) is not None]
    return narrowest(dates)


def _all(
    text: str, lore: Lore, *, permissive: bool, context: Sequence[str]
) -> tuple[list[Token], list[Found]]:
    tokens, nearness = mended(
        divided(spelled_years(tokenise(text, lore.lexicon), lore.spelled), lore),
        lore,
        everywhere=permissive and len(text) <= LONGEST_DATE,
    )
    words = frozenset(fold(word) for words in context[:LONGEST_CONTEXT] for word in words.split())
    scan = Scan(text, tokens, lore, permissive, words)
    before_a_kind = _before_a_kind(tokens)
    last_core = _last_core(tokens, lore)
    found: list[Found] = []
    index = 0
    while index <= last_core:
        if not _may_begin(scan, index, before_a_kind):
            index += 1
            continue
        made = statement(scan, index)
        if made is None:
            index += 1
            continue
        one, end = made
        if one is not None:
            if nearness:
                _lower_confidence(one, nearness)
            found.append(one)
            scan.before_our_era = scan.before_our_era or (one.last is not None and one.last < 1)
        index = max(end, index + 1)
    decide(found)
    return tokens, found


def _lower_confidence(one: Found, nearness: Mapping[int, float]) -> None:
    """Let what was misspelt within a statement lower its confidence, once for each word."""
    for index, near in nearness.items():
        if one.start <= index < one.end:
            one.confidence = f"{float(one.confidence) * near:.2f}"
            one.rule = f"{one.rule}, misspelt"
            if near <= SLIP_OF_A_FIGURE:
                one.certainty = weaker(one.certainty, Certainty.PROBABLE)
                one.edtf = edtf.expressible(edtf.doubted(one.edtf, one.certainty))


def _last_core(tokens: list[Token], lore: Lore) -> int:
    """The last token that may be a date by itself: behind it no statement can begin.

    A text without one (most titles) has no date at all.
    """
    for index in range(len(tokens) - 1, -1, -1):
        token = tokens[index]
        if token.senses and not _CORE.isdisjoint(token.senses):
            return index
        if token.folded:
            head = token.folded.split(" ", 1)[0]
            if lore.periods.begins(head) or lore.cycle_names.begins(head):
                return index
            if not token.senses and index + 1 < len(tokens) and tokens[index + 1].senses:
                after = tokens[index + 1].senses
                if KIND in after or MARK in after:
                    return index
    return -1


def _before_a_kind(tokens: list[Token]) -> frozenset[int]:
    """The tokens soon after which 'period', 'mark' or the like stands, so that a name may begin."""
    return frozenset(
        before
        for index, token in enumerate(tokens)
        if token.senses and (KIND in token.senses or MARK in token.senses)
        for before in range(index - MOST_OF_A_NAME, index)
    )


def _may_begin(scan: Scan, index: int, before_a_kind: frozenset[int]) -> bool:
    """Whether a date may begin at a token at all; most words of a caption are passed by this."""
    token = scan.tokens[index]
    if token.senses:
        if not _BEGIN.isdisjoint(token.senses):
            return True
        if not token.folded:
            return False
    elif not token.folded:
        return False
    head = token.folded.split(" ", 1)[0] if " " in token.folded else token.folded
    if scan.lore.periods.begins(head) or scan.lore.cycle_names.begins(head):
        return True
    return not token.senses and index in before_a_kind


def _rest(text: str, tokens: list[Token], found: list[Found]) -> list[Span]:
    """Spans of words that no statement took, but for filler and punctuation."""
    spans: list[Span] = []
    position = 0
    for first, last in [(one.start, one.end) for one in found] + [(len(tokens), len(tokens))]:
        index = position
        while index < first:
            if _says_something(text, tokens[index]):
                stop = first
                while not _says_something(text, tokens[stop - 1]):
                    stop -= 1
                spans.append(Span(start=tokens[index].start, end=tokens[stop - 1].end))
                break
            index += 1
        position = last
    return spans


def _says_something(text: str, token: Token) -> bool:
    if not _FILLING.isdisjoint(token.senses):
        return False
    return bool(token.folded) or any(c.isalnum() for c in text[token.start : token.end])


def _date(one: Found) -> Date | None:
    if one.first is not None and one.last is not None and one.first > one.last:
        return None
    return Date(edtf=one.edtf, earliest=one.first, latest=one.last, convention=one.convention)


def _stated(text: str, tokens: list[Token], found: list[Found]) -> tuple[DateReading, list[Found]]:
    """The statements and questions that what was found makes, and what made any."""
    statements: list[Attribution] = []
    questions: list[Question] = []
    taken: list[Found] = []
    for one in found:
        start, end = tokens[one.start].start, tokens[one.end - 1].end
        made = _attributions(text, one, start, end)
        if one.asks:
            questions.append(_question(text, one, start, end))
        if made or one.asks:
            statements.extend(made)
            taken.append(one)
    return DateReading(tuple(statements), tuple(questions)), taken


def _understood(text: str, tokens: list[Token], found: list[Found]) -> Understood:
    stated, taken = _stated(text, tokens, found)
    unread = _rest(text, tokens, taken)
    if not stated.statements and not stated.questions and unread:
        unread = [span for span in unread if not _says_undated(text, tokens, span)]
    return Understood(
        text=text,
        statements=stated.statements,
        unread=tuple(unread),
        questions=stated.questions,
    )


def _says_undated(text: str, tokens: list[Token], span: Span) -> bool:
    """'n.d.', 'undated': understood, though there is nothing to state."""
    within = [t for t in tokens if t.start >= span.start and t.end <= span.end]
    return all(NO_DATE in t.senses or not _says_something(text, t) for t in within)


def _attributions(text: str, one: Found, start: int, end: int) -> list[Attribution]:
    if not one.read:
        return []
    date = _date(one)
    if date is None:
        return []
    reading = Reading(rule=one.rule, confidence=one.confidence, start=start, end=end)
    words = text[start:end]
    made = [
        Attribution(
            aspect=Aspect.DATE,
            date=date,
            as_stated=words,
            certainty=one.certainty,
            ground=one.ground,
            reading=reading,
        )
    ]
    made.extend(_period(row, words, one.certainty, reading) for row in one.rows)
    return made


def _period(row: PeriodRow, words: str, certainty: Certainty, reading: Reading) -> Attribution:
    return Attribution(
        aspect=Aspect.PERIOD,
        term=Term(label=row.label, vocabulary=row.vocabulary, code=row.kind),
        as_stated=words,
        certainty=certainty,
        reading=reading,
    )


def _question(text: str, one: Found, start: int, end: int) -> Question:
    reading = Reading(rule=one.rule, confidence="0.5", start=start, end=end)
    readings = tuple(
        (
            Attribution(
                aspect=Aspect.DATE,
                date=Date(edtf=notation, earliest=first, latest=last),
                as_stated=text[start:end],
                reading=reading,
            ),
        )
        for notation, first, last in one.alternatives
    )
    return Question(span=Span(start=start, end=end), asks=one.asks, readings=readings)
