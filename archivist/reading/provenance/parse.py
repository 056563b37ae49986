"""One event's words into its kind, its parties with their roles, place, dates and numbers."""

from __future__ import annotations

import functools
import re
from typing import NamedTuple

from archivist.model.base import Certainty
from archivist.model.provenance import EventKind
from archivist.reading.provenance.dates import EventDate, date_of, find_dates
from archivist.reading.provenance.naming import BRACKET, EDGES, Event, name_words, take_name
from archivist.reading.tables import Tables
from archivist.reading.words import Lexicon, Words, fold

_NOTE_REF = re.compile(r"\s*[\[{(](\d{1,2})[\]})]\.?")
_LOT = re.compile(
    r",?\s*\b(?:group\s+)?lots?\.?,?\s+(?:nos?\.?\s*)?(\d[\w/-]*|[A-Z]+\d[\w/-]*)", re.IGNORECASE
)
_NUMBER = re.compile(
    r",?\s*\b(?:(?:stock|inventory|inv\.?|sale|cat\.?|label)\s+)?"
    r"(?:nos?\.\s*|number\s+|no\s+(?=\d))([\w](?:[\w./-]*\w)?)|,?\s*\bsale\s+(?=[A-Z]*\d{3,})([A-Z]*\d[\w-]*)",
    re.IGNORECASE,
)
_BRACKETED_DATE = re.compile(
    r"(?:[A-Z][a-z]+\.? )?(?:\d{1,2},? )?\d{4}s?$|\d{1,2}/\d{1,2}/\d{2,4}$"
)
_QUESTION = re.compile(r"\s*(?:\(\?\)|\[\?\]|\?)\s*$")
_DIGIT = re.compile(r"\d")


class Phrase(NamedTuple):
    """A word of the table: an event with what 'by' and what follows it mean, or a role."""

    role: str
    kind: EventKind = EventKind.STAY
    by: str = ""
    after: str = ""
    certainty: Certainty = Certainty.CERTAIN


@functools.lru_cache(maxsize=8)
def phrases(tables: Tables) -> Lexicon[Phrase]:
    """The table's events, roles and hedges as one lexicon."""
    entries: list[tuple[str, Phrase]] = []
    for row in tables.terms("event"):
        kind = EventKind(row.label)
        names = row.variants if row.more.get("print") is None else (*row.variants,)
        for name in names:
            more = row.more
            entries.append(
                (name, Phrase("event", kind, more.get("by", "receiver"), more.get("after", "")))
            )
    for row in tables.terms("role"):
        entries.extend((name, Phrase(row.label)) for name in row.variants)
    for row in tables.terms("hedge"):
        certainty = Certainty(row.more["certainty"])
        entries.extend((name, Phrase("hedge", certainty=certainty)) for name in row.names)
    entries.append(("according to", Phrase("word")))
    return Lexicon(entries)


def parse(words: str, tables: Tables) -> Event:
    """The event that `words`, one segment without its separator, tell of."""
    event = Event()
    text = _without_heading(words, tables).strip(EDGES)
    has_digit = _DIGIT.search(text) is not None
    if has_digit:
        text = _take_notes(text, event)
    if "?" in text and _QUESTION.search(text):
        text = _QUESTION.sub("", text)
        event.certainty = Certainty.POSSIBLE
    text, whole = _whole_bracket(text)
    if has_digit:
        text = _take_numbers(text, event)
        text = _take_dates(text, event, tables)
    _take_phrases(text, event, tables, whole)
    return event


def _without_heading(words: str, tables: Tables) -> str:
    _, _, headings = name_words(tables)
    if ":" not in words:
        return words
    head, colon, rest = words.partition(":")
    return rest if colon and fold(head.strip()) in headings else words


def _take_notes(text: str, event: Event) -> str:
    event.notes = tuple(m.group(1) for m in _NOTE_REF.finditer(text))
    return _NOTE_REF.sub(" ", text).strip(EDGES) if event.notes else text.strip(EDGES)


def _whole_bracket(text: str) -> tuple[str, bool]:
    """Without the round bracket around a whole event, or around all but its end."""
    lead = re.match(r"((?:\w+\s+){0,2})\(", text)
    if lead is None or lead.group(1).strip():
        return text, False
    depth = 0
    for at, character in enumerate(text):
        depth += (character == "(") - (character == ")")
        if depth == 0:
            return text[1:at] + " ," + text[at + 1 :], True
    return text, False


def _take_dates(text: str, event: Event, tables: Tables) -> str:
    """The event's first date and the end of its stay, cut out of the text."""
    for match in BRACKET.finditer(text):
        inner = (match.group(1) or "").strip()
        if _BRACKETED_DATE.match(inner) and (date := date_of(inner, tables)) is not None:
            event.when = EventDate(date, None, match.start(), match.end())
            return text[: match.start()] + "," + text[match.end() :]
    found = find_dates(_masked(text), tables)
    if not found:
        return text
    date = until = None
    for when in reversed(found):
        if (when.date is not None and date is None) or (when.until is not None and until is None):
            date, until = date or when.date, until or when.until
            text = text[: when.start] + "," + text[when.end :]
    event.when = EventDate(date, until, 0, 0)
    return text


def _take_numbers(text: str, event: Event) -> str:
    if lot := _LOT.search(text):
        event.lot = lot.group(1)
        text = text[: lot.start()] + "," + text[lot.end() :]
    if number := _NUMBER.search(text):
        event.number = number.group(1) or number.group(2)
        text = text[: number.start()] + "," + text[number.end() :]
    return text


def _masked(text: str) -> str:
    """`text` with everything in brackets blanked."""
    if "(" not in text and "[" not in text:
        return text
    return BRACKET.sub(lambda m: "_" * len(m.group()), text)


class _Cue(NamedTuple):
    phrase: Phrase
    start: int
    end: int


def _cues(text: str, tables: Tables) -> list[_Cue]:
    """The phrases of the table outside brackets, where each begins a clause of the event."""
    words = Words(_masked(text))
    return [
        _Cue(f.entry, words.starts[f.first], words.ends[f.end - 1])
        for f in phrases(tables).find(words.folded)
    ]


def _take_phrases(text: str, event: Event, tables: Tables, whole: bool) -> None:
    """Hedges, the event's own word, and the names between the words for their roles."""
    cues = _cues(text, tables)
    while cues and cues[0].phrase.role == "hedge" and not text[: cues[0].start].strip(EDGES):
        event.certainty = cues[0].phrase.certainty
        text = text[cues[0].end :].lstrip(EDGES)
        if not whole:
            text, whole = _whole_bracket(text)
        cues = _cues(text, tables)
    role = "agent" if whole else "receiver"
    by = "receiver"
    named = False
    position = 0
    pieces: list[tuple[str, str]] = []
    for cue in cues:
        before = text[position : cue.start]
        clean = before.strip(EDGES)
        at_comma = not clean or before.rstrip().endswith((",", ":"))
        if cue.phrase.role == "event":
            alone = not text[cue.end :].strip(EDGES) or text[cue.end :].lstrip().startswith(",")
            follows = any(c.start >= cue.end and c.start <= cue.end + 1 for c in cues)
            if not at_comma or (named and not follows and not alone):
                continue
            pieces.append((role, before))
            if not named:
                event.kind, by = cue.phrase.kind, cue.phrase.by or "receiver"
                gives = bool(clean) and by == "giver" and not whole
                if gives and any(c.phrase.role == "receiver" for c in cues if c.start >= cue.end):
                    pieces[-1] = ("giver", before)
                event.rule = event.kind.value
                named = True
            role = cue.phrase.after or ("agent" if whole else "receiver")
            position = cue.end
        elif cue.phrase.role == "at auction":
            if named and not clean:
                continue
            pieces.append((role, before))
            event.kind, event.rule, role, named = EventKind.AUCTION, "auction", "agent", True
            position = cue.end
        elif cue.phrase.role in ("receiver", "giver", "by", "agent"):
            through = cue.phrase.role == "agent" and text[cue.start : cue.end].lower() != "with"
            if not (named or at_comma or through) or (clean and not named and not through):
                continue
            if not text[cue.end :].strip(EDGES):
                continue
            if cue.phrase.role == "giver" and clean and text[cue.start : cue.end].lower() == "of":
                continue
            pieces.append((role, before))
            role = by if cue.phrase.role == "by" else cue.phrase.role
            if not named:
                event.kind = EventKind.TRANSFER
                event.rule = "passage"
                named = True
            position = cue.end
    pieces.append((role, text[position:]))
    for role, words in pieces:
        take_name(role, words, event, tables)
    if whole and event.kind is EventKind.STAY and (event.lot or _is_auction(event)):
        event.kind = EventKind.AUCTION
        event.rule = "bracketed sale with a lot"


def _is_auction(event: Event) -> bool:
    agent = event.holders.get("agent")
    return agent is not None and "auction" in fold(agent.name)
