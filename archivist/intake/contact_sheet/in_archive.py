"""The photographs that the archive holds, as findings, so that a sheet shows them as it shows those
of a proposal: all of them, those of one piece, or those whose views nobody has reviewed."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from pathlib import Path

from archivist import __version__
from archivist.catalogue.archive import Archive
from archivist.catalogue.holdings import Occurrence, occurrences
from archivist.errors import ArchivistError
from archivist.imaging.probe import probe
from archivist.intake.contact_sheet.reviewing import is_reviewed
from archivist.intake.pictures.findings import (
    Copy,
    Findings,
    PictureFile,
    Relation,
    SamePicture,
)
from archivist.intake.proposal import Proposal
from archivist.model import Certainty, Photograph, TakenAt


def to_review(photograph: Photograph) -> bool:
    """Whether nobody has reviewed what a photograph shows of some piece, or of any."""
    shown = [d for d in photograph.depictions if d.certainty is not Certainty.REJECTED]
    if not shown:
        return not is_reviewed(photograph)
    return any(not depiction.reviewed for depiction in shown)


def photographs_held(
    archive: Archive, *, objects: Collection[str] = (), every: bool = False
) -> list[Photograph]:
    """The photographs of the archive whose views nobody has reviewed; with `every` the others too.

    `objects` are the UUIDs of the pieces that they must show; without any, all are meant.
    """
    wanted = set(objects)
    return [
        photograph
        for photograph in archive.catalogue.all(Photograph)
        if not photograph.withdrawn
        and (every or to_review(photograph))
        and (not wanted or any(photograph.depictions_of(object_id) for object_id in wanted))
    ]


def held_as_proposal(archive: Archive, photographs: Iterable[Photograph]) -> Proposal:
    """A proposal that proposes nothing: its findings are those photographs as they are held."""
    held = list(photographs)
    places: dict[str, Occurrence] = {}
    for place in occurrences(archive.catalogue):
        places.setdefault(place.sha256, place)
    return Proposal(
        id="",
        made=archive.catalogue.now(),
        program=f"archivist {__version__}",
        sources=(),
        found=Findings(
            photographs=tuple(_file(archive, p, places.get(p.sha256)) for p in held),
            duplicates=tuple(_copies(held, places)),
        ),
    )


def _file(archive: Archive, photograph: Photograph, place: Occurrence | None) -> PictureFile:
    taken = _taken(photograph)
    return PictureFile(
        path=place.path if place else _called(photograph.sha256),
        path_bytes=place.path_bytes if place else "",
        source=place.source if place else "",
        sha256=photograph.sha256,
        width=photograph.width,
        height=photograph.height,
        taken=taken.date.edtf if taken else "",
        taken_certainty=taken.certainty if taken else Certainty.POSSIBLE,
        taken_ground=taken.witness if taken else "",
        camera=_camera(archive.original_path(photograph.sha256)),
        known=True,
    )


def _taken(photograph: Photograph) -> TakenAt | None:
    preferred = (taken for taken in photograph.taken if taken.preferred)
    return next(preferred, None) or next(iter(photograph.taken), None)


def _camera(original: Path) -> str:
    """What took it, by which a clock is put right for all that it took; '' where nothing says."""
    try:
        return probe(original).camera
    except ArchivistError:
        return ""


def _copies(held: Iterable[Photograph], places: dict[str, Occurrence]) -> Iterable[SamePicture]:
    """The pictures of which others are copies, as they are held."""
    copies: dict[str, list[Copy]] = {}
    for photograph in held:
        if photograph.derived_from:
            place = places.get(photograph.sha256)
            path = place.path if place else _called(photograph.sha256)
            copies.setdefault(photograph.derived_from, []).append(
                Copy(path=path, sha256=photograph.sha256, relation=Relation.ALTERED)
            )
    for sha256, others in copies.items():
        place = places.get(sha256)
        yield SamePicture(
            source=place.source if place else "",
            keeper=place.path if place else _called(sha256),
            sha256=sha256,
            others=tuple(others),
        )


def _called(sha256: str) -> str:
    """A picture of which no place is known."""
    return f"sha256:{sha256}"
