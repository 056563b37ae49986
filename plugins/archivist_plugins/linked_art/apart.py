"""Parts of a piece that were made at another time or place, each as an object of its own.

The schema of an object has no room for its parts: a part points to the whole that it is of. So the
date of a cover or of mounts is never read as that of the piece.
"""

from __future__ import annotations

from collections.abc import Iterator

from archivist.hooks import Piece, Selection
from archivist.model import AttributionRole, is_settled
from archivist.names import web_base
from archivist_plugins.linked_art import vocabulary as v
from archivist_plugins.linked_art.making import (
    made_by,
    modification,
    of_later_hands,
    opinion,
)
from archivist_plugins.linked_art.parts import CONTEXT, Resource, name, without_empty
from archivist_plugins.linked_art.vocabulary import Vocabulary


def parts_apart(piece: Piece, selection: Selection) -> Iterator[Resource]:
    """The parts of which something is said that is not said of the piece, in the record's order."""
    said = [a for a in of_later_hands(piece) if a.part]
    archive = selection.archive
    terms = Vocabulary(web_base(archive.base_uri, archive.id))
    whole = {
        "id": piece.uri,
        "type": "HumanMadeObject",
        "_label": piece.record.title or piece.record.name,
    }
    for part in dict.fromkeys(a.part.casefold() for a in said):
        mine = [a for a in said if a.part.casefold() == part]
        settled = [a for a in mine if is_settled(a)]
        made = made_by(terms, piece, [a for a in settled if a.role is AttributionRole.MADE])
        later = [a for a in settled if a.role is not AttributionRole.MADE]
        yield without_empty(
            {
                "@context": CONTEXT,
                "id": terms.address("objects", piece.record.id, "parts", part),
                "type": "HumanMadeObject",
                "_label": f"{mine[0].part}: {whole['_label']}",
                "classified_as": [terms.of(v.ARTWORK)],
                "identified_by": [name(terms, mine[0].part, v.PRIMARY_NAME)],
                "produced_by": {"type": "Production", **made} if made else {},
                "modified_by": [m for a in later if (m := modification(terms, piece, a))],
                "attributed_by": [opinion(terms, piece, a) for a in mine if not is_settled(a)],
                "part_of": whole,
            }
        )
