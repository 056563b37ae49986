"""Concepts of the Art & Architecture Thesaurus that Linked Art classifies by, and our own.

Each URI of the AAT stands in the JSON Schema of Linked Art 1.0 or in the tables of `cromulent`
1.0.1, the library of the Linked Art community; a test compares them with those tables.
"""

from __future__ import annotations

import re
from typing import Any
from urllib.parse import quote

from archivist.model import Certainty, Dimension, EventKind, Term, Unit
from archivist.wording.facts import Heading

AAT = "http://vocab.getty.edu/aat/"

Concept = tuple[str, str]
"""The number of an AAT concept and its label."""

PRIMARY_NAME: Concept = ("300404670", "Primary Name")
ALTERNATE_NAME: Concept = ("300264273", "Alternate Name")
DISPLAY_NAME: Concept = ("300404669", "Display Title")
STOCK_NUMBER: Concept = ("300412177", "Stock Number")
SYSTEM_NUMBER: Concept = ("300435704", "System-Assigned Number")
UNIQUE_IDENTIFIER: Concept = ("300404012", "Unique Identifier")
ARTWORK: Concept = ("300133025", "Artwork")
WORK_TYPE: Concept = ("300435443", "Type of Work")
STYLE: Concept = ("300015646", "Style")
BRIEF_TEXT: Concept = ("300418049", "Brief Text")
COLLECTION: Concept = ("300025976", "Collection")
DIGITAL_IMAGE: Concept = ("300215302", "Digital Image")
ENGLISH: Concept = ("300388277", "English")

NOTE: Concept = ("300027200", "Note")
DESCRIPTION: Concept = ("300435416", "Description")
PRODUCTION: Concept = ("300435436", "Production Statement")
PROVENANCE: Concept = ("300435438", "Provenance Statement")
MATERIAL: Concept = ("300435429", "Material Statement")
DIMENSION: Concept = ("300435430", "Dimension Statement")
PHYSICAL: Concept = ("300435452", "Physical Statement")
MARKINGS: Concept = ("300435420", "Markings")
CONDITION: Concept = ("300435425", "Condition Statement")
RIGHTS: Concept = ("300435434", "Copyright/License Statement")
CITATION: Concept = ("300311705", "Citation")
EXHIBITION: Concept = ("300435424", "Exhibition Statement")
EXHIBITING: Concept = ("300054766", "Exhibiting")
CREDIT: Concept = ("300026687", "Credit Statement")

STATEMENTS: dict[Heading, Concept] = {
    Heading.DATE: PRODUCTION,
    Heading.PERIOD: PRODUCTION,
    Heading.PLACE: PRODUCTION,
    Heading.CULTURE: PRODUCTION,
    Heading.KILN: PRODUCTION,
    Heading.MAKER: PRODUCTION,
    Heading.MATERIAL: MATERIAL,
    Heading.TECHNIQUE: MATERIAL,
    Heading.GLAZE: MATERIAL,
    Heading.COLOUR: PHYSICAL,
    Heading.DECORATION: PHYSICAL,
    Heading.WARE: PHYSICAL,
    Heading.FORM: PHYSICAL,
    Heading.COMPOSITION: PHYSICAL,
    Heading.SIZE: DIMENSION,
    Heading.MARK: MARKINGS,
    Heading.MAKING: PHYSICAL,
    Heading.WEAR: CONDITION,
    Heading.DAMAGE: CONDITION,
    Heading.REPAIR: CONDITION,
    Heading.ALTERATION: CONDITION,
    Heading.RESIDUE: CONDITION,
    Heading.OBSERVED: PHYSICAL,
    Heading.PROVENANCE: PROVENANCE,
    Heading.DESCRIPTION: DESCRIPTION,
    Heading.LITERATURE: CITATION,
    Heading.EXHIBITION: EXHIBITION,
}
"""The kind of statement that the lines under a heading are; any other heading is a note.

How a piece was made (a firing gap) is a physical statement, and never one of condition.
"""

DIMENSIONS: dict[Dimension, Concept] = {
    Dimension.HEIGHT: ("300055644", "Height"),
    Dimension.WIDTH: ("300055647", "Width"),
    Dimension.DEPTH: ("300072633", "Depth"),
    Dimension.LENGTH: ("300055645", "Length"),
    Dimension.DIAMETER: ("300055624", "Diameter"),
    Dimension.THICKNESS: ("300055646", "Thickness"),
    Dimension.WEIGHT: ("300056240", "Weight"),
    Dimension.UNSTATED: ("300055642", "Unknown physical dimension"),
}

UNITS: dict[Unit, Concept] = {
    Unit.MILLIMETRE: ("300379097", "millimeters"),
    Unit.CENTIMETRE: ("300379098", "centimeters"),
    Unit.METRE: ("300379099", "meters"),
    Unit.INCH: ("300379100", "inches"),
    Unit.FOOT: ("300379101", "feet"),
    Unit.GRAM: ("300379225", "grams"),
    Unit.KILOGRAM: ("300379226", "kilograms"),
    Unit.OUNCE: ("300379229", "ounces"),
    Unit.POUND: ("300379254", "pounds"),
}

CERTAINTIES: dict[Certainty, Concept] = {
    Certainty.PROBABLE: ("300435721", "Probably"),
    Certainty.POSSIBLE: ("300435722", "Possibly"),
}

ACQUISITIONS: dict[EventKind, Concept] = {EventKind.SALE: ("300077989", "Purchasing")}

_WEB_URI = re.compile(r"https?://[!#-;=?-\[\]_a-z~]+")
"""What RFC 3986 lets a web address be made of."""


class Vocabulary:
    """Makes references to concepts: of the AAT, of the source of a term, or of this archive."""

    def __init__(self, base: str) -> None:
        self._base = base

    def of(self, concept: Concept, kind: str = "Type", **more: Any) -> dict[str, Any]:
        """A concept of the AAT."""
        return {"id": AAT + concept[0], "type": kind, "_label": concept[1], **more}

    def own(self, group: str, label: str, kind: str = "Type", **more: Any) -> dict[str, Any]:
        """A concept by its label, with an address of this archive."""
        return {"id": self.address("terms", group, label), "type": kind, "_label": label, **more}

    def term(self, group: str, term: Term, kind: str = "Type", **more: Any) -> dict[str, Any]:
        """A term of the record, by the URI of its source where that was seen."""
        made = self.own(group, term.label, kind, **more)
        return {**made, "id": term.uri} if _WEB_URI.fullmatch(term.uri) else made

    def address(self, *parts: str) -> str:
        """An address below this archive's own."""
        return self._base + "/".join(quote(p, safe="", errors="replace") for p in parts)
