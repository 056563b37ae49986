"""The pictures that are compared: those of a folder, then those of the archive."""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from contextlib import suppress
from pathlib import PurePosixPath

from archivist.catalogue.archive import Archive
from archivist.errors import SourceError
from archivist.imaging.probe import Probe
from archivist.intake.files import SurveyedFile
from archivist.intake.pictures.apart import numbered
from archivist.intake.pictures.keeping import Picture
from archivist.intake.pictures.look import Look, look_at
from archivist.intake.pictures.looks import Looks
from archivist.intake.pictures.names import is_general_folder, plain_stem, words_of
from archivist.intake.pictures.studied import Folder
from archivist.intake.pictures.taken import CAMERA, UNTRUSTED
from archivist.intake.rules.folders import says_history
from archivist.model import Photograph, TakenAt
from archivist.reading.tables import Tables

LOSSLESS = frozenset({"TIFF", "PNG", "BMP"})

NO_CAMERAS = frozenset({"PNG", "BMP", "GIF", "WEBP"})
"""Formats that no camera writes (common practice, no source): what one wrote was copied there."""

_FRACTION = re.compile(r"(?<=:\d\d)\.\d+")


def pictures_of(
    folder: Folder, archive: Archive, looks: Looks, tables: Tables
) -> tuple[list[Picture], list[str]]:
    """What is known of each picture that was looked at, and their digests in the same order."""
    pictures: list[Picture] = []
    digests: list[str] = []
    for sha256, numbers in folder.by_digest.items():
        look = looks.look(sha256)
        if look is not None:
            digests.append(sha256)
            pictures.append(_of_file(sha256, folder.files[numbers[0]], look, tables))
    for photograph in archive.catalogue.all(Photograph):
        if photograph.sha256 not in folder.by_digest and not photograph.withdrawn:
            look = _look_of_original(photograph, archive, looks)
            if look is not None:
                digests.append(photograph.sha256)
                pictures.append(_of_archive(photograph, look))
    return pictures, digests


def plainness(path: str, tables: Tables) -> tuple[int, bool, int, str]:
    """The plain name first: not among copies, not called a copy, the shorter."""
    parts = PurePosixPath(path).parts
    set_aside = sum(
        says_history(p, tables) or (is_general_folder(p, tables) and not _dated(p))
        for p in parts[:-1]
    )
    return (set_aside, plain_stem(PurePosixPath(path).stem, tables)[1], len(path), path)


def moment_of(witnesses: Sequence[TakenAt]) -> float | None:
    """Seconds for the order of a row, by the camera's clock; None where it does not say.

    Clocks that are wrong keep the order and the gaps; only one that was never set does not.
    """
    for witness in CAMERA:
        for taken in witnesses:
            edtf = taken.date.edtf
            was_set = taken.reading is None or float(taken.reading.confidence) > UNTRUSTED
            if taken.witness == witness and "T" in edtf and was_set:
                with suppress(ValueError):
                    local = datetime.datetime.fromisoformat(edtf[:19])
                    return local.replace(tzinfo=datetime.UTC).timestamp()
    return None


def clock_of(described: Probe | None, *, even_unset: bool = False) -> str:
    """When the camera says the picture was taken, to the second; '' where it does not say, or says
    what a clock does that was never set (but `even_unset`)."""
    return _fine_clock(described.taken if described else (), even_unset=even_unset)[:19]


def _fine_clock(witnesses: Sequence[TakenAt], *, even_unset: bool = False) -> str:
    """The same with the fraction of the second, which stands in the words alone."""
    for taken in witnesses:
        unset = (
            not even_unset and taken.reading is not None and float(taken.reading.confidence) < 0.2
        )
        if taken.witness == CAMERA[0] and "T" in taken.date.edtf and not unset:
            fraction = _FRACTION.search(taken.as_stated)
            return taken.date.edtf[:19] + (fraction.group() if fraction else "")
    return ""


def _of_file(sha256: str, file: SurveyedFile, look: Look, tables: Tables) -> Picture:
    described = file.described or Probe()
    stem, worked = plain_stem(PurePosixPath(file.found.path).stem, tables)
    said = len(described.taken) + len(described.captions) + bool(described.camera_model)
    series, number = numbered(file.found.path, tables)
    return Picture(
        sha256=sha256,
        path=file.found.path,
        look=look,
        clock=_fine_clock(described.taken),
        stem=stem if any(c.isdigit() for c in stem) or " " in stem else "",
        told=said + described.has_gps,
        worked=worked or plainness(file.found.path, tables)[0] > 0,
        called_copy=worked,
        lossless=described.format in LOSSLESS,
        scanned=bool(words_of(tables, "scanner word").intersection(stem.split())),
        series=series,
        number=number,
        camera=described.camera
        if described.format not in NO_CAMERAS and _fine_clock(described.taken)
        else "",
    )


def _look_of_original(photograph: Photograph, archive: Archive, looks: Looks) -> Look | None:
    """The look of a photograph of the archive; measured once if it never was."""
    look = looks.look(photograph.sha256)
    if look is not None or photograph.undecodable:
        return look
    path = archive.store.path_of(photograph.sha256, photograph.extension)
    try:
        measured = look_at(path, photograph.width, photograph.height)
    except SourceError:
        return None
    looks.keep_look(photograph.sha256, measured)
    return measured


def _of_archive(photograph: Photograph, look: Look) -> Picture:
    return Picture(
        sha256=photograph.sha256,
        path="",
        look=look,
        clock=_fine_clock(photograph.taken),
        told=len(photograph.taken) + len(photograph.captions),
        worked=bool(photograph.derived_from),
        camera="a camera" if _fine_clock(photograph.taken) else "",
    )


def _dated(name: str) -> bool:
    return any(c.isdigit() for c in name)
