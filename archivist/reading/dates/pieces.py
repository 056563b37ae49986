"""One date as it stands in a text, before it is combined with its neighbours, and after."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto

from archivist.model.base import Certainty
from archivist.reading.tables import PeriodRow


class Unit(Enum):
    """What an item counts: what is still open is settled by its neighbours."""

    YEAR = auto()
    NUMBER = auto()  # a number too short to be a year by itself: '95' in '1736-95'
    ORDINAL = auto()  # '18th' in '18th or 19th century'
    PART = auto()  # 'mid' in 'mid to late 19th century'
    DECADE = auto()
    SHORT_DECADE = auto()
    CENTURY = auto()
    MILLENNIUM = auto()
    DYNASTY = auto()  # a numbered dynasty of Egypt
    MONTH = auto()
    DAY = auto()
    SEASON = auto()
    TURN = auto()
    PERIOD = auto()
    HIJRI = auto()
    CALENDAR = auto()  # a regnal or cyclical year, already settled


@dataclass(slots=True)
class Item:
    """One date, century, period ... with the words that govern it.

    `number` is a year, an ordinal or a decade's first year, as written; `first` and `last` are
    astronomical years, set once the item is settled, and `edtf`/`edtf_last` their notation
    (`edtf_last` only where the item is itself an interval). `alternatives` are readings that the
    words allow as well, each as (edtf, first, last), with the question that `asks`; `open_rows`
    are periods of the same name, and `unread` says that nothing decides between them. `start`
    and `end` are token indices, and `name` that of a period's name.
    """

    unit: Unit
    start: int
    end: int
    number: int = 0
    digits: int = 0
    part: str = ""
    era: str = ""
    circa: bool = False
    certainty: Certainty = Certainty.CERTAIN
    languages: frozenset[str] = frozenset()
    first: int = 0
    last: int | None = 0
    edtf: str = ""
    edtf_last: str = ""
    rows: tuple[PeriodRow, ...] = ()
    name: int = 0
    kind_said: bool = False
    years_stated: bool = False
    stated_circa: bool = False
    open_rows: tuple[PeriodRow, ...] = ()
    unread: bool = False
    rule: str = ""
    convention: str = ""
    confidence: str = "1"
    asks: str = ""
    alternatives: tuple[tuple[str, int, int], ...] = ()


@dataclass(slots=True)
class Found:
    """A date statement found in a text: years with reach of 'circa' included, None where open.

    `alternatives` are readings to be asked about, each as (edtf, first, last), and `open_rows` the
    periods that they are of; where the text is not `read` there is a question and no statement.
    `ground` is why it is held ('dated').
    """

    start: int
    end: int
    edtf: str
    first: int | None
    last: int | None
    rule: str
    certainty: Certainty = Certainty.CERTAIN
    convention: str = ""
    confidence: str = "1"
    rows: tuple[PeriodRow, ...] = ()
    ground: str = ""
    asks: str = ""
    alternatives: tuple[tuple[str, int, int], ...] = ()
    open_rows: tuple[PeriodRow, ...] = ()
    read: bool = True
