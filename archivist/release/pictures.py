"""The file of a photograph that an audience may have: the original, or a clean copy or crop."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from pathlib import Path

import msgspec

from archivist.catalogue.archive import Archive
from archivist.catalogue.facts import is_whole
from archivist.catalogue.holdings import original
from archivist.catalogue.originals import write_whole
from archivist.content import MENDING, refuse_other
from archivist.digests import digest_file
from archivist.errors import FixityError
from archivist.imaging import formats
from archivist.imaging.colour.kept import FORM
from archivist.kept import kept_bytes, read_kept
from archivist.model import Depiction, Photograph, Region, View

RULE = 2
"""Raised when clean copies come out differently, so that old ones are made again."""


@dataclass(frozen=True)
class Picture:
    """A file to hand on: where it lies, what it is, its digests, and what was done to it."""

    path: Path
    media_type: str
    width: int
    height: int
    size: int
    sha256: str
    sha512: str
    how: str = ""


class _CopyFacts(msgspec.Struct, frozen=True):
    """What is kept beside a clean copy, so that it need not be made again."""

    file: str
    media_type: str
    width: int
    height: int
    size: int
    sha256: str
    sha512: str
    how: str


def shown_by_preview(photograph: Photograph) -> bool:
    """Whether others are shown a photograph by the preview within a camera's raw file."""
    return bool(photograph.undecodable) and formats.is_raw(photograph.media_type)


def original_picture(archive: Archive, photograph: Photograph) -> Picture:
    """The photograph's original, as it was taken in.

    Raises:
        FixityError: where the archive does not know it, or the file is gone.
    """
    facts = original(archive.catalogue, photograph.sha256)
    if facts is None:
        raise FixityError(
            f"The photograph {photograph.id} has no original in the archive.",
            "'archivist fixity' lists everything that is missing.",
        )
    if not is_whole(archive.catalogue.connection, "original", photograph.sha256):
        raise FixityError(
            f"What the catalogue records of the original {photograph.sha256} is damaged.", MENDING
        )
    return Picture(
        archive.original_path(photograph.sha256),
        facts.media_type,
        photograph.width,
        photograph.height,
        facts.size,
        facts.sha256,
        facts.sha512,
    )


def clean_picture(archive: Archive, photograph: Photograph, region: Region | None) -> Picture:
    """A copy for others than the owner: metadata left behind, cropped to `region` if there is one.

    Copies are kept in the archive's derivatives, and made again when they are gone or damaged.

    Raises:
        NoPreviewError: where it is a raw file without a preview.
        SourceError: where the photograph cannot be decoded; nothing of it goes to others.
        FixityError: where the original is not there or damaged.
    """
    from archivist.imaging.clean_copy import clean_copy

    crop = "" if region is None else _crop_name(region)
    folder = archive.derivatives / f"copies-{RULE}" / photograph.sha256[:2]
    subject = f"{photograph.sha256}{crop}"
    facts_path = folder / f"{subject}.json"
    known = _kept_copy(facts_path, subject)
    if known is None:
        folder.mkdir(parents=True, exist_ok=True)
        # Another release may be making the same copy at this moment.
        mine = f"{subject}.{uuid.uuid4().hex[:8]}"
        unfinished = folder / f"{mine}.part"
        try:
            content = archive.original_content(photograph.sha256)
            made = clean_copy(content, unfinished, region=region)
            digests = digest_file(unfinished)
            refuse_other(unfinished, digests.sha256, made.sha256)
            file = folder / f"{subject}{made.extension}"
            unfinished.replace(file)
        finally:
            unfinished.unlink(missing_ok=True)
        known = _CopyFacts(
            file.name,
            made.media_type,
            made.width,
            made.height,
            digests.size,
            digests.sha256,
            digests.sha512,
            made.how,
        )
        told = folder / f"{mine}.json"
        write_whole(told, kept_bytes(subject, known).decode("utf-8"))
        told.replace(facts_path)
    return Picture(
        folder / known.file,
        known.media_type,
        known.width,
        known.height,
        known.size,
        known.sha256,
        known.sha512,
        known.how,
    )


def throw_away_damaged(archive: Archive) -> int:
    """Removes kept copies that are not as they were made; how many."""
    removed = 0
    for facts_path in sorted(archive.derivatives.glob(f"copies-{RULE}/*/*.json")):
        if _kept_copy(facts_path, facts_path.stem) is None:
            removed += 1
            for path in facts_path.parent.glob(f"{facts_path.stem}.*"):
                path.unlink(missing_ok=True)
    return removed


def colours_kept(archive: Archive, photograph: Photograph, depiction: Depiction) -> Path:
    """Where the colours of the piece in a photograph are kept, whoever may see it."""
    crop = "" if depiction.region is None else _crop_name(depiction.region)
    middle = "-middle" if depiction.view is View.DETAIL else ""
    folder = archive.derivatives / f"colours-{FORM}" / photograph.sha256[:2]
    return folder / f"{photograph.sha256}{crop}{middle}.json"


def _crop_name(region: Region) -> str:
    """What tells one crop of a picture from another."""
    box = (region.x, region.y, region.width, region.height)
    numbers = (*box, region.reference_width, region.reference_height, region.page)
    return "".join(f"-{number}" for number in numbers)


def _kept_copy(path: Path, subject: str) -> _CopyFacts | None:
    """What was kept of a copy; None where it or the copy is gone or not as it was made."""
    facts = read_kept(path, subject, _CopyFacts)
    if facts is None:
        return None
    try:
        found = digest_file(path.with_name(facts.file))
    except OSError:
        return None
    return facts if (found.sha256, found.sha512) == (facts.sha256, facts.sha512) else None
