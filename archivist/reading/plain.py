"""What was read, as plain data for scripts: the form that `archivist read --json` writes.

The form is stable: fields may be added, none is renamed or removed. Spans count characters of
the text as Unicode code points from 0, the end exclusive. Years are historical: 206 BCE is -206,
and there is no year 0. Numbers of measurements are exact decimal strings.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from archivist.model.base import Polarity, Statement
from archivist.model.citations import Citation
from archivist.model.dates import Date, historical_year
from archivist.model.marks import Mark
from archivist.model.measurements import Measurement
from archivist.model.observations import Observation
from archivist.model.parties import Party
from archivist.model.provenance import ProvenanceEvent
from archivist.model.records import (
    Attribution,
    AttributionRole,
    Composition,
    Feature,
    Relation,
    Title,
)
from archivist.reading.dates import overall
from archivist.reading.result import Question, ReadStatement, Understood

Plain = dict[str, Any]


def plain(understood: Understood) -> Plain:
    """The whole result: text, statements, unread spans, questions, and `overall` of the dates."""
    parties = {party.id: party for party in understood.parties}
    text = understood.text
    result: Plain = {
        "text": text,
        "statements": [plain_statement(s, parties) for s in understood.statements],
        "unread": [
            {"span": [span.start, span.end], "words": text[span.start : span.end]}
            for span in understood.unread
        ],
    }
    if understood.mentions:
        result["mentions"] = [
            {
                **plain_statement(m.statement, parties),
                **_said(of=m.of, role=m.role, why=m.why),
            }
            for m in understood.mentions
        ]
    if understood.questions:
        result["questions"] = [_question(q, text, parties) for q in understood.questions]
    if understood.composition is not None:
        result["composition"] = _composition(understood.composition)
    dates = [s for s in understood.statements if isinstance(s, Attribution) and s.date is not None]
    if len(dates) > 1 and (whole := overall(understood)) is not None:
        result["overall"] = plain_date(whole)
    return result


def plain_date(date: Date) -> Plain:
    """A date with its years as historians count them; null where an end is open."""
    return {
        "edtf": date.edtf,
        "earliest": None if date.earliest is None else historical_year(date.earliest),
        "latest": None if date.latest is None else historical_year(date.latest),
    }


def plain_statement(statement: ReadStatement, parties: Mapping[str, Party]) -> Plain:
    """One statement: what all have, then its own fields, those that say nothing left out."""
    kind, own = _own(statement, parties)
    reading = statement.reading
    result: Plain = {
        "kind": kind,
        "span": [reading.start, reading.end] if reading is not None else None,
        "rule": reading.rule if reading is not None else "",
        "confidence": reading.confidence if reading is not None else "1",
        "certainty": statement.certainty.value,
        "as_stated": statement.as_stated,
    }
    if statement.ground:
        result["ground"] = statement.ground
    result |= _standing(statement, parties)
    result.update(own)
    return result


def _standing(statement: ReadStatement, parties: Mapping[str, Party]) -> Plain:
    """Of what part, in which role, whether it is so, by whom: as far as that is not the plain
    case, that the writer says it of the piece in the role of its making."""
    part = statement.part if isinstance(statement, Attribution | Feature) else ""
    role = getattr(statement, "role", AttributionRole.MADE)
    reading = statement.reading
    polarity = reading.polarity if reading is not None else Polarity.ASSERTED
    holder = parties.get(statement.who)
    return _said(
        of=part,
        role="" if role is AttributionRole.MADE else role.value,
        standing="" if polarity is Polarity.ASSERTED else polarity.value,
        holder=holder.name if holder is not None else "",
        licence=reading.licence if reading is not None else "",
    )


def _own(statement: Statement, parties: Mapping[str, Party]) -> tuple[str, Plain]:
    match statement:
        case Attribution(date=Date() as date):
            return "date", {**plain_date(date), **_said(convention=date.convention)}
        case Attribution(term=term, aspect=aspect) if term is not None:
            return aspect.value, _term(statement)
        case Feature():
            return statement.aspect.value, _term(statement)
        case Measurement():
            return "measurement", {
                "dimension": statement.dimension.value,
                "part": statement.part,
                "low": statement.low,
                "high": statement.high,
                "unit": statement.unit.value,
                "approximate": statement.approximate,
                "basis": statement.basis.value,
                **_said(which=statement.which, includes=list(statement.includes)),
            }
        case Mark():
            return "mark", _mark(statement)
        case Observation():
            return "condition", {
                **_term(statement),
                "class": statement.kind.value,
                "part": statement.part,
                "presence": statement.presence.value,
                **_said(extent=statement.extent),
                **_said(date=plain_date(statement.date) if statement.date else None),
            }
        case ProvenanceEvent():
            return "provenance", _event(statement, parties)
        case Citation():
            return statement.kind.value, _citation(statement)
        case Relation():
            return "relation", {"relation": statement.kind.value, **_said(object=statement.object)}
        case Title():
            return "title", {"value": statement.value, **_said(language=statement.language)}
    return type(statement).__name__.lower(), {}


def _said(**fields: object) -> Plain:
    """Those of `fields` that say something."""
    return {name: value for name, value in fields.items() if value}


def _term(statement: Any) -> Plain:
    term = statement.term
    own = _said(vocabulary=term.vocabulary, code=term.code, uri=term.uri)
    return {"term": term.label, **own}


def _mark(mark: Mark) -> Plain:
    own: Plain = {
        "mark_kind": mark.kind.value,
        "script": mark.script.value,
        "legibility": mark.legibility.value,
        "relation": mark.relation.value,
    }
    own |= _said(
        characters=mark.characters,
        romanised=mark.romanised,
        translation=mark.translation,
        technique=mark.technique,
        colour=mark.colour,
        place=mark.place,
        columns=mark.columns,
        count=mark.count,
        claim=mark.claim,
    )
    if mark.claims is not None:
        own["claims"] = plain_date(mark.claims)
    return own


def _event(event: ProvenanceEvent, parties: Mapping[str, Party]) -> Plain:
    own: Plain = {"event": event.kind.value, "passage": event.passage.value}
    for role in ("giver", "receiver", "agent"):
        party = parties.get(getattr(event, role))
        if party is not None:
            own[role] = party.name
            own |= _said(**{f"{role}_life": party.life})
    own |= _said(place=event.place, lot=event.lot, number=event.number)
    if event.date is not None:
        own["date"] = plain_date(event.date)
    if event.until is not None:
        own["until"] = plain_date(event.until)
    return own


def _citation(citation: Citation) -> Plain:
    own = _said(
        title=citation.title,
        authors=citation.authors,
        venue=citation.venue,
        pages=citation.pages,
        number=citation.number,
    )
    if citation.date is not None:
        own["date"] = plain_date(citation.date)
    return own


def _composition(composition: Composition) -> Plain:
    parts = [
        {"name": part.name, "count": part.count, "state": part.state.value}
        for part in composition.parts
    ]
    own = _said(count=composition.count, parts=parts)
    return {"kind": composition.kind.value, **own}


def _question(question: Question, text: str, parties: Mapping[str, Party]) -> Plain:
    readings: Iterable[tuple[ReadStatement, ...]] = question.readings
    return {
        "span": [question.span.start, question.span.end],
        "words": text[question.span.start : question.span.end],
        "asks": question.asks,
        **_said(reason=question.reason),
        "readings": [[plain_statement(s, parties) for s in reading] for reading in readings],
    }
