"""The files of a folder: which are photographs, what they show, and which are one and the same."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePosixPath

import msgspec

from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import Catalogue
from archivist.hooks import FoundFile, Trouble
from archivist.imaging.probe import Probe
from archivist.intake.drafts import lasting_id
from archivist.intake.files import KnownFiles
from archivist.intake.photograph_questions import where_in_it, which_piece
from archivist.intake.pictures.examine import examined
from archivist.intake.pictures.findings import Findings
from archivist.intake.pictures.looks import Looks
from archivist.intake.pictures.questions import new_records, wrong_clock
from archivist.intake.pictures.studied import PictureStudy, Studied
from archivist.intake.pictures.study import Study
from archivist.intake.proposal import (
    AddPhotograph,
    AnyItem,
    Asked,
    KeepFile,
    LinkPhotograph,
    TellPhotograph,
)
from archivist.intake.series import first_views
from archivist.intake.shown import NameReader, SurveyedFile, least_sure
from archivist.model import (
    Caption,
    Certainty,
    Depiction,
    ObjectRecord,
    Photograph,
    Source,
    View,
)
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
            files = [self._with_captions(file) for file in read]
            new = {(f.found.path, f.found.path_bytes) for f in files if self._is_new(f)}
            study = Study(self.archive, self.source, self.names, self.tables, looks)
            self.studied = study.of(files, new)
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
        self.result.questions.extend(first_views(self.result.items, self.source))
        self._ask(by_digest)
        return self.result

    def _is_new(self, file: SurveyedFile) -> bool:
        found = file.found
        return not self.known.holds(found.path, found.path_bytes, file.facts.sha256)

    def _ask(self, by_digest: dict[str, list[SurveyedFile]]) -> None:
        """What the study leaves to a person."""
        undecided = {f.facts.sha256 for files in self._open.values() for f in files}
        studies, source = self.studied.pictures, self.source
        unknown = [
            (group, digests)
            for group, digests in self.studied.unknown
            if not undecided.intersection(digests)
        ]
        self.result.questions.extend(new_records(unknown, studies, source, self.archive_id))
        paths = {digest: files[0].found.path for digest, files in by_digest.items()}
        for clock, digests in self.studied.clocks:
            self.result.questions.append(
                wrong_clock(clock, digests, paths, studies, source, self.archive_id)
            )

    def _trouble(self, place: str, reason: str, remedy: str) -> None:
        self.result.troubles.append(Trouble(place=place, reason=reason, remedy=remedy))

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
            self._name_flaws(first, described)
        for number, file in enumerate(new):
            self._keep(file, described, first if number else None)
        if known and not again:
            self.result.unchanged += len(files) - len(new)
            if not gone:
                self._link(known[0], files)
                self._tell(known[0], files)
        elif known:
            back = msgspec.structs.replace(known[0], withdrawn=False)
            self._add(files, back, "its intake was taken back; it comes again")
        elif described is not None and described.media_type.startswith("image/"):
            self._add(files, _photograph(described, first, self.archive_id), "")

    def _name_flaws(self, file: SurveyedFile, described: Probe | None) -> None:
        """What is no picture although its name says so is named."""
        if described is None or not described.undecodable:
            return
        pretends = PurePosixPath(file.found.path).suffix.lower() in _NAMED_AS_PICTURES
        if pretends or described.media_type.startswith("image/"):
            remedy = "It is kept as it is; look for a better copy."
            self._trouble(file.found.path, described.undecodable, remedy)

    def _tell(self, photograph: Photograph, files: list[SurveyedFile]) -> None:
        """What is known now of a photograph of the archive: that it is a copy of another."""
        study = self.studied.pictures.get(photograph.sha256)
        if study is None or not study.derived_from or photograph.derived_from:
            return
        self.result.items.append(
            TellPhotograph(
                accept=True,
                key=f"{photograph.sha256}\n{study.derived_from}",
                source=self.source,
                certainty=Certainty.PROBABLE,
                reasons=(study.derived_because,),
                path=files[0].found.path,
                photograph=photograph.id,
                derived_from=study.derived_from,
            )
        )

    def _keep(
        self, file: SurveyedFile, described: Probe | None, copy_of: SurveyedFile | None
    ) -> None:
        """The item that keeps a file, or tells one more place of it."""
        facts = file.facts
        if described is not None:
            facts = msgspec.structs.replace(
                facts,
                media_type=described.media_type or facts.media_type,
                extension=facts.extension or described.extension,
            )
        reasons = (f"the same bytes as {copy_of.found.path}",) if copy_of else ()
        self.result.items.append(
            KeepFile(
                accept=True,
                key=f"{facts.path}\n{facts.sha256}",
                source=self.source,
                reasons=reasons,
                file=facts,
            )
        )

    def _add(self, files: list[SurveyedFile], photograph: Photograph, reason: str) -> None:
        """The item that adds a photograph with all that the names of its files say it shows."""
        depictions, certainty, reasons = self._depictions(files)
        captions = tuple(
            dict.fromkeys(
                (
                    *photograph.captions,
                    *(
                        Caption(words=words, where="text file beside it")
                        for file in files
                        for words in file.found.captions
                    ),
                )
            )
        )
        new = tuple(d for d in depictions if d not in photograph.depictions)
        study = self.studied.pictures.get(photograph.sha256, PictureStudy())
        if study.derived_from:
            reasons = (*reasons, study.derived_because)
        self.result.items.append(
            AddPhotograph(
                accept=True,
                key=photograph.sha256,
                source=self.source,
                certainty=certainty,
                reasons=tuple(r for r in (reason, *reasons) if r),
                path=files[0].found.path,
                photograph=msgspec.structs.replace(
                    photograph,
                    captions=captions,
                    depictions=(*photograph.depictions, *new),
                    taken=study.told.taken or photograph.taken,
                    derived_from=photograph.derived_from or study.derived_from,
                ),
            )
        )
        if len(new) > 1 and any(d.view is View.GROUP for d in new):
            self.result.questions.append(
                where_in_it(files[0], new, self.names, study.regions, self.source, self.archive_id)
            )

    def _link(self, photograph: Photograph, files: list[SurveyedFile]) -> None:
        """A photograph that the archive has: only pieces that it was not known to show count."""
        depictions, certainty, reasons = self._depictions(files)
        shown = {d.object for d in photograph.depictions}
        new = tuple(d for d in depictions if d.object not in shown)
        if shown and not any(
            not self.known.holds(f.found.path, f.found.path_bytes, f.facts.sha256) for f in files
        ):
            return
        if new:
            objects = ",".join(sorted(d.object for d in new))
            self.result.items.append(
                LinkPhotograph(
                    accept=True,
                    key=f"{photograph.sha256}\n{objects}",
                    source=self.source,
                    certainty=certainty,
                    reasons=reasons,
                    path=files[0].found.path,
                    photograph=photograph.id,
                    depictions=new,
                )
            )

    def _depictions(
        self, files: list[SurveyedFile]
    ) -> tuple[tuple[Depiction, ...], Certainty, tuple[str, ...]]:
        """What the files of one picture say it shows, each piece once, the surest word first."""
        by_object: dict[str, Depiction] = {}
        reasons: list[str] = []
        certainty = Certainty.CERTAIN
        undecided = False
        for file in files:
            shown, seen = self.names.shown(file), self.names.seen(file)
            if shown.open:
                undecided = True
                self._open.setdefault(shown.open, []).append(file)
            view = View.GROUP if shown.group else seen.view if seen else View.UNKNOWN
            sure = least_sure(shown.certainty, seen.certainty if seen else Certainty.CERTAIN)
            for object_id in shown.objects:
                depiction = Depiction(
                    object=object_id,
                    view=view,
                    certainty=sure,
                    as_stated=file.found.path,
                    source=Source(source=self.source, place=file.found.path),
                )
                old = by_object.get(object_id)
                if old is None or (old.view is View.UNKNOWN and view is not View.UNKNOWN):
                    by_object[object_id] = depiction
                certainty = least_sure(certainty, sure)
            reasons.extend(r for r in (shown.because, f"view: '{seen.word}'" if seen else "") if r)
        study = self.studied.pictures.get(files[0].facts.sha256)
        if not by_object and not undecided and study is not None and study.objects:
            certainty = least_sure(study.certainty, Certainty.PROBABLE)
            reasons.append(study.because)
            by_object = self._by_group(files[0], study, certainty)
        if not by_object:
            certainty = Certainty.POSSIBLE
            if not undecided:
                reasons.append("no stock number of a record in its names or captions")
        return tuple(by_object.values()), certainty, tuple(dict.fromkeys(reasons))

    def _by_group(
        self, file: SurveyedFile, study: PictureStudy, certainty: Certainty
    ) -> dict[str, Depiction]:
        """What a picture shows by others of its group, as its own names say nothing."""
        several = len(study.objects) > 1
        view = View.GROUP if several else study.seen.view if study.seen else View.UNKNOWN
        return {
            object_id: Depiction(
                object=object_id,
                view=view,
                certainty=certainty,
                source=Source(source=self.source, place=file.found.path),
            )
            for object_id in study.objects
        }

    def _with_captions(self, file: SurveyedFile) -> SurveyedFile:
        """The file with the words beside it and in it."""
        within = file.described.captions if file.described is not None else ()
        words = dict.fromkeys((*file.found.captions, *(c.words for c in within)))
        return replace(file, captions=tuple(words))


_NAMED_AS_PICTURES = frozenset(
    f".{name}"
    for name in ("jpg", "jpeg", "jpe", "png", "tif", "tiff", "gif", "webp", "bmp", "heic", "jp2")
)


def _taken_back(catalogue: Catalogue, photograph: Photograph) -> bool:
    """Whether a photograph is withdrawn because its intake was undone, not by its owner."""
    return photograph.withdrawn and bool(catalogue.versions(photograph.id)[-1].action.undoes)


def _photograph(described: Probe, file: SurveyedFile, archive_id: str) -> Photograph:
    """The photograph that a file is."""
    return Photograph(
        id=lasting_id(archive_id, "photograph", file.facts.sha256),
        sha256=file.facts.sha256,
        extension=file.facts.extension or described.extension,
        media_type=described.media_type,
        width=described.width,
        height=described.height,
        orientation=described.orientation,
        pages=described.pages,
        taken=described.taken,
        captions=described.captions,
        photographer=described.photographer,
        undecodable=described.undecodable,
    )
