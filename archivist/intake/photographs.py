"""The files of a folder: which are photographs, what they show, and which are one and the same."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import msgspec

from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import Catalogue
from archivist.hooks import FoundFile, Trouble
from archivist.imaging.words import is_keyword
from archivist.intake.contact_sheet.reviewing import time_is_reviewed
from archivist.intake.depicting import Depicted, depicted
from archivist.intake.file_notes import note_of
from archivist.intake.files import KnownFiles, SurveyedFile
from archivist.intake.photograph_items import (
    file_kept,
    photograph_added,
    photograph_linked,
    photograph_of,
    photograph_told,
)
from archivist.intake.photograph_questions import perhaps_a_slip, where_in_it, which_piece
from archivist.intake.pictures.examine import examined
from archivist.intake.pictures.findings import Findings
from archivist.intake.pictures.known_clocks import KnownClocks, with_known_clocks
from archivist.intake.pictures.looks import Looks
from archivist.intake.pictures.questions import new_records, wrong_clock
from archivist.intake.pictures.sidecars import with_sidecars
from archivist.intake.pictures.studied import PictureStudy, Studied
from archivist.intake.pictures.study import Study
from archivist.intake.proposal import AnyItem, Asked
from archivist.intake.rules.clocks import FEWEST
from archivist.intake.rules.names import NameReader
from archivist.intake.series import first_views
from archivist.model import ObjectRecord, Photograph, View
from archivist.reading.tables import Tables


@dataclass
class Files:
    """What was made of the files of one source."""

    items: list[AnyItem] = field(default_factory=list)
    questions: list[Asked] = field(default_factory=list)
    troubles: list[Trouble] = field(default_factory=list)
    findings: Findings = field(default_factory=Findings)
    unchanged: int = 0


class FileIntake:
    """Compares the files of one source with the catalogue."""

    def __init__(
        self,
        archive: Archive,
        source: str,
        folder: Path,
        records: Iterable[ObjectRecord],
        tables: Tables,
        progress: Callable[[int], None] = lambda amount: None,
    ) -> None:
        self.archive = archive
        self.catalogue: Catalogue = archive.catalogue
        self.archive_id = archive.settings.id
        self.source = source
        self.folder = folder
        self.tables = tables
        self.names = NameReader(records, folder.name if folder.is_dir() else "", tables)
        self.progress = progress
        self.known = KnownFiles(self.catalogue, source, folder)
        self.result = Files()
        self.studied = Studied()
        self._open: dict[tuple[str, ...], list[SurveyedFile]] = {}
        self._slips: dict[tuple[str, ...], list[SurveyedFile]] = {}
        self._looked: set[str] = set()

    def take(self, found: Sequence[FoundFile]) -> Files:
        """Goes through all files: each is read once, copies of one picture are told as one."""
        looks = Looks(self.archive.derivatives)
        try:
            read = examined(
                found,
                self.folder,
                self.source,
                self.known,
                looks,
                self.progress,
                self._trouble,
            )
            files = [_with_captions(file) for file in with_sidecars(list(read), self._note)]
            new = {(f.found.path, f.found.path_bytes) for f in files if self._is_new(f)}
            study = Study(self.archive, self.source, self.names, self.tables, looks)
            self.studied = study.of(files, new)
            self._put_clocks_right(files)
            self._looked = looks.looked()
        finally:
            looks.close()
        by_digest: dict[str, list[SurveyedFile]] = {}
        for file in files:
            by_digest.setdefault(file.facts.sha256, []).append(file)
        for same in by_digest.values():
            self._same_bytes(same)
        self.result.findings = self.studied.findings
        self.result.questions.extend(
            which_piece(objects, files, self.names, self.source, self.archive_id)
            for objects, files in self._open.items()
        )
        self.result.questions.extend(
            perhaps_a_slip(objects, files, self.names, self.source, self.archive_id)
            for objects, files in self._slips.items()
        )
        self.result.questions.extend(first_views(self.result.items, self.source))
        self._ask(by_digest)
        return self.result

    def _put_clocks_right(self, files: Sequence[SurveyedFile]) -> None:
        """A camera's clock that a person has put right before is put right in what is new."""
        if not self.studied.pictures:
            return
        clocks = KnownClocks(self.archive)
        if clocks:
            folder, now = str(self.folder.resolve()), self.catalogue.now()
            with_known_clocks(self.studied, files, folder, clocks, now)

    def _is_new(self, file: SurveyedFile) -> bool:
        """Whether the archive never had the file from there, or its intake was taken back."""
        found = file.found
        if not self.known.holds(found.path, found.path_bytes, file.facts.sha256):
            return True
        known = self.catalogue.keyed(Photograph, file.facts.sha256)
        return bool(known) and _taken_back(self.catalogue, known[0])

    def _ask(self, by_digest: dict[str, list[SurveyedFile]]) -> None:
        """What the study leaves to a person."""
        asked = (*self._open.values(), *self._slips.values())
        undecided = {f.facts.sha256 for files in asked for f in files}
        studies, source = self.studied.pictures, self.source
        unknown = [
            (group, digests)
            for group, digests in self.studied.unknown
            if not undecided.intersection(digests)
        ]
        self.result.questions.extend(new_records(unknown, studies, source, self.archive_id))
        paths = {digest: files[0].found.path for digest, files in by_digest.items()}
        for clock, digests in self.studied.clocks:
            unsaid = [digest for digest in digests if not self._time_is_reviewed(digest)]
            if len(unsaid) >= FEWEST:
                self.result.questions.append(
                    wrong_clock(clock, unsaid, paths, studies, source, self.archive_id)
                )

    def _time_is_reviewed(self, sha256: str) -> bool:
        """Whether a person has said when a picture of the archive was taken."""
        return any(time_is_reviewed(p) for p in self.catalogue.keyed(Photograph, sha256))

    def _trouble(self, place: str, reason: str, remedy: str) -> None:
        self.result.troubles.append(Trouble(place=place, reason=reason, remedy=remedy))

    def _note(self, place: str, reason: str) -> None:
        self.result.troubles.append(Trouble(place=place, reason=reason, harmless=True))

    def _same_bytes(self, files: list[SurveyedFile]) -> None:
        """All files of one digest: one original with so many places, one photograph at most."""
        first = files[0]
        new = [
            f
            for f in files
            if not self.known.holds(f.found.path, f.found.path_bytes, f.facts.sha256)
        ]
        known = self.catalogue.keyed(Photograph, first.facts.sha256)
        gone = bool(known) and known[0].withdrawn
        again = gone and _taken_back(self.catalogue, known[0])
        if not new and (not known or (gone and not again)):
            self.result.unchanged += len(files)
            return
        described = first.described
        if new and not known:
            note = note_of(first, looked_at=first.facts.sha256 in self._looked)
            self.result.troubles.extend([note] if note is not None else [])
        for number, file in enumerate(new):
            copy_of = first if number else None
            self.result.items.append(file_kept(file, described, self.source, copy_of))
        if known and not again:
            self.result.unchanged += len(files) - len(new)
            if not gone:
                self._known(known[0], files, bool(new))
        elif known:
            back = msgspec.structs.replace(known[0], withdrawn=False)
            self._add(files, back, "its intake was taken back; it comes again")
        elif described is not None and described.media_type.startswith("image/"):
            self._add(files, photograph_of(described, first, self.archive_id))

    def _add(self, files: list[SurveyedFile], photograph: Photograph, reason: str = "") -> None:
        """A photograph that is new; of one of several pieces it is asked where each is."""
        study = self.studied.pictures.get(photograph.sha256, PictureStudy())
        shown = self._depicted(files)
        item = photograph_added(photograph, files, shown, study, self.source, reason)
        self.result.items.append(item)
        new = item.photograph.depictions[len(photograph.depictions) :]
        if len(new) > 1 and any(d.view is View.GROUP for d in new):
            self.result.questions.append(
                where_in_it(files[0], new, self.names, study.regions, self.source, self.archive_id)
            )

    def _known(self, photograph: Photograph, files: list[SurveyedFile], new: bool) -> None:
        """A photograph that the archive has; `new` says that it was found in a further place."""
        study = self.studied.pictures.get(photograph.sha256, PictureStudy())
        shown = self._depicted(files)
        if new or not photograph.depictions:
            link = photograph_linked(photograph, files, shown, self.source)
            self.result.items.extend([link] if link is not None else [])
        told = photograph_told(photograph, files, study, self.source)
        self.result.items.extend([told] if told is not None else [])

    def _depicted(self, files: list[SurveyedFile]) -> Depicted:
        """What a picture shows; files whose words leave open which piece is meant are gathered."""
        study = self.studied.pictures.get(files[0].facts.sha256)
        shown = depicted(files, self.names, study, self.source)
        for objects, file in shown.open:
            self._open.setdefault(objects, []).append(file)
        if not shown.open and not shown.depictions:
            for file in files:
                if near := self.names.slips(file):
                    self._slips.setdefault(near, []).append(file)
                    break
        return shown


def _with_captions(file: SurveyedFile) -> SurveyedFile:
    """The file with the words beside it and in it."""
    within = file.described.captions if file.described is not None else ()
    words = dict.fromkeys((*file.found.captions, *(c.words for c in within if not is_keyword(c))))
    keywords = tuple(c.words for c in within if is_keyword(c))
    return replace(file, captions=tuple(words), keywords=keywords)


def _taken_back(catalogue: Catalogue, photograph: Photograph) -> bool:
    """Whether a photograph is withdrawn because its intake was undone, not by its owner."""
    return photograph.withdrawn and bool(catalogue.versions(photograph.id)[-1].action.undoes)
