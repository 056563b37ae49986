"""What stands on the page of a piece, as plain values for the template; nothing is worded here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import zip_longest
from pathlib import Path

from archivist import wording
from archivist.finding.entry import short_date
from archivist.hooks import Piece, Selection
from archivist.model import (
    Basis,
    Dimension,
    Mark,
    MarkRelation,
    Measurement,
    Passage,
    Relation,
    RelationKind,
    not_rejected,
)
from archivist.wording.facts import Fact, Heading, facts
from archivist_plugins.reference_library.pictures import Picture
from archivist_plugins.reference_library.timeline import Timeline, timeline
from archivist_plugins.rights import rights_of
from archivist_plugins.titles import tagged_title

SECTIONS: dict[str, tuple[Heading, ...]] = {
    "When and where it was made": (
        Heading.DATE,
        Heading.PERIOD,
        Heading.CULTURE,
        Heading.PLACE,
        Heading.KILN,
        Heading.MAKER,
    ),
    "What it is": (
        Heading.COMPOSITION,
        Heading.FORM,
        Heading.WARE,
        Heading.MATERIAL,
        Heading.TECHNIQUE,
        Heading.GLAZE,
        Heading.COLOUR,
        Heading.DECORATION,
        Heading.SUBJECT,
    ),
    "Other opinions": (Heading.AGREES, Heading.OTHER_OPINION, Heading.REJECTED),
    "Of a part, or of a later hand": (Heading.PART,),
    "How it was made": (Heading.MAKING,),
    "What has befallen it": (
        Heading.WEAR,
        Heading.DAMAGE,
        Heading.REPAIR,
        Heading.ALTERATION,
        Heading.RESIDUE,
    ),
    "Seen, and not decided what it is": (Heading.OBSERVED,),
    "Description": (Heading.DESCRIPTION,),
    "Notes": (Heading.NOTE,),
    "Published and exhibited": (Heading.LITERATURE, Heading.EXHIBITION),
    "Also known as": (Heading.TITLE, Heading.OTHER_TITLE, Heading.OTHER_NUMBER),
}
"""Sections of headed lines; sizes, marks and provenance have forms of their own."""

LOOKS: dict[str, str] = {
    "How it was made": " made-by",
    "What has befallen it": " befallen",
    "Description": " words",
    "Notes": " words",
}
"""Sections that look different from the others."""

BASIS_WORDS: dict[Basis, str] = {
    Basis.UNSTATED: "not said",
    Basis.RECALLED: "recalled, not measured",
}

RELATION_WORDS: dict[RelationKind, str] = {
    RelationKind.PAIR_WITH: "A pair with",
    RelationKind.PART_OF: "Part of",
    RelationKind.HAS_PART: "Has as a part",
    RelationKind.COMPARE: "To be compared with",
    RelationKind.SAME_SALE: "From the same sale as",
    RelationKind.AFTER: "Made after",
}

DESCRIPTIONS: tuple[tuple[str, str], ...] = (
    ("iiif/{slug}/manifest.json", "IIIF manifest"),
    ("dublin-core/{slug}.xml", "Dublin Core"),
    ("dublin-core/{slug}.dcterms.xml", "Dublin Core, qualified"),
)
"""What other exporters may have written of a piece, and what it is called here."""


@dataclass(frozen=True)
class Line:
    """The values under one heading."""

    heading: str
    values: tuple[str, ...]


@dataclass(frozen=True)
class Section:
    """Headed lines under a title."""

    title: str
    lines: tuple[Line, ...]

    @property
    def kind(self) -> str:
        """The class of its look, with a space before it; '' for the usual one."""
        return LOOKS.get(self.title, "")


@dataclass(frozen=True)
class SizeRow:
    """One size: what was measured, as stated, in the other system, how it is known, its doubts."""

    what: str
    stated: str
    other: str
    basis: str
    recalled: bool
    remarks: str


@dataclass(frozen=True)
class MarkShown:
    """A mark: its columns in the order of reading, what is written, what is held of it."""

    columns: tuple[str, ...]
    ideographic: bool
    kind: str
    read_as: str
    meaning: str
    claim: str
    relation: str
    doubt: str
    whole: str


@dataclass(frozen=True)
class EventShown:
    """A change of hands in words, and how the next one follows from it."""

    text: str
    ends: str


@dataclass(frozen=True)
class PiecePage:
    """All of a page."""

    title: str
    language: str
    number: str
    date: str
    summary: tuple[str, ...]
    pictures: tuple[Picture, ...]
    timeline: Timeline | None
    sections: tuple[Section, ...]
    sizes: tuple[SizeRow, ...]
    marks: tuple[MarkShown, ...]
    held_date: str
    provenance: tuple[EventShown, ...]
    relations: tuple[tuple[str, str], ...]
    links: tuple[tuple[str, str], ...]
    credit: tuple[str, ...]
    rights_uri: str


def piece_page(
    piece: Piece, selection: Selection, pictures: tuple[Picture, ...], there: Mapping[str, Path]
) -> PiecePage:
    """The page of `piece`; `there` are the files that the release holds of it already."""
    record = piece.record
    lines = facts(piece)
    own = rights_of(piece, selection.archive)
    holder, credit = own.holder, own.credit
    return PiecePage(
        title=record.title or record.name,
        language=tagged_title(record, selection.archive.language).language,
        number=record.stock_number,
        date=short_date(piece),
        summary=tuple(_summary(lines)),
        pictures=pictures,
        timeline=timeline(piece),
        sections=tuple(_sections(lines)),
        sizes=tuple(_size(piece, m) for m in not_rejected(record.measurements)),
        marks=tuple(_mark(piece, mark) for mark in not_rejected(record.marks)),
        held_date=short_date(piece),
        provenance=tuple(_events(piece)),
        relations=tuple(
            (_related(piece, relation), relation.object)
            for relation in not_rejected(record.relations)
            if relation.object or relation.as_stated.strip()
        ),
        links=tuple(
            (f"../{path}", words)
            for form, words in DESCRIPTIONS
            if (path := form.format(slug=piece.slug)) in there
        ),
        credit=tuple(dict.fromkeys(filter(None, (credit, holder and f"Rights holder: {holder}"))))
        + tuple(filter(None, (own.note,))),
        rights_uri=own.uri,
    )


def _related(piece: Piece, relation: Relation) -> str:
    """How the piece stands to another, in whose words it is named, and how sure that is."""
    words = wording.listed((RELATION_WORDS[relation.kind], relation.as_stated.strip()), ": ")
    return wording.with_caveats(piece, words, relation)


def _summary(lines: Iterable[Fact]) -> Iterator[str]:
    wanted = (Heading.CULTURE, Heading.PERIOD, Heading.PLACE, Heading.KILN)
    return (fact.short for fact in lines if fact.heading in wanted)


def _sections(lines: Iterable[Fact]) -> Iterator[Section]:
    by_heading: dict[Heading, list[str]] = {}
    for fact in lines:
        by_heading.setdefault(fact.heading, []).append(fact.text)
    for title, headings in SECTIONS.items():
        found = [
            Line(heading.value, tuple(by_heading[heading]))
            for heading in headings
            if heading in by_heading
        ]
        if found:
            yield Section(title, tuple(found))


def _size(piece: Piece, measured: Measurement) -> SizeRow:
    name = "size" if measured.dimension is Dimension.UNSTATED else measured.dimension.value
    both = wording.size_shown(measured)
    stated, bracket, other = both.partition(" (")
    return SizeRow(
        what=wording.listed([measured.part, name], " "),
        stated=stated,
        other=other.rstrip(")") if bracket else "",
        basis=BASIS_WORDS.get(measured.basis, measured.basis.value),
        recalled=measured.basis is Basis.RECALLED,
        remarks=wording.listed(
            [
                measured.which,
                f"with {' and '.join(measured.includes)}" if measured.includes else "",
                wording.caveats(piece, measured),
                _words(measured.as_stated),
            ],
            "; ",
        ),
    )


def _words(as_stated: str) -> str:
    return f"stated as {wording.quoted(as_stated)}" if as_stated.strip() else ""


def _mark(piece: Piece, mark: Mark) -> MarkShown:
    claim = wording.date_shown(mark.claims, mark.claim)
    return MarkShown(
        columns=_columns(mark),
        ideographic=any(character >= "\u3000" for character in mark.characters),
        kind=wording.MARK_WORDS.get(mark.kind, mark.kind.value),
        doubt=_capital(wording.doubt(piece, mark)),
        read_as=mark.romanised,
        meaning=mark.translation,
        claim=claim,
        relation=wording.RELATION_WORDS.get(mark.relation, "")
        if mark.relation is not MarkRelation.UNSTATED
        else "",
        whole=wording.with_caveats(piece, wording.mark_shown(piece, mark), mark),
    )


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _columns(mark: Mark) -> tuple[str, ...]:
    """The columns as they are written; characters in a single line are parted as the mark says."""
    written = [column.strip() for column in mark.characters.splitlines() if column.strip()]
    if len(written) == 1 and mark.columns > 1 and len(written[0]) % mark.columns == 0:
        long = len(written[0]) // mark.columns
        written = [written[0][i : i + long] for i in range(0, len(written[0]), long)]
    return tuple(written)


def _events(piece: Piece) -> Iterator[EventShown]:
    """Provenance as it is published: a semicolon where a piece passed directly, else a full stop.

    After the American Association of Museums, Guide to Provenance Research (2001).
    """
    events = not_rejected(piece.record.provenance)
    for event, after in zip_longest(events, events[1:]):
        direct = after is not None and after.passage is Passage.DIRECT
        text = wording.with_caveats(piece, wording.event_shown(piece, event), event)
        yield EventShown(_capital(text), ";" if direct else ".")
