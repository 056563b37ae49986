"""The rights that hold for a piece: its own where it has them, else those of the whole archive."""

from __future__ import annotations

from archivist.hooks import ArchiveFacts, Piece
from archivist.model import Rights


def rights_of(piece: Piece, archive: ArchiveFacts) -> Rights:
    """URI, holder and credit, each the piece's own or the archive's; and the piece's note."""
    own = piece.record.rights or Rights()
    return Rights(
        uri=own.uri or archive.rights_uri,
        holder=own.holder or archive.rights_holder,
        credit=own.credit or archive.credit,
        note=own.note,
    )
