"""The recurring small structures of Linked Art: names, statements, time-spans, dimensions."""

from __future__ import annotations

import calendar
import math
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from archivist import wording
from archivist.hooks import Piece
from archivist.model import Basis, Certainty, Date, Measurement, PartyKind
from archivist_plugins.dates import calendar_date
from archivist_plugins.linked_art import vocabulary as v
from archivist_plugins.linked_art.vocabulary import Concept, Vocabulary

Resource = dict[str, Any]

CONTEXT = "https://linked.art/ns/v1/linked-art.json"


def without_empty(resource: Resource) -> Resource:
    """The same without what is empty: Linked Art leaves out what there is not."""
    return {key: value for key, value in resource.items() if value not in (None, "", [], {})}


def name(terms: Vocabulary, words: str, kind: Concept, language: str = "") -> Resource:
    """A name; the language is said where it is English."""
    english = language.split("-")[0].casefold() == "en"
    return without_empty(
        {
            "type": "Name",
            "content": words,
            "classified_as": [terms.of(kind)],
            "language": [terms.of(v.ENGLISH, "Language")] if english else [],
        }
    )


def identifier(terms: Vocabulary, value: str, kind: Concept, label: str = "") -> Resource:
    """An identifier of a kind."""
    made = {"type": "Identifier", "_label": label, "content": value}
    return without_empty({**made, "classified_as": [terms.of(kind)]})


def statement(terms: Vocabulary, words: str, kind: Concept, heading: str = "") -> Resource:
    """Words about something, of a kind, told to be a brief text."""
    brief = [terms.of(v.BRIEF_TEXT)]
    made = {"type": "LinguisticObject", "_label": heading, "content": words}
    return without_empty({**made, "classified_as": [terms.of(kind, classified_as=brief)]})


def time_span(
    terms: Vocabulary, words: str, date: Date | None, until: Date | None = None
) -> Resource:
    """A time-span: its words, and the moments it lies between; {} where nothing is known."""
    begins = _moment(date, first=True)
    ends = _moment(until or date, first=False)
    if not words and not begins and not ends:
        return {}
    return without_empty(
        {
            "type": "TimeSpan",
            "identified_by": [name(terms, words, v.DISPLAY_NAME)] if words else [],
            "begin_of_the_begin": begins,
            "end_of_the_end": ends,
        }
    )


def _moment(date: Date | None, *, first: bool) -> str:
    """The first or last second of a date (RFC 3339, which has the years 1 to 9999); '' for none."""
    year = None if date is None else date.earliest if first else date.latest
    if date is None or year is None or not 1 <= year <= 9999:
        return ""
    month, day = (1, 1) if first else (12, 31)
    known = [int(part) for part in calendar_date(date).split("-")[1:]]
    if known:
        month = known[0]
        day = 1 if first else calendar.monthrange(year, month)[1]
    if len(known) > 1:
        day = known[1]
    clock = "00:00:00" if first else "23:59:59"
    return f"{year:04d}-{month:02d}-{day:02d}T{clock}Z"


def dimension(terms: Vocabulary, piece: Piece, size: Measurement) -> Resource:
    """A size as a number; {} where it is too large to be one.

    A range has a middle value between its limits, since the standard asks for one value.
    """
    low, high = Decimal(size.low), Decimal(size.high)
    numbers = [float(n) for n in ((low + high) / 2, low, high)]
    if not all(math.isfinite(number) for number in numbers):
        return {}
    words = wording.with_caveats(piece, wording.measurement_shown(size), size)
    kind = v.DIMENSIONS.get(size.dimension)
    unit = v.UNITS.get(size.unit)
    known = "" if size.basis is Basis.UNSTATED else size.basis.value
    span = low != high
    said = {
        "type": "AttributeAssignment",
        "classified_as": certainty(terms, size.certainty)
        + ([terms.own("basis", known)] if known else []),
        "carried_out_by": parties(terms, piece, [size.who]),
    }
    return without_empty(
        {
            "type": "Dimension",
            "_label": words,
            "identified_by": [name(terms, words, v.DISPLAY_NAME)],
            "classified_as": [
                terms.of(kind) if kind else terms.own("dimension", size.dimension.value),
                *([terms.own("measurement", "approximate")] if size.approximate else []),
                *(terms.own("part", part) for part in (size.part, size.which) if part),
            ],
            "value": numbers[0],
            "lower_value_limit": numbers[1] if span else None,
            "upper_value_limit": numbers[2] if span else None,
            "unit": terms.of(unit, "MeasurementUnit")
            if unit
            else terms.own("unit", size.unit.value, "MeasurementUnit"),
            "assigned_by": [without_empty(said)] if any(list(said.values())[1:]) else [],
        }
    )


def certainty(terms: Vocabulary, said: Certainty) -> list[Resource]:
    """How sure somebody is, as what classifies their saying so; nothing for what is certain."""
    if said is Certainty.CERTAIN:
        return []
    known = v.CERTAINTIES.get(said)
    return [terms.of(known) if known else terms.own("certainty", said.value)]


def parties(terms: Vocabulary, piece: Piece, ids: Iterable[str]) -> list[Resource]:
    """References to parties, each as this audience may know it; who is not known is a group."""
    found = []
    for party_id in ids:
        if party_id:
            party = piece.party(party_id)
            person = party is not None and party.kind is PartyKind.PERSON
            found.append(
                {
                    "id": terms.address("parties", party_id),
                    "type": "Person" if person else "Group",
                    "_label": wording.party_name(piece, party_id),
                }
            )
    return found
