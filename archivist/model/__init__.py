"""What can be said of an object: immutable, typed values that import nothing else of ours."""

from archivist.model.attributions import Aspect, Attribution, AttributionRole
from archivist.model.base import Certainty, Note, Polarity, Reading, Source, Statement, Term, Value
from archivist.model.canonical import canonical_json, digest, from_json
from archivist.model.citations import Citation, CitationKind
from archivist.model.dates import Date, astronomical_year, historical_year
from archivist.model.features import Feature, FeatureAspect
from archivist.model.held import Holding, Standing, is_rejected, not_rejected, standing_of, stands
from archivist.model.marks import Legibility, Mark, MarkKind, MarkRelation, Script
from archivist.model.measurements import Basis, Dimension, Measurement, Unit
from archivist.model.observations import Observation, ObservationKind, Presence
from archivist.model.parties import Party, PartyKind
from archivist.model.photographs import (
    VIEW_ORDER,
    Caption,
    Depiction,
    Photograph,
    Region,
    TakenAt,
    View,
)
from archivist.model.provenance import (
    OWNERSHIP_UNCHANGED,
    EventKind,
    Passage,
    ProvenanceEvent,
    SaleFact,
    SaleStage,
)
from archivist.model.records import (
    STATEMENT_FIELDS,
    Composition,
    CompositionKind,
    ObjectRecord,
    Override,
    Part,
    Presentness,
    Relation,
    RelationKind,
    Rights,
    Title,
)

__all__ = [
    "OWNERSHIP_UNCHANGED",
    "STATEMENT_FIELDS",
    "VIEW_ORDER",
    "Aspect",
    "Attribution",
    "AttributionRole",
    "Basis",
    "Caption",
    "Certainty",
    "Citation",
    "CitationKind",
    "Composition",
    "CompositionKind",
    "Date",
    "Depiction",
    "Dimension",
    "EventKind",
    "Feature",
    "FeatureAspect",
    "Holding",
    "Legibility",
    "Mark",
    "MarkKind",
    "MarkRelation",
    "Measurement",
    "Note",
    "ObjectRecord",
    "Observation",
    "ObservationKind",
    "Override",
    "Part",
    "Party",
    "PartyKind",
    "Passage",
    "Photograph",
    "Polarity",
    "Presence",
    "Presentness",
    "ProvenanceEvent",
    "Reading",
    "Region",
    "Relation",
    "RelationKind",
    "Rights",
    "SaleFact",
    "SaleStage",
    "Script",
    "Source",
    "Standing",
    "Statement",
    "TakenAt",
    "Term",
    "Title",
    "Unit",
    "Value",
    "View",
    "astronomical_year",
    "canonical_json",
    "digest",
    "from_json",
    "historical_year",
    "is_rejected",
    "not_rejected",
    "standing_of",
    "stands",
]
