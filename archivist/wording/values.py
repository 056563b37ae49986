"""What the model holds, said in plain words: pure functions from values to text.

Every format that people read says the same thing in the same words. Nothing is sharpened, nothing
that is doubtful is said without its doubt, and a mark is never turned into a date.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from functools import lru_cache

from archivist.hooks import DisclosedPhotograph, Piece
from archivist.model import (
    Basis,
    Certainty,
    Composition,
    CompositionKind,
    Date,
    Dimension,
    Legibility,
    Mark,
    MarkKind,
    MarkRelation,
    Measurement,
    Observation,
    Part,
    Passage,
    Presence,
    Presentness,
    ProvenanceEvent,
    Script,
    Statement,
    Term,
    Unit,
    historical_year,
)

CONVERSIONS: dict[Unit, tuple[Unit, Decimal]] = {
    Unit.MILLIMETRE: (Unit.INCH, 1 / Decimal("25.4")),
    Unit.CENTIMETRE: (Unit.INCH, 1 / Decimal("2.54")),
    Unit.METRE: (Unit.INCH, 1 / Decimal("0.0254")),
    Unit.INCH: (Unit.CENTIMETRE, Decimal("2.54")),
    Unit.FOOT: (Unit.METRE, Decimal("0.3048")),
    Unit.GRAM: (Unit.OUNCE, 1 / Decimal("28.349523125")),
    Unit.KILOGRAM: (Unit.POUND, 1 / Decimal("0.45359237")),
    Unit.OUNCE: (Unit.GRAM, Decimal("28.349523125")),
    Unit.POUND: (Unit.KILOGRAM, Decimal("0.45359237")),
}
"""The unit of the other system, and what to multiply by.

Exact by the international yard and pound agreement of 1959 (avoirdupois ounce). Millilitres and
litres have no partner here: British and American pints differ, and nobody has said which is meant.
"""

MARK_WORDS: dict[MarkKind, str] = {
    MarkKind.REIGN: "reign mark",
    MarkKind.SEAL: "seal mark",
    MarkKind.WORKSHOP: "workshop mark",
    MarkKind.CYCLICAL: "cyclical date",
    MarkKind.DATE: "date written on the piece",
    MarkKind.PRESENTATION: "presentation mark",
    MarkKind.UNDETERMINED: "mark",
}
"""Kinds whose own word does not yet say what they are; the others are called by their value."""

RELATION_WORDS: dict[MarkRelation, str] = {
    MarkRelation.OF_THE_PERIOD: "held to be of the period it names",
    MarkRelation.LATER_THAN_IT_CLAIMS: "held to be later than it claims",
    MarkRelation.IN_THE_STYLE: "held to be in the style of the period it names",
    MarkRelation.UNDETERMINED: "not determined whether it is of the period it names",
}


# Words and numbers --------------------------------------------------------------------------------


def quoted(words: str) -> str:
    """`words` in quotation marks, on one line."""
    return f"“{' '.join(words.split())}”"


def listed(items: Iterable[str], mark: str = ", ") -> str:
    """What is not empty of `items`, with `mark` between."""
    return mark.join(item for item in items if item)


def with_words(text: str, as_stated: str) -> str:
    """`text`, followed by the words as they were written where it does not hold them already."""
    plain = " ".join(as_stated.split())
    if not plain or plain.casefold() in text.casefold():
        return text
    return f"{text}, stated as {quoted(plain)}" if text else plain


@lru_cache(maxsize=256)
def language_tag(tag: str) -> str:
    """`tag` where it has the form of a language tag (BCP 47 as xs:language takes it), else ''."""
    return tag if re.fullmatch(r"[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*", tag) else ""


def party_name(piece: Piece, party_id: str) -> str:
    """The name of a party as this audience may read it; '' for no party at all."""
    if not party_id:
        return ""
    party = piece.party(party_id)
    name = (party.name or party.as_published) if party else ""
    return name or "a party not named here"


def caveats(piece: Piece, statement: Statement) -> str:
    """How sure, who says so, when and why; '' for what the owner holds certain without a ground."""
    who = party_name(piece, statement.who)
    return listed(
        [
            "" if statement.certainty is Certainty.CERTAIN else statement.certainty.value,
            f"according to {who}" if who else "",
            f"said {statement.said}" if statement.said else "",
            f"ground: {statement.ground}" if statement.ground else "",
        ],
        "; ",
    )


def with_caveats(piece: Piece, text: str, statement: Statement) -> str:
    """`text` with its caveats in brackets, those that it ends with or new ones."""
    said = caveats(piece, statement)
    if not said:
        return text
    return f"{text[:-1]}; {said})" if text.endswith(")") else f"{text} ({said})"


# Dates --------------------------------------------------------------------------------------------


def year_shown(astronomical: int, *, era: bool = False) -> str:
    """A year as historians write it: -205 is '206 BCE'; `era` adds CE to the others."""
    if astronomical <= 0:
        return f"{-historical_year(astronomical)} BCE"
    return f"{astronomical} CE" if era else str(astronomical)


def years_shown(date: Date) -> str:
    """The years a date lies between: '1775–1825', 'not before 1644', '206 BCE–220 CE'."""
    if date.earliest is None and date.latest is None:
        return ""
    if date.latest is None:
        assert date.earliest is not None
        return f"not before {year_shown(date.earliest)}"
    if date.earliest is None:
        return f"not after {year_shown(date.latest)}"
    if date.earliest == date.latest:
        return year_shown(date.earliest)
    return f"{year_shown(date.earliest)}–{year_shown(date.latest, era=date.earliest <= 0)}"


def date_shown(date: Date | None, as_stated: str = "") -> str:
    """A date in the words it was stated in, with the years they stand for where those add to it.

    Where a convention made years of the words, it is named: 'c. 1900 (1895–1905; circa: 5 years
    either way)'.
    """
    words = " ".join(as_stated.split())
    if date is None:
        return words
    if not words:
        return _notation_shown(date)
    years = years_shown(date)
    if not years or set(re.findall(r"\d+", years)) == set(re.findall(r"\d+", words)):
        return words
    return f"{words} ({listed([years, date.convention], '; ')})"


def _notation_shown(date: Date) -> str:
    """A date that comes without words: as close as its EDTF, with its doubt."""
    if re.fullmatch(r"\d{4}-\d\d(-\d\d)?", date.edtf):
        return date.edtf
    years = years_shown(date)
    if not years:
        return date.edtf
    about = "about " if date.earliest == date.latest and re.search("[~%]", date.edtf) else ""
    doubt = " (uncertain)" if re.search("[?%]", date.edtf) else ""
    return f"{about}{years}{doubt}"


# Measurements -------------------------------------------------------------------------------------


_SPARE_DIGITS = 24
"""More digits than a factor has, so that a number of any length is converted exactly."""


def resolution(number: str, unit: Unit) -> Decimal:
    """The step to which `number` was stated: '18.4' to 0.1, '18' to 1, 7.25 inches to 0.25.

    Inches and feet are divided by halving, so what is a half, quarter, eighth or sixteenth of them
    is taken to be stated to that part and no closer.
    """
    value = Decimal(number)
    exponent = value.as_tuple().exponent
    step = Decimal(1).scaleb(min(exponent, 0)) if isinstance(exponent, int) else Decimal(1)
    if unit in (Unit.INCH, Unit.FOOT) and step < 1:
        with localcontext(prec=len(number) + _SPARE_DIGITS):
            for part in (2, 4, 8, 16):
                if value * part == (value * part).to_integral_value() and value % 1:
                    return Decimal(1) / part
    return step


def converted(number: str, unit: Unit, step: Decimal | None = None) -> tuple[str, Unit] | None:
    """`number` in the other system, neither sharper nor blunter than it was stated.

    It is rounded to the power of ten that lies nearest to the stated step, as NIST SP 811 (B.7.2,
    36 ft = 11.0 m) weighs it. None where the unit has no partner.
    """
    if unit not in CONVERSIONS:
        return None
    other, factor = CONVERSIONS[unit]
    step = resolution(number, unit) if step is None else step
    with localcontext(prec=len(number) + _SPARE_DIGITS):
        power = round(math.log10(step * factor))
        value = (Decimal(number) * factor).quantize(Decimal(1).scaleb(power), ROUND_HALF_EVEN)
    return format(value, "f"), other


def size_shown(measurement: Measurement) -> str:
    """The size in both systems: '18.4 cm (7.2 in)', 'about 30–32 cm (12–13 in)'."""
    low, high, unit = measurement.low, measurement.high, measurement.unit
    about = "about " if measurement.approximate else ""
    stated = f"{about}{_span(low, high)} {unit.value}"
    step = min(resolution(low, unit), resolution(high, unit))
    ends = converted(low, unit, step), converted(high, unit, step)
    if ends[0] is None or ends[1] is None:
        return stated
    return f"{stated} ({about}{_span(ends[0][0], ends[1][0])} {ends[0][1].value})"


def _span(low: str, high: str) -> str:
    return low if low == high else f"{low}–{high}"


def measurement_shown(measurement: Measurement) -> str:
    """One dimension with its precision, its ground and what it takes in.

    'mouth diameter about 9 cm (about 4 in), as recalled, with stand'.
    """
    name = "size" if measurement.dimension is Dimension.UNSTATED else measurement.dimension.value
    basis = {Basis.RECALLED: "as recalled", Basis.UNSTATED: ""}
    return listed(
        [
            listed([measurement.part, name, size_shown(measurement)], " "),
            measurement.which,
            f"with {' and '.join(measurement.includes)}" if measurement.includes else "",
            basis.get(measurement.basis, measurement.basis.value),
        ]
    )


# What is on a piece and what it consists of -------------------------------------------------------


def mark_shown(piece: Piece, mark: Mark) -> str:
    """A mark: what is written, how and where, what it claims, and how that stands to the date."""
    claim = date_shown(mark.claims, mark.claim)
    count = f"{mark.count} characters" if mark.count else ""
    columns = f"in {mark.columns} columns" if mark.columns else ""
    writer = party_name(piece, mark.written_by)
    what = listed(
        [
            MARK_WORDS.get(mark.kind, mark.kind.value),
            quoted(mark.characters.replace("\n", " / ")) if mark.characters else "",
            f"[{mark.romanised}]" if mark.romanised else "",
            f"meaning {quoted(mark.translation)}" if mark.translation else "",
        ],
        " ",
    )
    look = listed(
        [
            what,
            listed([count, columns], " "),
            "" if mark.script is Script.UNSTATED else f"{mark.script.value} script",
            mark.technique,
            mark.colour,
            f"place: {mark.place}" if mark.place else "",
            "" if mark.legibility is Legibility.UNSTATED else mark.legibility.value,
        ]
    )
    stands = listed(
        [
            look,
            f"written by {writer}" if writer else "",
            f"claims {claim}" if claim else "",
            RELATION_WORDS.get(mark.relation, ""),
        ],
        "; ",
    )
    return with_words(stands, mark.as_stated)


def observation_shown(observation: Observation) -> str:
    """What was seen, or looked for and not found: 'hairline (rim)', 'no restoration (rim)'."""
    seen = observation.term.label
    if observation.presence is Presence.ABSENT:
        seen = f"no {seen}"
    text = listed(
        [
            f"{seen} ({observation.part})" if observation.part else seen,
            observation.extent,
            "looked for and not decided" if observation.presence is Presence.UNKNOWN else "",
        ]
    )
    return with_words(text, observation.as_stated)


def term_shown(term: Term | None, as_stated: str) -> str:
    """A term, with the words it was stated in where they differ."""
    return with_words(term.label if term else "", as_stated)


def part_shown(part: Part) -> str:
    """A part and whether it is there: 'cover (missing)', '6 × saucer'."""
    counted = f"{part.count} × {part.name}" if part.count > 1 else part.name
    return counted if part.state is Presentness.PRESENT else f"{counted} ({part.state.value})"


def composition_shown(composition: Composition) -> str:
    """Whether it is one piece, a pair or a set, and of what parts; '' where nobody said."""
    kinds = {CompositionKind.UNSTATED: "", CompositionKind.SINGLE: "single piece"}
    kind = kinds.get(composition.kind, composition.kind.value)
    many = composition.count > 1 and composition.kind is not CompositionKind.PAIR
    whole = f"{kind or 'group'} of {composition.count}" if many else kind
    return listed([whole, *map(part_shown, composition.parts)])


# Whence it came -----------------------------------------------------------------------------------


def event_shown(piece: Piece, event: ProvenanceEvent) -> str:
    """A change of hands or a stay: '1987: sale, from private collection, Wales'."""
    giver, receiver, agent = (
        party_name(piece, party) for party in (event.giver, event.receiver, event.agent)
    )
    when = listed([date_shown(event.date), date_shown(event.until)], " until ")
    happened = listed(
        [
            event.kind.value,
            f"from {giver}" if giver else "",
            f"to {receiver}" if receiver else "",
            f"through {agent}" if agent else "",
            event.place,
            f"lot {event.lot}" if event.lot else "",
            f"number {event.number}" if event.number else "",
        ]
    )
    line = with_words(listed([when, happened], ": "), event.as_stated)
    return f"after a gap, {line}" if event.passage is Passage.GAP else line


# Photographs --------------------------------------------------------------------------------------


def taken_shown(disclosed: DisclosedPhotograph) -> str:
    """When the photograph was taken and by what witness; '' where nothing is known."""
    taken = disclosed.photograph.taken
    chosen = next((t for t in taken if t.preferred), taken[0] if taken else None)
    if chosen is None:
        return ""
    when = chosen.date.edtf or date_shown(chosen.date, chosen.as_stated)
    doubt = "" if chosen.certainty is Certainty.CERTAIN else chosen.certainty.value
    return listed([when, f"by the {chosen.witness}" if chosen.witness else "", doubt])
