"""The rights that hold for a piece: its own where it has them, else those of the whole archive."""

from __future__ import annotations

import re

from archivist.hooks import ArchiveFacts, Piece
from archivist.model import Rights

_URI = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:(?://)?[!#-;=?-\[\]_a-z~]+")
"""A scheme and what RFC 3986 lets an identifier be made of."""


def rights_of(piece: Piece | None, archive: ArchiveFacts) -> Rights:
    """URI, holder and credit, each the piece's own or the archive's; and the piece's note.

    What stands in the place of the URI and is none is words, and goes before the note.
    """
    own = (piece.record.rights if piece else None) or Rights()
    said = own.uri or archive.rights_uri
    is_uri = _URI.fullmatch(said.strip()) is not None
    return Rights(
        uri=said.strip() if is_uri else "",
        holder=own.holder or archive.rights_holder,
        credit=own.credit or archive.credit,
        note="; ".join(filter(None, ("" if is_uri else said.strip(), own.note))),
    )
