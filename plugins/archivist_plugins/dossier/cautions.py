"""Which cautions a piece calls for, in the words of the table that the owner can edit.

A caution is chosen by what the record says, and never more than a question. Nothing here is advice.
"""

from __future__ import annotations

from collections.abc import Sequence
from string import Template

from archivist.hooks import Piece
from archivist.model import Value
from archivist_plugins.dossier.caution_tables import Applies, Caution, Cautions, ProtectedMaterials
from archivist_plugins.dossier.materials import is_ceramic, protected
from archivist_plugins.dossier.silent_years import made_after, reaches, silent_years, spans


class Said(Value, frozen=True, kw_only=True):
    """A caution as it is said of one piece; `lines` say more of what it speaks of."""

    heading: str
    text: str
    lines: tuple[str, ...] = ()
    source: str
    as_at: str


def cautions_for(piece: Piece, table: Cautions, materials: ProtectedMaterials) -> tuple[Said, ...]:
    """The cautions that `piece` calls for, in the order of the table."""
    said = (_said(caution, piece, table, materials) for caution in table.caution)
    return tuple(caution for caution in said if caution is not None)


def _said(
    caution: Caution, piece: Piece, table: Cautions, materials: ProtectedMaterials
) -> Said | None:
    record = piece.record
    what, years = "", ""
    lines: tuple[str, ...] = ()
    as_at = caution.as_at
    match caution.applies:
        case Applies.ALWAYS:
            applies = True
        case Applies.PHOTOGRAPHS:
            applies = bool(piece.photographs)
        case Applies.CERAMIC:
            applies = is_ceramic(record, table.ceramic_words)
        case Applies.PROTECTED_MATERIALS:
            flags = protected(record, materials)
            applies = bool(flags)
            what = _joined([f"“{flag.words}”" for flag in flags])
            lines = tuple(flag.told for flag in flags)
            as_at = min(as_at, materials.as_at)
        case Applies.SILENT_BETWEEN:
            silent = silent_years(record, caution.first, caution.last)
            applies = bool(silent)
            years = _joined(spans(silent))
        case Applies.SILENT_SINCE:
            applies = not made_after(record, caution.last) and not reaches(record, caution.last)
    if not applies:
        return None
    text = Template(caution.text).safe_substitute(what=what, years=years)
    return Said(
        heading=caution.heading,
        text=text,
        lines=lines,
        source=caution.source,
        as_at=as_at,
    )


def _joined(words: Sequence[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)
