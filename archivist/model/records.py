"""The object record: all that is known of one piece, each statement with its ground."""

from __future__ import annotations

from enum import StrEnum

from archivist.model.attributions import Aspect, Attribution, AttributionRole
from archivist.model.base import Certainty, Note, Statement, Value
from archivist.model.citations import Citation
from archivist.model.dates import Date
from archivist.model.features import Feature, FeatureAspect
from archivist.model.held import Holding, holding
from archivist.model.marks import Mark
from archivist.model.measurements import Measurement
from archivist.model.observations import Observation
from archivist.model.provenance import ProvenanceEvent, SaleFact

__all__ = [
    "STATEMENT_FIELDS",
    "Aspect",
    "Attribution",
    "AttributionRole",
    "Composition",
    "CompositionKind",
    "Feature",
    "FeatureAspect",
    "ObjectRecord",
    "Override",
    "Part",
    "Presentness",
    "Relation",
    "RelationKind",
    "Rights",
    "Title",
]


class Title(Statement, frozen=True, kw_only=True):
    """What the piece is called; `language` is a BCP 47 tag, empty for the archive's own."""

    value: str
    language: str = ""
    preferred: bool = False


class Presentness(StrEnum):
    PRESENT = "present"
    MISSING = "missing"
    REPLACED = "replaced"
    UNKNOWN = "unknown"


class Part(Statement, frozen=True, kw_only=True):
    """A part of a piece or a member of a set ('cover', 'saucer') and whether it is there."""

    name: str
    count: int = 1
    state: Presentness = Presentness.PRESENT


class CompositionKind(StrEnum):
    SINGLE = "single"
    PAIR = "pair"
    SET = "set"
    UNSTATED = "unstated"


class Composition(Value, frozen=True, kw_only=True):
    """Whether the record is of one piece, a pair or a set, of how many, with which parts.

    `count` is how many are here; `of` how many there were together, 0 where nobody said: one of a
    pair is a single piece with `count` 1 and `of` 2, four of a set of six a set with 4 and 6.
    """

    kind: CompositionKind = CompositionKind.UNSTATED
    count: int = 0
    of: int = 0
    parts: tuple[Part, ...] = ()


class RelationKind(StrEnum):
    PAIR_WITH = "pair with"
    PART_OF = "part of"
    HAS_PART = "has part"
    COMPARE = "compare"
    SAME_SALE = "same sale"
    AFTER = "after"


class Relation(Statement, frozen=True, kw_only=True):
    """That the piece belongs with another, or is to be seen beside it.

    `object` is the UUID of the other's record; where it has none its words (`as_stated`) stand for
    it: 'the other of the pair in the Tolling collection', 'after a bronze of the Shang'.
    """

    kind: RelationKind
    object: str = ""


class Rights(Value, frozen=True, kw_only=True):
    """Rights in the record and its photographs: a RightsStatements.org or CC URI, and a credit."""

    uri: str = ""
    holder: str = ""
    credit: str = ""
    note: str = ""


class Override(Value, frozen=True, kw_only=True):
    """What one audience sees of this piece, or does not see, otherwise than the disclosure table.

    `field` is named as in the table ('record.sales', 'views.label'); `shown` says which way; `why`
    is the owner's reason.
    """

    audience: str
    field: str
    shown: bool = False
    why: str = ""


class ObjectRecord(Value, frozen=True, kw_only=True):
    """All that is known of one piece (or pair, or set).

    `id` is a UUID that never changes; `stock_number` is the dealer's own and may repeat;
    `other_numbers` are numbers it bore elsewhere or before a merge. `notes` are words with no
    other home. `overrides` say who sees what of this piece otherwise than the disclosure table.
    `merged_into` is the record that took this one over; `withdrawn` hides it without losing it.
    """

    id: str
    stock_number: str = ""
    other_numbers: tuple[str, ...] = ()
    titles: tuple[Title, ...] = ()
    composition: Composition | None = None
    attributions: tuple[Attribution, ...] = ()
    features: tuple[Feature, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    marks: tuple[Mark, ...] = ()
    observations: tuple[Observation, ...] = ()
    provenance: tuple[ProvenanceEvent, ...] = ()
    sales: tuple[SaleFact, ...] = ()
    descriptions: tuple[Note, ...] = ()
    notes: tuple[Note, ...] = ()
    relations: tuple[Relation, ...] = ()
    citations: tuple[Citation, ...] = ()
    rights: Rights | None = None
    overrides: tuple[Override, ...] = ()
    merged_into: str = ""
    withdrawn: bool = False

    @property
    def title(self) -> str:
        """The preferred title, else the first, else empty; none that was rejected."""
        titles = [t for t in self.titles if t.certainty is not Certainty.REJECTED]
        chosen = next((t for t in titles if t.preferred), None) or next(iter(titles), None)
        return chosen.value if chosen else ""

    @property
    def name(self) -> str:
        """How messages call this record: its stock number, else its title, else its UUID."""
        return self.stock_number or self.title or self.id

    def holding(self, aspect: Aspect) -> Holding | None:
        """What is held of `aspect`, with all statements that it rests on; None where nothing is."""
        return holding(self.attributions, aspect)

    def preferred(self, aspect: Aspect) -> Attribution | None:
        """The attribution of `aspect` that is held, the narrowest where several agree."""
        held = self.holding(aspect)
        return held.leading if held else None

    @property
    def date(self) -> Date | None:
        """The date that is held: the years in which all that is held of it agrees."""
        held = self.holding(Aspect.DATE)
        return held.date if held else None


STATEMENT_FIELDS = (
    "titles",
    "attributions",
    "features",
    "measurements",
    "marks",
    "observations",
    "provenance",
    "sales",
    "descriptions",
    "notes",
    "relations",
    "citations",
)
"""The fields of a record that hold statements, in the order in which they are shown."""
