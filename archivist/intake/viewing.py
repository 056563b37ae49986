"""What a person says of a photograph of one record: its view, where on it the piece is, who may see
it. The same words mean the same in the sheet of photographs, and are read by the same reader."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import msgspec

from archivist.catalogue.archive import Archive
from archivist.errors import RecordError, SelectionError
from archivist.intake.audiences import LetTo, audiences_of
from archivist.intake.contact_sheet.deciding import Decider
from archivist.intake.contact_sheet.pieces import Pieces
from archivist.intake.contact_sheet.places import KnownPhotograph
from archivist.intake.contact_sheet.reading import RowSaid
from archivist.intake.contact_sheet.reviewing import LISTED, with_review
from archivist.intake.vocabulary import tables_of
from archivist.model import ObjectRecord, Photograph
from archivist.plugins import Plugins


@dataclass(frozen=True)
class Said:
    """What was said of photographs, each named by the beginning of its SHA-256.

    `views` are words of `View`, `regions` 'x,y,width,height' in upright full-size pixels,
    `released` audiences beyond what the view allows, `captions` words for readers.
    """

    views: Mapping[str, str] = field(default_factory=dict)
    regions: Mapping[str, str] = field(default_factory=dict)
    released: Mapping[str, str] = field(default_factory=dict)
    captions: Mapping[str, str] = field(default_factory=dict)


def described(
    archive: Archive, record: ObjectRecord, said: Said, plugins: Plugins
) -> tuple[Photograph, ...]:
    """The photographs of `record` with what a person said of them; those named only.

    Raises:
        SelectionError: where a digest's beginning is of none of its photographs or of several.
        RecordError: for a view or an audience that is none, or a region that does not lie on the
            picture.
    """
    shown = archive.catalogue.photographs_of(record.id)
    named = dict.fromkeys((*said.views, *said.regions, *said.released, *said.captions))
    if not named:
        return ()
    tables = tables_of(archive, plugins)
    decider = Decider(Pieces([record], tables), tables, audiences_of(archive, plugins))
    return tuple(
        _with(photograph_named(shown, record, digest), record, digest, said, decider)
        for digest in named
    )


def photograph_named(shown: Sequence[Photograph], record: ObjectRecord, digest: str) -> Photograph:
    """The one of `shown`, the photographs of `record`, whose SHA-256 begins with `digest`.

    Raises:
        SelectionError: where there is none, or several.
    """
    found = [p for p in shown if digest and p.sha256.startswith(digest.lower())]
    if len(found) != 1:
        raise SelectionError(
            f"{len(found)} photographs of {record.name} have a digest that begins with '{digest}'.",
            f"'archivist show {record.name}' lists them.",
        )
    return found[0]


def _with(
    photograph: Photograph, record: ObjectRecord, digest: str, said: Said, decider: Decider
) -> Photograph:
    """The photograph as described; what it shows of other pieces stays as it is."""
    mine = tuple(d for d in photograph.depictions if d.object == record.id)
    audience = said.released.get(digest)
    row = RowSaid(
        key=f"{LISTED}{photograph.sha256}",
        place="edited by hand",
        view=said.views.get(digest),
        region=said.regions.get(digest),
        caption=said.captions.get(digest),
        audience=_besides(audience, photograph, record, decider) if audience is not None else None,
    )
    alone = msgspec.structs.replace(photograph, depictions=mine)
    decision = decider.decide(row, KnownPhotograph(alone, held=True))
    if decision.doubts:
        raise RecordError(
            f"The photograph {photograph.sha256[:8]} of {record.name}: "
            f"{'; '.join(decision.doubts)}.",
            "Nothing was changed.",
        )
    return with_review(photograph, decision.depictions)


def _besides(words: str, photograph: Photograph, record: ObjectRecord, decider: Decider) -> str:
    """The audiences named, and those to whom it was let before.

    Raises:
        RecordError: where an audience is none, or is the owner, who sees all.
    """
    let = decider.audiences.named(words)
    if isinstance(let, LetTo) and not let.owner_alone:
        before = (a for d in photograph.depictions_of(record.id) for a in d.released)
        return ", ".join(dict.fromkeys((*before, *let.audiences)))
    why = let if isinstance(let, str) else "you see every photograph as it is"
    raise RecordError(
        f"The photograph {photograph.sha256[:8]} of {record.name} cannot be let to '{words}': "
        f"{why}.",
        "Nothing was changed. 'archivist review --sheet' also takes photographs back from others.",
    )
