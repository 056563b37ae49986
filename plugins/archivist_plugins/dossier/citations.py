"""Where the piece was published and shown, and the pieces it belongs with."""

from __future__ import annotations

from typing import Any

from archivist import wording
from archivist.hooks import Piece
from archivist.model import RelationKind, not_rejected
from archivist.wording.facts import Heading, facts
from archivist_plugins.dossier.not_given import more_shown

CITED = (Heading.LITERATURE, Heading.EXHIBITION)


def citations(piece: Piece) -> dict[str, Any]:
    """Literature and exhibitions as `groups` of a `heading` and `lines`, and what is said below."""
    lines = facts(piece)
    groups = [
        {"heading": heading.value, "lines": [f.text for f in lines if f.heading is heading]}
        for heading in CITED
    ]
    told = [group for group in groups if group["lines"]]
    return {"groups": told, "more": more_shown(piece, ("citations",))}


def related(piece: Piece, *, compared: bool) -> list[dict[str, str]]:
    """The other pieces that the record names: those to be compared with, or all others."""
    found = []
    for relation in not_rejected(piece.record.relations):
        if (relation.kind is RelationKind.COMPARE) is not compared:
            continue
        words = relation.as_stated.strip() or "a piece of the same archive"
        text = words if compared else f"{relation.kind.value}: {words}"
        found.append(
            {
                "text": wording.with_caveats(piece, text, relation),
                "identifier": f"urn:uuid:{relation.object}" if relation.object else "",
            }
        )
    return found
