"""What the search knows of a piece, as an audience sees it: its years, sizes, facets and words."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec

from archivist import wording
from archivist.finding.facets import answers
from archivist.finding.folding import tokens
from archivist.finding.names import names_of_the_trade
from archivist.hooks import Piece
from archivist.model import Aspect, Certainty, Dimension, ObjectRecord, stands
from archivist.model.measurements import in_millimetres
from archivist.wording.facts import Heading, facts, held

ACROSS = (Dimension.DIAMETER, Dimension.WIDTH, Dimension.LENGTH)
"""What 'across' means where sizes are looked for: any of these, of the whole piece."""


class Entry(msgspec.Struct, frozen=True, omit_defaults=True):
    """One piece as it is found.

    `earliest` and `latest` are the years of the date held (astronomical), None where open or not
    known; `height` and `across` the least and greatest of what is recorded, in whole millimetres;
    `facets` the values under each name of `FACETS`; `words` what is searched, folded, each once.
    """

    id: str
    title: str
    number: str = ""
    date: str = ""
    earliest: int | None = None
    latest: int | None = None
    height: tuple[int, int] | None = None
    across: tuple[int, int] | None = None
    facets: dict[str, tuple[str, ...]] = {}
    words: tuple[str, ...] = ()

    @property
    def order(self) -> tuple[float, float, str, str]:
        """By date, what has none last; then by number."""
        earliest = self.earliest if self.earliest is not None else self.latest
        latest = self.latest if self.latest is not None else self.earliest
        return (
            math.inf if earliest is None else earliest,
            math.inf if latest is None else latest,
            self.number,
            self.id,
        )


def entry(piece: Piece) -> Entry:
    """The entry of `piece`, of what may be told of it and nothing else."""
    record = piece.record
    years = record.date
    return Entry(
        id=record.id,
        title=record.title or record.name,
        number=record.stock_number,
        date=short_date(piece),
        earliest=years.earliest if years else None,
        latest=years.latest if years else None,
        height=_range(record, (Dimension.HEIGHT,)),
        across=_range(record, ACROSS),
        facets=answers(piece),
        words=_words(piece),
    )


def short_date(piece: Piece) -> str:
    """The date held in few words, with its doubt; the period where there is no date."""
    date = held(piece, Aspect.DATE)
    if date is None:
        period = held(piece, Aspect.PERIOD)
        return period.term.label if period and period.term else ""
    years = piece.record.date
    if years == date.date:
        plain = years and msgspec.structs.replace(years, convention="")
        when = wording.date_shown(plain, date.as_stated)
    else:
        when = wording.years_shown(years) if years else ""
    if date.certainty is Certainty.CERTAIN or not when:
        return when
    doubt = date.certainty.value
    return f"{when[:-1]}; {doubt})" if when.endswith(")") else f"{when} ({doubt})"


def _range(record: ObjectRecord, dimensions: Sequence[Dimension]) -> tuple[int, int] | None:
    """The least and greatest size of the whole piece in `dimensions`, rounded outwards."""
    ends = [
        in_millimetres(measured)
        for measured in record.measurements
        if measured.dimension in dimensions
        and not measured.part
        and stands(measured, record.measurements)
    ]
    known = [end for end in ends if end is not None]
    if not known:
        return None
    return math.floor(min(low for low, _ in known)), math.ceil(max(high for _, high in known))


def _words(piece: Piece) -> tuple[str, ...]:
    """What is told of the piece, as words and the signs of names that mean the same.

    What is rejected is told as such and finds nothing: who looks for a kiln wants no piece that is
    held not to be of it.
    """
    names = names_of_the_trade()
    found: dict[str, None] = {}
    told = (fact for fact in facts(piece) if fact.heading is not Heading.REJECTED)
    lines = [piece.record.title, *(fact.headed for fact in told)]
    lines += [photograph.depiction.caption for photograph in piece.photographs]
    for line in lines:
        words = list(tokens(line))
        found.update(dict.fromkeys(words))
        found.update(dict.fromkeys(names.in_words(words)))
    return tuple(sorted(found))
