"""What is held of a piece: the one place where statements about it are weighed.

Several opinions may stand on a record and none is deleted. Which of them is held follows from what
they say, from how sure they are and from who says so, by these rules in this order:

1. A value that is rejected is never held; nor is any statement of the same value, whoever makes
   it, where the owner rejects that value.
2. What is of a part, or of a later hand (decorated, mounted, altered), is never the piece's.
3. A statement that a person marked as preferred is held as it is.
4. Another's opinion is held only where it is marked so: then the owner has adopted it. The same
   goes for what the words only report: formerly held, claimed by a label, asked, supposed.
5. What is certain or probable goes before what is possible, and that before what is doubtful.
6. Of dates the narrow wins: the years in which they agree are held, and all that agree are its
   ground. Years that were said go before those that a period stands for; what contradicts both is
   another opinion. Of anything else the first that was said is held, and with it the periods whose
   years agree.

Pure functions; nothing here is kept, so that what is held can always be worked out again. They
rest on nothing that an audience is not shown of a statement it is shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

from archivist.model.attributions import Aspect, Attribution
from archivist.model.base import Certainty, Polarity, Statement, Term
from archivist.model.dates import Date
from archivist.model.features import Feature
from archivist.model.measurements import Measurement
from archivist.model.observations import Observation
from archivist.model.overlap import agreed, has_years, length

StatementType = TypeVar("StatementType", bound=Statement)


class Standing(StrEnum):
    """How an attribution stands to what is held of its aspect.

    AGREES is a further ground of what is held; APART is of a part or of a later hand.
    """

    HELD = "held"
    AGREES = "agrees"
    OTHER = "other opinion"
    REJECTED = "rejected"
    APART = "of a part"


@dataclass(frozen=True)
class Holding:
    """What is held of one aspect.

    `leading` is the statement that says it most closely; `ground` are all that agree in it, in the
    order of the record, the leading one among them. `date` are the years held, of an aspect other
    than the date None; where they are narrower than what each of the ground says, they are a date
    of their own.
    """

    aspect: Aspect
    leading: Attribution
    ground: tuple[Attribution, ...]
    date: Date | None = None


_TIERS: dict[Certainty, int] = {
    Certainty.CERTAIN: 0,
    Certainty.PROBABLE: 0,
    Certainty.POSSIBLE: 1,
    Certainty.DOUBTFUL: 2,
}
"""Which certainty goes before which. 'Edo, probably 18th century' is one opinion and the narrow
wins; '18th century, possibly 1740s' holds the century, since what is possible may not be."""


def holding(attributions: Sequence[Attribution], aspect: Aspect) -> Holding | None:
    """What is held of `aspect`, None where nothing is."""
    candidates = _candidates(attributions, aspect)
    if not candidates:
        return None
    chosen = next((a for a in candidates if a.preferred), None)
    if chosen is not None:
        ground = tuple(a for a in candidates if a is chosen or _bears_out(a, chosen))
        return Holding(aspect, chosen, ground, chosen.date)
    best = min(_TIERS[a.certainty] for a in candidates)
    rivals = [a for a in candidates if _TIERS[a.certainty] == best]
    if aspect is Aspect.DATE:
        return _narrowest(rivals, _named_for_a_period(attributions))
    leading = next((a for a in rivals if a.term is not None), rivals[0])
    agreeing = _dated_alike(attributions, leading) if aspect is Aspect.PERIOD else frozenset()
    ground = tuple(
        a for a in rivals if a is leading or _value(a) == _value(leading) or a.as_stated in agreeing
    )
    return Holding(aspect, leading, ground)


def standing_of(attributions: Sequence[Attribution]) -> tuple[Standing, ...]:
    """How each of `attributions` stands to what is held, in their order."""
    held = {aspect: holding(attributions, aspect) for aspect in Aspect}
    rejected = _rejected_values(attributions)

    def standing(attribution: Attribution) -> Standing:
        if _is_rejected(attribution, rejected):
            return Standing.REJECTED
        if not attribution.of_the_piece:
            return Standing.APART
        of_aspect = held[attribution.aspect]
        if of_aspect is None:
            return Standing.OTHER
        if attribution is of_aspect.leading:
            return Standing.HELD
        agrees = any(attribution is one for one in of_aspect.ground)
        return Standing.AGREES if agrees else Standing.OTHER

    return tuple(map(standing, attributions))


def is_rejected(statement: Statement, among: Iterable[Statement]) -> bool:
    """Whether a statement is rejected, or says what the owner rejects elsewhere in `among`."""
    return _is_rejected(statement, _rejected_values(among))


def stands(statement: Statement, among: Iterable[Statement]) -> bool:
    """Whether a statement counts for what the piece is found by: the owner's, and not rejected.

    What another saw or measured counts as well, since it is on the piece; what another holds the
    piece to be does not, nor what a part of it is like. Of attributions, which may be adopted,
    ask `holding`.
    """
    if isinstance(statement, Feature) and (
        statement.who or statement.part or only_reported(statement)
    ):
        return False
    return not is_rejected(statement, among)


def is_settled(statement: Statement) -> bool:
    """Whether it is the owner's own word, certain and said plainly: what a format may give as a
    value without more."""
    certain = statement.certainty is Certainty.CERTAIN
    return certain and not statement.who and not only_reported(statement)


def only_reported(statement: Statement) -> bool:
    """Whether words tell of a value without saying that it is so: 'formerly called Ming'."""
    reading = statement.reading
    return reading is not None and reading.polarity in _REPORTED


_REPORTED = frozenset(
    {
        Polarity.ASKED,
        Polarity.SUPPOSED,
        Polarity.CONDITIONAL,
        Polarity.FORMER,
        Polarity.CLAIMED,
    }
)


def not_rejected(statements: Sequence[StatementType]) -> tuple[StatementType, ...]:
    """`statements` without what is rejected and without what says the same as that."""
    rejected = _rejected_values(statements)
    return tuple(s for s in statements if not _is_rejected(s, rejected))


def _candidates(attributions: Sequence[Attribution], aspect: Aspect) -> list[Attribution]:
    """The attributions of `aspect` that can be held at all."""
    rejected = _rejected_values(attributions)
    return [
        a
        for a in attributions
        if a.aspect is aspect
        and a.of_the_piece
        and (a.preferred or not (a.who or only_reported(a)))
        and not _is_rejected(a, rejected)
    ]


def _narrowest(rivals: Sequence[Attribution], periods: frozenset[str]) -> Holding:
    """The years in which dates agree, said ones first; the first words where none has years."""
    in_turn = sorted(rivals, key=lambda a: bool(a.as_stated) and a.as_stated in periods)
    years, places = agreed([a.date or Date() for a in in_turn])
    if years is None:
        return Holding(Aspect.DATE, rivals[0], (rivals[0],), rivals[0].date)
    agreeing = [in_turn[place] for place in places]
    leading = min(agreeing, key=lambda a: (a.date is not years, length(a.date or Date())))
    ground = tuple(a for a in rivals if any(a is one for one in agreeing))
    return Holding(Aspect.DATE, leading, ground, years)


def _named_for_a_period(attributions: Iterable[Attribution]) -> frozenset[str]:
    """The words that name a period: a date in the same words has its years from a table."""
    return frozenset(a.as_stated for a in attributions if a.aspect is Aspect.PERIOD)


def _dated_alike(attributions: Sequence[Attribution], period: Attribution) -> frozenset[str]:
    """The words of further periods whose years agree with those of `period` in the date held.

    'Qing dynasty' and 'Yongzheng reign' are no two opinions; of 'Yuan or Ming', which are the same
    words, only one can be.
    """
    held = holding(attributions, Aspect.DATE)
    words = {a.as_stated for a in held.ground} if held else set()
    if period.as_stated not in words:
        return frozenset()
    return frozenset(words - {period.as_stated, ""})


def _bears_out(attribution: Attribution, chosen: Attribution) -> bool:
    """Whether an opinion agrees with the one that a person chose: the same, or wider years."""
    if attribution.who != chosen.who:
        return False
    one, other = attribution.date, chosen.date
    if one is None or other is None or not (has_years(one) and has_years(other)):
        return _value(attribution) == _value(chosen)
    years, ground = agreed((other, one))
    return years is other and len(ground) == 2


def _is_rejected(statement: Statement, rejected: frozenset[object]) -> bool:
    if statement.certainty is Certainty.REJECTED:
        return True
    value = _value(statement)
    return value is not None and value in rejected


def _rejected_values(statements: Iterable[Statement]) -> frozenset[object]:
    """What the owner rejects, as values."""
    return frozenset(
        value
        for s in statements
        if s.certainty is Certainty.REJECTED and not s.who and (value := _value(s)) is not None
    )


def _value(statement: Statement) -> object:
    """What a statement says, to be compared; None for kinds that say nothing comparable."""
    match statement:
        case Attribution(aspect=aspect, part=part, role=role):
            said = _term(statement.term) if statement.term else _date(statement)
            return (aspect, part.casefold(), role, said) if said else None
        case Feature(aspect=aspect, term=term, part=part):
            return aspect, _term(term), part.casefold()
        case Observation(term=term, part=part, presence=presence):
            return _term(term), part.casefold(), presence
        case Measurement():
            fields = ("dimension", "part", "which", "low", "high", "unit")
            return tuple(getattr(statement, name) for name in fields)
    return None


def _term(term: Term) -> str:
    return term.label.casefold()


def _date(attribution: Attribution) -> object:
    """The years of a date, else its notation, else its words."""
    date = attribution.date
    if date is not None and has_years(date):
        return date.earliest, date.latest
    return (date.edtf if date else "") or attribution.as_stated.casefold()
