"""The files of a folder: which are photographs, what they show, and which are one and the same."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePosixPath

import msgspec

from archivist.catalogue.catalogue import Catalogue
from archivist.errors import SourceError
from archivist.hooks import FoundFile, Trouble
from archivist.imaging.probe import Probe, probe
from archivist.intake.drafts import lasting_id
from archivist.intake.files import KnownFiles, location_of
from archivist.intake.photograph_questions import where_in_it, which_piece
from archivist.intake.proposal import (
    AddPhotograph,
    AnyItem,
    Asked,
    KeepFile,
    LinkPhotograph,
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
    unchanged: int = 0


class FileIntake:
    """Compares the files of one source with the catalogue."""

    def __init__(
        self,
        catalogue: Catalogue,
        archive_id: str,
        source: str,
        folder: Path,
        records: Iterable[ObjectRecord],
        tables: Tables,
        progress: Callable[[int], None] = lambda amount: None,
    ) -> None:
        self.catalogue = catalogue
        self.archive_id = archive_id
        self.source = source
        self.folder = folder
        self.names = NameReader(records, folder.name if folder.is_dir() else "", tables)
        self.progress = progress
        self.known = KnownFiles(catalogue, source, folder)
        self.result = Files()
        self._open: dict[tuple[str, ...], list[SurveyedFile]] = {}

    def take(self, found: Sequence[FoundFile]) -> Files:
        """Goes through all files: each is read once, copies of one picture are told as one."""
        by_digest: dict[str, list[SurveyedFile]] = {}
        for file in self._digested(found):
            by_digest.setdefault(file.facts.sha256, []).append(file)
        for files in by_digest.values():
            self._same_bytes(files)
        self.result.questions.extend(
            which_piece(objects, files, self.names, self.source, self.archive_id)
            for objects, files in self._open.items()
        )
        self.result.questions.extend(first_views(self.result.items, self.source))
        return self.result

    def _digested(self, found: Sequence[FoundFile]) -> Iterator[SurveyedFile]:
        """The files with their digests, in order; several are read at once, as digests take time
        and leave the interpreter free. One that cannot be read is named and left out."""
        with ThreadPoolExecutor(max_workers=min(8, os.cpu_count() or 1)) as pool:
            waiting = [pool.submit(self.known.facts, self.folder, item) for item in found]
            try:
                for item, work in zip(found, waiting, strict=True):
                    try:
                        facts = work.result()
                    except SourceError as problem:
                        self._trouble(item.path, problem.message, problem.remedy)
                        continue
                    self.progress(facts.size)
                    path = location_of(self.folder, item.path, item.path_bytes)
                    yield SurveyedFile(item, facts, path)
            except BaseException:
                pool.shutdown(wait=False, cancel_futures=True)
                raise

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
        described: Probe | None = None
        if new and not known:
            described = self._probe(first)
            if described is None:
                return
            embedded = described.captions
        else:
            embedded = known[0].captions if known else ()
        files = [_with_captions(file, embedded) for file in files]
        for number, file in enumerate(new):
            self._keep(file, described, first if number else None)
        if known and not again:
            self.result.unchanged += len(files) - len(new)
            if not gone:
                self._link(known[0], files)
        elif known:
            back = msgspec.structs.replace(known[0], withdrawn=False)
            self._add(files, back, "its intake was taken back; it comes again")
        elif described is not None and described.media_type.startswith("image/"):
            self._add(files, _photograph(described, first, self.archive_id), "")

    def _probe(self, file: SurveyedFile) -> Probe | None:
        """What a file says of itself; what is no picture although its name says so is named."""
        try:
            described = probe(file.path)
        except SourceError as problem:
            self._trouble(file.found.path, problem.message, problem.remedy)
            return None
        pretends = PurePosixPath(file.found.path).suffix.lower() in _NAMED_AS_PICTURES
        if described.undecodable and (pretends or described.media_type.startswith("image/")):
            remedy = "It is kept as it is; look for a better copy."
            self._trouble(file.found.path, described.undecodable, remedy)
        return described

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
                ),
            )
        )
        if len(new) > 1 and any(d.view is View.GROUP for d in new):
            self.result.questions.append(where_in_it(files[0], new, self.names))

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
        if not by_object:
            certainty = Certainty.POSSIBLE
            if not undecided:
                reasons.append("no stock number of a record in its names or captions")
        return tuple(by_object.values()), certainty, tuple(dict.fromkeys(reasons))


_NAMED_AS_PICTURES = frozenset(
    f".{name}"
    for name in ("jpg", "jpeg", "jpe", "png", "tif", "tiff", "gif", "webp", "bmp", "heic", "jp2")
)


def _with_captions(file: SurveyedFile, embedded: Iterable[Caption]) -> SurveyedFile:
    """The file with the words beside it and in it."""
    within = (caption.words for caption in embedded)
    return replace(file, captions=tuple(dict.fromkeys((*file.found.captions, *within))))


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
