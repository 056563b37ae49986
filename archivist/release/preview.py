"""What an audience would see of a piece and what not, told to the owner; nothing is made."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import msgspec

from archivist.catalogue.entities import party_ids
from archivist.model import (
    Certainty,
    Depiction,
    Note,
    ObjectRecord,
    Party,
    Relation,
    Statement,
    Value,
)
from archivist.release.disclosure import (
    NOTES,
    OPINIONS,
    OWNERS_ALONE,
    PRIVATE_PARTY,
    REJECTED,
    RELATIONS,
    SECTIONS,
    STATEMENT,
    VIEWS,
    table,
)
from archivist.release.pictures import shown_by_preview
from archivist.release.pieces import Discloser, Sight, Stays
from archivist.wording.note_topics import topic_of


@dataclass(frozen=True)
class Line:
    """One thing that is known: `where` it stands, the `field` of the table that rules over it.

    `words` are what the owner sees, `seen` what the audience would; None where it sees nothing.
    """

    where: str
    field: str
    words: str
    seen: str | None


@dataclass(frozen=True)
class Preview:
    """What would be seen of a piece, of the parties it names, of its photographs and history.

    `doubtful` are lines that are seen and hold a surname of somebody who may not be named, where
    nothing says whether the person is meant; their `words` are those surnames.
    """

    record: tuple[Line, ...]
    parties: tuple[Line, ...]
    photographs: tuple[Line, ...]
    never: tuple[str, ...]
    doubtful: tuple[Line, ...] = ()


def preview(discloser: Discloser, record: ObjectRecord) -> Preview:
    """What the audience of `discloser` would see of `record`.

    Raises:
        SettingsError: where an override of the piece cannot be kept to.
    """
    sight = discloser.sight(record)
    closed = () if sight.disclosure.everything else _owners_alone()
    of_record = tuple(_lines(record, sight, "", ""))
    photographs = tuple(_photographs(discloser, record, sight))
    return Preview(
        of_record,
        tuple(_parties(discloser, record, sight)),
        photographs,
        closed,
        tuple(_doubtful((*of_record, *photographs), sight)),
    )


def _doubtful(lines: Iterable[Line], sight: Sight) -> Iterator[Line]:
    for line in lines:
        if line.seen and sight.scrubber:
            names = sight.scrubber.doubtful(line.words)
            if names:
                yield Line(line.where, line.field, ", ".join(names), line.seen)


def _owners_alone() -> tuple[str, ...]:
    sections = sorted(OWNERS_ALONE, reverse=True)
    return tuple(f"{section}.{field}" for section in sections for field in table()[section])


def _lines(value: Value, sight: Sight, where: str, ruled: str) -> Iterator[Line]:
    """A line for each thing that `value` says; `ruled` is the field by whose rule it came here."""
    rule = sight.disclosure
    for info in msgspec.structs.fields(type(value)):
        held = getattr(value, info.name)
        if not held or (not info.required and held == info.default):
            continue
        place = f"{where} {info.name}".strip().replace("_", " ")
        field = _field_name(value, info.name, ruled)
        if not rule.field_shown(value, info.name):
            if info.name == NOTES:
                yield from _notes_by_heading(held, sight, place)
                held = tuple(note for note in held if not rule.note_shown(note))
            if held:
                yield Line(place, field, in_short(held) or info.name, None)
        elif isinstance(held, Value):
            yield from _lines(held, sight, place, field)
        elif isinstance(held, tuple) and isinstance(held[0], Value):
            kept = rule.kept(held)
            for number, item in enumerate(held, start=1):
                if item in kept:
                    yield from _lines(item, sight, f"{place} {number}", field)
                else:
                    yield Line(f"{place} {number}", _why_left_out(item), in_short(item), None)
        else:
            words = in_short(held)
            yield Line(
                place, field, words, sight.scrubber.words(words) if sight.scrubber else words
            )


def _notes_by_heading(notes: tuple[Note, ...], sight: Sight, place: str) -> Iterator[Line]:
    """The notes that are seen although notes are not."""
    for number, note in enumerate(notes, start=1):
        if sight.disclosure.note_shown(note):
            yield from _lines(note, sight, f"{place} {number}", f"{NOTES}.{topic_of(note)}")


def _field_name(value: Value, name: str, ruled: str) -> str:
    """The field as the table names it."""
    section = SECTIONS.get(type(value), "")
    if section and name in table()[section]:
        return f"{section}.{name}"
    if isinstance(value, Statement) and name in table()[STATEMENT]:
        return f"{STATEMENT}.{name}"
    return ruled


def _why_left_out(item: Value) -> str:
    if isinstance(item, Statement) and item.private:
        return "private"
    if isinstance(item, Relation) and item.certainty is not Certainty.REJECTED:
        return f"{RELATIONS}.{item.kind}"
    return f"{OPINIONS}.{REJECTED}"


def _parties(discloser: Discloser, record: ObjectRecord, sight: Sight) -> Iterator[Line]:
    pictures = discloser.depictions(record)
    named = party_ids(record).union(*(party_ids(photograph) for photograph, _, _ in pictures))
    told = party_ids(sight.seen(record)).union(
        *(party_ids(sight.photograph(p, record.id)) for p, _, stays in pictures if stays is None)
    )
    for party_id in sorted(named):
        party = discloser.archive.catalogue.sound(party_id, Party)
        if party is None:
            continue
        section = PRIVATE_PARTY if party.private else SECTIONS[Party]
        seen = sight.disclosure.party(party)
        for name in ("name", "also_known_as", "life", "place", "address", "contact", "note"):
            words = in_short(getattr(party, name))
            if words:
                shown = in_short(getattr(seen, name)) if party_id in told else ""
                yield Line(f"{party.name}: {name}", f"{section}.{name}", words, shown or None)


def _photographs(discloser: Discloser, record: ObjectRecord, sight: Sight) -> Iterator[Line]:
    for photograph, depiction, stays in discloser.depictions(record):
        place = f"photograph {photograph.sha256[:12]}"
        words = depiction.view.value
        if depiction.caption:
            words = f"{words}: {depiction.caption}"
        if stays is not None:
            yield Line(place, _told(stays, depiction, sight), words, None)
        elif sight.disclosure.everything:
            yield Line(place, f"{VIEWS}.{depiction.view}", words, f"{words} (the original)")
        else:
            whole = "the preview within it" if shown_by_preview(photograph) else "a clean copy"
            cut = "the piece cut out of it" if depiction.region else whole
            caption = sight.seen(depiction).caption
            seen = f"{depiction.view}: {caption}" if caption else depiction.view.value
            yield Line(place, f"{VIEWS}.{depiction.view}", words, f"{seen} ({cut})")


def _told(stays: Stays, depiction: Depiction, sight: Sight) -> str:
    """Why a photograph stays, by the field of the table where that is what rules over it."""
    if stays in _WHY:
        return _WHY[stays]
    if depiction.view.value in sight.disclosure.withheld_views:
        return f"{VIEWS}.{depiction.view}"
    return "nobody has reviewed its view"


_WHY = {
    Stays.UNDECODABLE: "cannot be decoded",
    Stays.RAW: "raw; the picture beside it is shown",
    Stays.PRIVATE: "private",
    Stays.NO_REGION: "shows several pieces, and where this one is nobody has marked",
}


_BEHIND = frozenset({"source", "reading", "private"})


def in_short(held: object) -> str:
    """The words of a value in one line, without where they came from and how they were read."""
    if isinstance(held, Value):
        fields = (
            getattr(held, info.name)
            for info in msgspec.structs.fields(type(held))
            if info.name not in _BEHIND
            and (info.required or getattr(held, info.name) != info.default)
        )
        return ", ".join(words for words in map(in_short, fields) if words)
    if isinstance(held, tuple):
        return "; ".join(words for words in map(in_short, held) if words)
    if isinstance(held, bool):
        return "yes" if held else ""
    return "" if held is None else " ".join(str(held).split())
