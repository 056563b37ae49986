"""What the search and the cards know of one piece: kept beside its page, gathered for the index."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec

from archivist.hooks import Piece
from archivist.model import Aspect, Certainty, Dimension, ObjectRecord, View
from archivist.model.measurements import in_millimetres
from archivist.wording import values as wording
from archivist.wording.facts import facts, held
from archivist_plugins.reference_library.facets import answers
from archivist_plugins.reference_library.folding import tokens
from archivist_plugins.reference_library.names import names_of_the_trade
from archivist_plugins.reference_library.pictures import Picture

ACROSS = (Dimension.DIAMETER, Dimension.WIDTH, Dimension.LENGTH)
"""What 'across' means where sizes are looked for: any of these, of the whole piece."""

KIN = ("form", "ware", "culture", "place", "period")
"""Facets by which pieces are each other's like, the closest first."""

CARD_VIEWS: tuple[str, ...] = (
    View.OVERALL,
    View.SIDE,
    View.BACK,
    View.UNKNOWN,
    View.INTERIOR,
    View.MOUTH,
    View.BASE,
    View.FOOT_RIM,
    View.MARK,
    View.DETAIL,
    View.GROUP,
    View.DAMAGE,
    View.LABEL,
    View.DOCUMENT,
)
"""What a card shows of a piece, the best first."""

_CALL = "library.piece("
_END = ");\n"


class Entry(msgspec.Struct, frozen=True, omit_defaults=True):
    """One piece in the index.

    `earliest` and `latest` are the years of the date held (astronomical), None where open or not
    known; `height` and `across` the least and greatest of what is recorded, in whole millimetres;
    `facets` the values under each name of `FACETS`; `words` what is searched, folded, each once;
    `updated` the moment at which the page was written.
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
    pictures: tuple[Picture, ...] = ()
    updated: str = ""

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

    @property
    def kin(self) -> tuple[str, str] | None:
        """What it is compared by: the first facet of `KIN` that it has, and its value."""
        return next(((name, self.facets[name][0]) for name in KIN if name in self.facets), None)

    @property
    def picture(self) -> Picture | None:
        """The picture on its card: what shows the piece best, alone before with others."""
        return min(
            self.pictures,
            key=lambda picture: (CARD_VIEWS.index(picture.view), picture.region is not None),
            default=None,
        )


def entry(piece: Piece, pictures: tuple[Picture, ...], updated: str) -> Entry:
    """The entry of `piece`, of what stands on its page and nothing else."""
    record = piece.record
    date = held(piece, Aspect.DATE)
    years = date.date if date else None
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
        pictures=pictures,
        updated=updated,
    )


def short_date(piece: Piece) -> str:
    """The date held in few words, with its doubt; the period where there is no date."""
    date = held(piece, Aspect.DATE)
    if date is None:
        period = held(piece, Aspect.PERIOD)
        return period.term.label if period and period.term else ""
    plain = date.date and msgspec.structs.replace(date.date, convention="")
    when = wording.date_shown(plain, date.as_stated)
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
        and measured.certainty is not Certainty.REJECTED
    ]
    known = [end for end in ends if end is not None]
    if not known:
        return None
    return math.floor(min(low for low, _ in known)), math.ceil(max(high for _, high in known))


def _words(piece: Piece) -> tuple[str, ...]:
    """Everything that is told of the piece, as words and the signs of names that mean the same."""
    names = names_of_the_trade()
    found: dict[str, None] = {}
    lines = [piece.record.title, *(fact.headed for fact in facts(piece))]
    lines += [photograph.depiction.caption for photograph in piece.photographs]
    for line in lines:
        words = list(tokens(line))
        found.update(dict.fromkeys(words))
        found.update(dict.fromkeys(names.in_words(words)))
    return tuple(sorted(found))


def as_script(made: Entry) -> bytes:
    """The entry as a classic script, which pages opened from a disk can load."""
    return b"".join((_CALL.encode(), msgspec.json.encode(made), _END.encode()))


def from_script(script: bytes) -> Entry:
    """The entry that `as_script` wrote."""
    return msgspec.json.decode(script[len(_CALL) : -len(_END)], type=Entry)
