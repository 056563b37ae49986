"""Clocks of cameras that a person has put right: what that says of what they took besides.

It is remembered on the photographs themselves, whose time a person corrected. For a later one of
the same camera (by model and serial number; without these, of the same folder) the same is
proposed, and not asked.
"""

from __future__ import annotations

import bisect
import datetime
from collections import defaultdict
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass

import msgspec

from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.holdings import occurrences
from archivist.catalogue.sources import sources
from archivist.errors import ArchivistError
from archivist.imaging.probe import Probe, probe
from archivist.intake.files import SurveyedFile
from archivist.intake.pictures.findings import Doubt, Findings, PictureFile
from archivist.intake.pictures.studied import Studied
from archivist.intake.pictures.taken import CAMERA, PUT_RIGHT, Told, contradicts, told_put_right
from archivist.model import Photograph, TakenAt


@dataclass(frozen=True)
class PutRight:
    """What a person said of the clock of one photograph: what it told, and what to add to it."""

    clock: datetime.datetime
    offset: datetime.timedelta
    photograph: str


class KnownClocks:
    """Every correction of a clock that the archive remembers, by camera.

    `held` are the digests of the photographs that the archive has, `settled` those among them whose
    clock was put right.
    """

    def __init__(self, archive: Archive) -> None:
        self._catalogue = archive.catalogue
        self._cameras: dict[str, list[PutRight]] = defaultdict(list)
        photographs = [p for p in archive.catalogue.all(Photograph) if not p.withdrawn]
        self.held = frozenset(p.sha256 for p in photographs)
        self.settled = frozenset(p.sha256 for p in photographs if any(map(_is_right, p.taken)))
        said = [(p, right) for p in photographs if (right := _put_right(p)) is not None]
        places = _folders(archive.catalogue) if said else {}
        for photograph, right in said:
            with suppress(ArchivistError):
                described = probe(archive.original_path(photograph.sha256))
                for folder in places.get(photograph.sha256, [""]):
                    camera = _camera(described, folder)
                    if right not in self._cameras[camera]:
                        self._cameras[camera].append(right)
        for rights in self._cameras.values():
            rights.sort(key=lambda right: right.clock)

    def __bool__(self) -> bool:
        return bool(self._cameras)

    def said_of(self, described: Probe, folder: str, clock: TakenAt) -> PutRight | None:
        """What was said of the clock of the camera that took a photograph lying in `folder`.

        Where different amounts were said at different times, that of the photographs before and
        after it by the camera's own clock, if these agree; None where nothing holds.
        """
        rights = self._cameras.get(_camera(described, folder), [])
        moment = _moment(clock)
        if not rights or moment is None:
            return None
        if len({right.offset for right in rights}) == 1:
            return rights[0]
        after = bisect.bisect([right.clock for right in rights], moment)
        near = rights[max(after - 1, 0) : after + 1]
        agree = len(near) == 2 and near[0].offset == near[1].offset
        return near[0] if agree else None

    def ground(self, right: PutRight) -> str:
        """Why it holds, with the day on which it was said."""
        for version in self._catalogue.versions(right.photograph):
            photograph = version.value()
            if isinstance(photograph, Photograph) and _put_right(photograph) == right:
                return f"the clock of this camera, as corrected on {version.action.at[:10]}"
        return "the clock of this camera, as corrected before"


def with_known_clocks(
    studied: Studied, files: Sequence[SurveyedFile], folder: str, clocks: KnownClocks, now: str
) -> None:
    """Puts what is new among what was studied right by the clocks that are known, and asks no more
    about these.

    `folder` is where the files lie, `now` the moment in ISO 8601: nothing was taken after it. Where
    satellites or names say that a clock was right by then, it is left as it is.
    """
    right: dict[str, Told] = {}
    for file in files:
        study = studied.pictures.get(file.facts.sha256)
        if study is None or file.described is None or file.facts.sha256 in right:
            continue
        if file.facts.sha256 in clocks.held:
            continue
        clock = next((t for t in study.told.taken if t.witness in CAMERA), None)
        if clock is None or _moment(clock) is None:
            continue
        known = clocks.said_of(file.described, _folder_of(folder, file.found.path), clock)
        if known is None or contradicts(study.told, clock, known.offset, now):
            continue
        told = told_put_right(study.told, clock, known.offset, clocks.ground(known))
        right[file.facts.sha256] = study.told = told
    studied.clocks = [
        (clock, left)
        for clock, digests in studied.clocks
        if (left := tuple(d for d in digests if d not in right and d not in clocks.settled))
    ]
    studied.findings = _with_times(studied.findings, right)


def _with_times(found: Findings, right: Mapping[str, Told]) -> Findings:
    """The findings with the times that were put right; of these no clock is in doubt."""
    if not right:
        return found
    paths = {file.path for file in found.photographs if file.sha256 in right}
    doubts = (_without(d, paths) if d.about == "taken" else d for d in found.doubts)
    return msgspec.structs.replace(
        found,
        photographs=tuple(_timed(f, right.get(f.sha256)) for f in found.photographs),
        doubts=tuple(doubt for doubt in doubts if doubt is not None),
    )


def _timed(file: PictureFile, told: Told | None) -> PictureFile:
    if told is None or told.best is None:
        return file
    return msgspec.structs.replace(
        file,
        taken=told.best.date.edtf,
        taken_certainty=told.best.certainty,
        taken_ground=told.ground,
        taken_others=told.disagree,
    )


def _without(doubt: Doubt, paths: set[str]) -> Doubt | None:
    """A doubt without the files of which there is none any more; None where none are left."""
    left = tuple(path for path in doubt.paths if path not in paths)
    reasons = tuple(r for r in doubt.reasons if r.partition(": ")[0] not in paths)
    return msgspec.structs.replace(doubt, paths=left, reasons=reasons) if left else None


def _is_right(taken: TakenAt) -> bool:
    """Whether a time is believed and is that of a clock that was put right."""
    return taken.preferred and PUT_RIGHT in taken.witness


def _put_right(photograph: Photograph) -> PutRight | None:
    """What a person said of the clock that took a photograph; None where nobody did."""
    said = next((t for t in photograph.taken if t.preferred and t.source is not None), None)
    if said is None:
        return None
    for clock in photograph.taken:
        if clock.witness in CAMERA and said.witness.partition(PUT_RIGHT)[0] == clock.witness:
            told, right = _moment(clock), _moment(said)
            if told is not None and right is not None:
                return PutRight(told, right - told, photograph.id)
    return None


def _moment(taken: TakenAt) -> datetime.datetime | None:
    """The time on a clock's face; None where it tells no more than a day."""
    if "T" not in taken.date.edtf:
        return None
    try:
        return datetime.datetime.fromisoformat(taken.date.edtf[:19])
    except ValueError:
        return None


def _camera(described: Probe, folder: str) -> str:
    """What tells a camera from others; one without a serial number is known within its folder."""
    name = f"{described.camera_make}\n{described.camera_model}"
    if described.camera_model and described.camera_serial:
        return f"{name}\n{described.camera_serial}"
    return f"{name}\n\n{folder}"


def _folder_of(location: str, path: str) -> str:
    """The folder in which a file of a source lies."""
    return f"{location}/{path}".replace("\\", "/").rpartition("/")[0]


def _folders(catalogue: Catalogue) -> dict[str, list[str]]:
    """The folders in which each original was found."""
    locations = {source.id: source.location for source in sources(catalogue)}
    folders: dict[str, list[str]] = defaultdict(list)
    for place in occurrences(catalogue):
        folders[place.sha256].append(_folder_of(locations.get(place.source, ""), place.path))
    return folders
