"""One event's words into its kind, its parties with their roles, place, dates and numbers."""

from __future__ import annotations

import functools
import re
from typing import NamedTuple

from archivist.model.base import Certainty
from archivist.model.provenance import EventKind
from archivist.reading.level import either, level
from archivist.reading.moments import EventDate, date_of, find_dates
from archivist.reading.provenance.naming import (
    BRACKET,
    EDGES,
    SHORTEST_LIFE,
    Event,
    Holder,
    is_house,
    name_words,
    take_name,
    trimmed,
)
from archivist.reading.provenance.relations import is_pronoun
from archivist.reading.sums import without_sums
from archivist.reading.tables import Tables
from archivist.reading.towns import is_town
from archivist.reading.words import Lexicon, Words, fold

_NOTE_REF = re.compile(r"\s*[\[{(](\d{1,2})[\]})]\.?")
_LOT = re.compile(
    r",?\s*\b(?:group\s+)?(?:lots?|los|kavel|lotto|lote|Lot-Nr|Los-Nr)\.?,?\s+(?:(?:nos?|nr)\.?\s*|n[°º]\s*)?(\d[\w/-]*|[A-Z]+\d[\w/-]*)",
    re.IGNORECASE,
)
_NUMBER = re.compile(
    r",?\s*\b(?:(?:stock|inventory|inv\.?|sale|cat\.?|label)\s+)?"
    r"(?:nos?\.\s*|nr\.\s*|n[°º]\s*|núm\.\s*|number\s+|no\s+(?=\d))([\w](?:[\w./-]*\w)?)|,?\s*\bsale\s+(?=[A-Z]*\d{3,})([A-Z]*\d[\w-]*)",
    re.IGNORECASE,
)
_BRACKETED_DATE = re.compile(
    r"(?:[^\W\d_]+\.? )?(?:\d{1,2}\.?,? )?(?:[^\W\d_]+\.? )?\d{4}s?$|\d{1,2}/\d{1,2}/\d{2,4}$"
)
_YEARS = re.compile(r"(\d{4})\s*[-–]\s*(\d{2}|\d{4})$")
_QUESTION = re.compile(r"\s*(?:\(\?\)|\[\?\]|\?)\s*$|\(\?\)|\[\?\]")
_DOUBTED = re.compile(r"\(\?\)|\[\?\]")
_ACCORDING = re.compile(
    r"(?:according to|laut|selon|d'apres|secondo|segun|volgens)\s+[^,;:]{3,60}[,:]\s*"
)
_PARTICLES = frozenset({"van", "von", "de", "di", "da", "du", "del", "a", "en", "in"})
_ADJOINING = frozenset({"of", "bei", "chez", "presso", "bij", "aupres de"})
"""Words for a giver only right after the word of an event: 'erworben bei', not 'Dorf bei Graz'."""
HOUSE = "house"
"""The role of words right after 'sold' or 'bought': a house that acted, else the receiver."""
_FIRST = 60
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
    text = trimmed(_without_heading(words, tables), tables)
    has_digit = _DIGIT.search(text) is not None
    if has_digit:
        text = trimmed(without_sums(_take_notes(text, event), tables), tables)
    if "?" in text and _QUESTION.search(text):
        text = _DOUBTED.sub(" ", _QUESTION.sub("", text))
        event.certainty = Certainty.POSSIBLE
    text, outcome = _take_outcome(text, tables)
    text, whole = _whole_bracket(text)
    if has_digit:
        text = _take_numbers(text, event)
        text = _take_dates(text, event, tables)
    text = _take_report(_take_opening(text, event, tables), event, tables)
    text, subject = _take_subject(text, tables)
    _take_phrases(text, event, tables, whole, subject)
    if outcome is not None:
        _came_to_nothing(event, outcome)
    return event


@functools.lru_cache(maxsize=8)
def _outcomes(tables: Tables) -> tuple[re.Pattern[str], dict[str, EventKind]]:
    kinds = {level(n): EventKind(r.label) for r in tables.terms("outcome") for n in r.variants}
    edge = r"(?:^|[,(\[;:]|(?<=\d)\s)\s*(?:(?:but|lot|and|probably|was|it was)\s+){0,4}"
    return re.compile(rf"{edge}({either(kinds)})\s*[)\]]?\s*(?=[,.;:(]|$)"), kinds


def _take_outcome(text: str, tables: Tables) -> tuple[str, EventKind | None]:
    """Words that a piece was put up and not sold, cut out of the text: 'unsold', 'withdrawn'."""
    pattern, kinds = _outcomes(tables)
    found = pattern.search(level(text))
    if found is None:
        return text, None
    kind = kinds[" ".join(found.group(1).split())]
    return text[: found.start()] + "," + text[found.end() :], kind


def _came_to_nothing(event: Event, outcome: EventKind) -> None:
    """Nobody received a piece that was not sold; whoever is named without a role put it up."""
    holder = event.holders.pop("receiver", None)
    if holder is not None:
        event.holders.setdefault("agent", holder)
    event.kind, event.rule = outcome, outcome.value


@functools.lru_cache(maxsize=8)
def _openings(tables: Tables) -> tuple[re.Pattern[str], re.Pattern[str]]:
    names = either(n for row in tables.terms("opening") for n in row.variants)
    whom = r"(?:from|by|of|through)\s+(?:whom|which)\s+(?:it\s+)?(?:was\s+|had\s+been\s+)?"
    return re.compile(rf"(?:(?:{names})(?![^\W_])[\s,]*)+"), re.compile(whom)


def _take_opening(text: str, event: Event, tables: Tables) -> str:
    """The text without 'it was then', and without 'from whom', which names the giver."""
    openings, whom = _openings(tables)
    plain = level(text)
    found = openings.match(plain)
    start = found.end() if found is not None and found.end() < len(text) else 0
    if (named := whom.match(plain, start)) is not None:
        event.holders["giver"] = Holder(pronoun=True)
        return text[named.end() :]
    if (later := whom.search(plain, start)) is not None and text[: later.start()].rstrip()[
        -1:
    ] == ",":
        take_name("giver", text[start : later.start()], event, tables)
        return text[later.end() :]
    return text[start:]


def _without_heading(words: str, tables: Tables) -> str:
    _, _, headings = name_words(tables)
    if ":" not in words:
        return words
    head, colon, rest = words.partition(":")
    return rest if colon and fold(head.strip()) in headings else words


def _take_notes(text: str, event: Event) -> str:
    event.notes = tuple(m.group(1) for m in _NOTE_REF.finditer(text))
    return _NOTE_REF.sub(" ", text) if event.notes else text


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
        stay = _BRACKETED_DATE.match(inner) or _is_short(inner)
        if stay and (date := date_of(inner, tables)) is not None:
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


def _is_short(inner: str) -> bool:
    """Whether years in brackets are fewer than a life has: '(1936-50)'."""
    years = _YEARS.match(inner)
    if years is None:
        return False
    first, last = int(years[1]), int(years[1][: 4 - len(years[2])] + years[2])
    return 0 <= last - first < SHORTEST_LIFE


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
    cues = []
    for found in phrases(tables).find(words.folded):
        last = found.end - 1
        if (
            last > found.first
            and words.folded[last] in _PARTICLES
            and text[words.starts[last]].isupper()
        ):
            last -= 1  # 'Collectie Van Aerden': what is in capitals is of the name
        cues.append(_Cue(found.entry, words.starts[found.first], words.ends[last]))
    return cues


@functools.lru_cache(maxsize=8)
def _reported(tables: Tables) -> re.Pattern[str]:
    names = either(n for row in tables.terms("reported") for n in row.variants)
    return re.compile(rf"(?:{names})(?![^\W_])[\s,:]*(?:been\s+)?")


def _take_report(text: str, event: Event, tables: Tables) -> str:
    """The text without 'said to have', which makes what follows less than certain."""
    plain = level(text)
    found = _ACCORDING.match(plain) or _reported(tables).match(plain)
    if found is None or found.end() >= len(text):
        return text
    event.certainty = Certainty.PROBABLE
    event.ground = text[: found.end()].strip(EDGES)
    return text[found.end() :]


@functools.lru_cache(maxsize=8)
def _subjects(tables: Tables) -> tuple[re.Pattern[str], dict[str, str]]:
    labels = {level(n): r.label for r in tables.terms("grammatical person") for n in r.variants}
    return re.compile(rf"({either(labels)})(?:\s+|(?<='))(?=\S)"), labels


def _take_subject(text: str, tables: Tables) -> tuple[str, str]:
    """The text without the pronoun that a sentence begins with, and which person it is in."""
    pattern, labels = _subjects(tables)
    found = pattern.match(level(text))
    if found is None:
        return text, ""
    rest = text[found.end() :]
    words = Words(rest[:_FIRST])
    first = phrases(tables).match(words.folded, 0) if len(words) else None
    if first is None or first.entry.role != "event":
        return text, ""
    return rest, labels[found.group(1)]


class _Reader:
    """The words of one event from left to right: whose role each stretch between cues is in."""

    def __init__(self, text: str, event: Event, cues: list[_Cue], whole: bool) -> None:
        self.text = text
        self.event = event
        self.cues = cues
        self.whole = whole
        self.role = "agent" if whole else "receiver"
        self.by = "receiver"
        self.named = False
        self.position = 0
        self.pieces: list[tuple[str, str]] = []

    def read(self) -> list[tuple[str, str]]:
        """The stretches of words with their roles."""
        for cue in self.cues:
            before = self.text[self.position : cue.start]
            if cue.phrase.role == "event":
                self._event(cue, before)
            elif cue.phrase.role == "at auction":
                self._at_auction(cue, before)
            elif cue.phrase.role in ("receiver", "giver", "by", "agent"):
                self._role(cue, before)
        self.pieces.append((self.role, self.text[self.position :]))
        return self.pieces

    def _event(self, cue: _Cue, before: str) -> None:
        clean = before.strip(EDGES)
        at_comma = not clean or before.rstrip().endswith((",", ":"))
        after = self.text[cue.end :]
        alone = not after.strip(EDGES) or after.lstrip().startswith(",")
        follows = any(cue.end <= other.start <= cue.end + 1 for other in self.cues)
        if not at_comma or (self.named and not follows and not alone):
            return
        self.pieces.append((self.role, before))
        event = self.event
        if not self.named:
            event.kind, self.by = cue.phrase.kind, cue.phrase.by or "receiver"
            gives = bool(clean) and self.by == "giver" and not self.whole
            received = cue.phrase.after == "receiver" or any(
                c.phrase.role == "receiver" for c in self.cues if c.start >= cue.end
            )
            own = level(self.text[cue.start : cue.end]).startswith(("his ", "her ", "their "))
            sold = cue.phrase.kind in (EventKind.SALE, EventKind.AUCTION)
            if gives and (received or own or sold):
                self.pieces[-1] = ("giver", before)
            elif own and not clean and self.by == "giver":
                event.holders.setdefault("giver", Holder(pronoun=True))
            event.rule = event.kind.value
            self.named = True
        after_sale = HOUSE if event.kind is EventKind.SALE else "receiver"
        self.role = cue.phrase.after or ("agent" if self.whole else after_sale)
        self.position = cue.end

    def _at_auction(self, cue: _Cue, before: str) -> None:
        if self.named and not before.strip(EDGES):
            return
        self.pieces.append((self.role, before))
        event = self.event
        if event.kind not in (EventKind.OFFER, EventKind.WITHDRAWAL):
            event.kind, event.rule = EventKind.AUCTION, "auction"
        self.role, self.named = "agent", True
        self.position = cue.end

    def _role(self, cue: _Cue, before: str) -> None:
        clean = before.strip(EDGES)
        at_comma = not clean or before.rstrip().endswith((",", ":"))
        word = level(self.text[cue.start : cue.end])
        through = cue.phrase.role == "agent" and word != "with"
        if not (self.named or at_comma or through) or (clean and not self.named and not through):
            return
        if not self.text[cue.end :].strip(EDGES):
            return
        if cue.phrase.role == "giver" and clean and word in _ADJOINING:
            return
        if cue.phrase.role == "giver" and word == "from" and "giver" in self.event.holders:
            return
        self.pieces.append((self.role, before))
        self.role = self.by if cue.phrase.role == "by" else cue.phrase.role
        onward = any(c.phrase.role == "receiver" for c in self.cues if c.start >= cue.end)
        if cue.phrase.role == "by" and not self.named and onward:
            self.role = "giver"
        if not self.named:
            held = cue.phrase.role == "agent" and not clean
            self.event.kind = EventKind.STAY if held and word == "with" else EventKind.TRANSFER
            self.event.rule = "passage"
            self.named = True
        self.position = cue.end


def _take_phrases(text: str, event: Event, tables: Tables, whole: bool, subject: str = "") -> None:
    """Hedges, the event's own word, and the names between the words for their roles."""
    cues = _cues(text, tables)
    while cues and cues[0].phrase.role == "hedge" and not text[: cues[0].start].strip(EDGES):
        event.certainty = cues[0].phrase.certainty
        text = text[cues[0].end :].lstrip(EDGES)
        if not whole:
            text, whole = _whole_bracket(text)
        cues = _cues(text, tables)
    reader = _Reader(text, event, cues, whole)
    for role, words in _without_pronoun(reader.read(), tables):
        if role == HOUSE:
            role = _role_after_sale(words, reader.by, tables)
        if role:
            take_name(role, words, event, tables)
    if subject == "third":
        event.holders.setdefault(reader.by, Holder(pronoun=True))
    _with_a_lot(event, tables)
    if whole and event.kind is EventKind.STAY and (event.lot or _is_auction(event)):
        event.kind = EventKind.AUCTION
        event.rule = "bracketed sale with a lot"


def _role_after_sale(words: str, by: str, tables: Tables) -> str:
    """What whoever is named right after 'sold' or 'bought' did, '' where it cannot be told:
    'bought Hull 1931' may be from whom or where, and is certainly by nobody of that name."""
    first = trimmed(words, tables).partition(",")[0]
    if is_house(first, tables):
        return "agent"
    adjoining = by == "receiver" and words[:1].isspace() and first[:1].isupper()
    if not adjoining or not words.strip(EDGES) or words.lstrip(" ")[:1] == ",":
        return "receiver"
    if is_town(first, tables):
        return "receiver"
    return "giver" if len(first.split()) > 1 else ""


def _with_a_lot(event: Event, tables: Tables) -> None:
    """A house with a lot sold the piece, and was no owner: 'Brand's, London, 1963, lot 14'."""
    holder = event.holders.get("receiver")
    if event.kind is not EventKind.STAY or not event.lot or holder is None:
        return
    if len(event.holders) == 1 and is_house(holder.name, tables):
        event.holders = {"agent": holder}
        event.kind, event.rule = EventKind.AUCTION, "house with a lot"


def _without_pronoun(pieces: list[tuple[str, str]], tables: Tables) -> list[tuple[str, str]]:
    """'Marr, purchased from him by Voss': who is named first is the giver that 'him' stands for."""
    received = [
        at
        for at, (role, words) in enumerate(pieces)
        if role in ("receiver", HOUSE) and words.strip(EDGES)
    ]
    for at, (role, words) in enumerate(pieces):
        if role == "giver" and len(received) > 1 and is_pronoun(words.strip(EDGES), tables):
            named = ("giver", pieces[received[0]][1])
            kept = [p for i, p in enumerate(pieces) if i not in (at, received[0])]
            return [named, *kept]
    return pieces


def _is_auction(event: Event) -> bool:
    agent = event.holders.get("agent")
    return agent is not None and "auction" in fold(agent.name)
