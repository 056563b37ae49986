"""The files of a folder: which are photographs, what they show, and which are one and the same."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

import msgspec

from archivist.catalogue.catalogue import Catalogue
from archivist.errors import SourceError
from archivist.hooks import FoundFile, Trouble
from archivist.imaging.probe import Probe, probe
from archivist.intake.drafts import lasting_id
from archivist.intake.files import KnownFiles, location_of
from archivist.intake.proposal import (
    AddPhotograph,
    AnyItem,
    Asked,
    Choice,
    FileFacts,
    KeepFile,
    LinkPhotograph,
)
from archivist.intake.series import first_views
from archivist.intake.stock_numbers import Claim, NumberIndex
from archivist.intake.views import Seen, view_in
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

ORDER = tuple(Certainty)


@dataclass
class Files:
    """What was made of the files of one source."""

    items: list[AnyItem] = field(default_factory=list)
    questions: list[Asked] = field(default_factory=list)
    troubles: list[Trouble] = field(default_factory=list)
    unchanged: int = 0


@dataclass(frozen=True)
class _File:
    """A file with its bytes' digest and what its names say."""

    found: FoundFile
    facts: FileFacts
    path: Path


@dataclass(frozen=True)
class _Shown:
    """What names say a file shows: the records, how sure, which words, and whether it is a choice.

    `open` lists records of which one is meant, and the words do not say which.
    """

    objects: tuple[str, ...] = ()
    certainty: Certainty = Certainty.CERTAIN
    because: str = ""
    open: tuple[str, ...] = ()
    group: bool = False


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
        self.records = {record.id: record for record in records}
        self.index = NumberIndex(self.records.values(), tables)
        self.tables = tables
        self.progress = progress
        self.known = KnownFiles(catalogue, source, folder)
        self.result = Files()
        self._ambiguous: dict[tuple[str, ...], list[_File]] = {}
        self._embedded: dict[str, tuple[str, ...]] = {}

    def take(self, found: Sequence[FoundFile]) -> Files:
        """Goes through all files: each is read once, copies of one picture are told as one."""
        by_digest: dict[str, list[_File]] = {}
        for item in found:
            path = location_of(self.folder, item.path, item.path_bytes)
            try:
                facts = self.known.facts(self.folder, item)
            except SourceError as problem:
                self.result.troubles.append(
                    Trouble(place=item.path, reason=problem.message, remedy=problem.remedy)
                )
                continue
            by_digest.setdefault(facts.sha256, []).append(_File(item, facts, path))
            self.progress(facts.size)
        for files in by_digest.values():
            self._same_bytes(files)
        self._ask_of_ambiguous()
        self.result.questions.extend(first_views(self.result.items, self.source))
        return self.result

    def _same_bytes(self, files: list[_File]) -> None:
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
        self._embedded[first.facts.sha256] = tuple(caption.words for caption in embedded)
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

    def _probe(self, file: _File) -> Probe | None:
        """What a file says of itself; what is no picture although its name says so is named."""
        try:
            described = probe(file.path)
        except SourceError as problem:
            self.result.troubles.append(
                Trouble(place=file.found.path, reason=problem.message, remedy=problem.remedy)
            )
            return None
        pretends = PurePosixPath(file.found.path).suffix.lower() in _NAMED_AS_PICTURES
        if described.undecodable and (pretends or described.media_type.startswith("image/")):
            self.result.troubles.append(
                Trouble(
                    place=file.found.path,
                    reason=described.undecodable,
                    remedy="It is kept as it is; look for a better copy.",
                )
            )
        return described

    def _keep(self, file: _File, described: Probe | None, copy_of: _File | None) -> None:
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

    def _add(self, files: list[_File], photograph: Photograph, reason: str) -> None:
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
            self._ask_for_regions(files[0], new)

    def _link(self, photograph: Photograph, files: list[_File]) -> None:
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

    # What names say

    def _depictions(
        self, files: list[_File]
    ) -> tuple[tuple[Depiction, ...], Certainty, tuple[str, ...]]:
        """What the files of one picture say it shows, each piece once, the surest word first."""
        by_object: dict[str, Depiction] = {}
        reasons: list[str] = []
        certainty = Certainty.CERTAIN
        for file in files:
            shown = self._shown(file)
            if shown.open:
                self._ambiguous.setdefault(shown.open, []).append(file)
            seen = self._seen(file)
            view = View.GROUP if shown.group else seen.view if seen else View.UNKNOWN
            for object_id in shown.objects:
                sure = max(
                    (shown.certainty, seen.certainty if seen else Certainty.CERTAIN),
                    key=ORDER.index,
                )
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
                certainty = max(certainty, sure, key=ORDER.index)
            reasons.extend(r for r in (shown.because, f"view: '{seen.word}'" if seen else "") if r)
        if not by_object:
            certainty = Certainty.POSSIBLE
            if not any(self._shown(file).open for file in files):
                reasons.append("no stock number of a record in its names or captions")
        return tuple(by_object.values()), certainty, tuple(dict.fromkeys(reasons))

    def _captions(self, file: _File) -> tuple[str, ...]:
        """The words that came with a picture, beside it and in it."""
        return (*file.found.captions, *self._embedded.get(file.facts.sha256, ()))

    def _shown(self, file: _File) -> _Shown:
        """The records that names point to: of the file itself, its captions, then its folders."""
        path = PurePosixPath(file.found.path)
        places = [("name", path.stem), *(("caption", words) for words in self._captions(file))]
        places += [("folder", part) for part in reversed(path.parts[:-1])]
        if self.folder.is_dir():
            places.append(("folder", self.folder.name))
        for kind, words in places:
            claims = self.index.claims(words)
            if claims:
                return self._settled(kind, words, claims, file)
        return _Shown()

    def _settled(self, kind: str, words: str, claims: list[Claim], file: _File) -> _Shown:
        """What the claims of one name come to."""
        because = f"{kind} '{words[:60]}' has {', '.join(dict.fromkeys(c.words for c in claims))}"
        certainty = max((c.certainty for c in claims), key=ORDER.index)
        distinct = list(dict.fromkeys(c.objects for c in claims))
        if len(distinct) == 1:
            objects = distinct[0]
            if len(objects) == 1:
                return _Shown(objects, certainty, because)
            told = self._told_apart(objects, file)
            if told:
                title = self.records[told].title
                return _Shown((told,), Certainty.PROBABLE, f"{because}, and words of '{title}'")
            return _Shown(because=because, open=objects)
        single = tuple(dict.fromkeys(o for objects in distinct for o in objects[:1]))
        if kind == "folder":
            return _Shown(because=because, open=single)
        return _Shown(single, Certainty.PROBABLE, because, group=True)

    def _told_apart(self, objects: tuple[str, ...], file: _File) -> str:
        """Of records with one number, the one whose title alone has words of the file's names."""
        words = set(file.found.view_words.casefold().split())
        words |= {w for c in self._captions(file) for w in c.casefold().split()}
        scores = {
            object_id: len(
                words
                & set(_title_words(self.records[object_id].title)) - _common(self.records, objects)
            )
            for object_id in objects
        }
        ranked = sorted(scores, key=lambda o: -scores[o])
        if scores[ranked[0]] and scores[ranked[0]] > scores[ranked[1]]:
            return ranked[0]
        return ""

    def _seen(self, file: _File) -> Seen | None:
        """The view by the words of the name, else of captions, else of a folder named as a view."""
        path = PurePosixPath(file.found.path)
        seen = view_in(path.stem, self.tables)
        if seen is None:
            for words in self._captions(file):
                seen = view_in(words, self.tables)
                if seen is not None:
                    return Seen(
                        seen.view,
                        max(seen.certainty, Certainty.PROBABLE, key=ORDER.index),
                        seen.word,
                    )
        if seen is None and path.parent.parts and len(path.parent.name.split()) <= 2:
            seen = view_in(path.parent.name, self.tables)
        return seen

    # Questions

    def _ask_of_ambiguous(self) -> None:
        """One question for all photographs that may show one of the same records."""
        for objects, files in self._ambiguous.items():
            names = [self.records[o] for o in objects]
            choices = []
            for record in names:
                links = tuple(
                    LinkPhotograph(
                        accept=True,
                        key=f"{file.facts.sha256}\n{record.id}",
                        source=self.source,
                        path=file.found.path,
                        photograph=lasting_id(self.archive_id, "photograph", file.facts.sha256),
                        depictions=(self._answered(file, record.id),),
                    )
                    for file in files
                )
                choices.append(Choice(answer=record.title or record.name, items=links))
            paths = ", ".join(file.found.path for file in files[:4])
            more = f" and {len(files) - 4} more" if len(files) > 4 else ""
            self.result.questions.append(
                Asked(
                    key=f"which of\n{','.join(objects)}\n{','.join(sorted(f.facts.sha256 for f in files))}",  # noqa: E501
                    source="",
                    asks=_which_piece(len(files), names),
                    about=paths + more,
                    choices=tuple(choices),
                )
            )

    def _answered(self, file: _File, object_id: str) -> Depiction:
        seen = self._seen(file)
        return Depiction(
            object=object_id,
            view=seen.view if seen else View.UNKNOWN,
            as_stated=file.found.path,
            source=Source(source=self.source, place=file.found.path),
        )

    def _ask_for_regions(self, file: _File, depictions: tuple[Depiction, ...]) -> None:
        names = ", ".join(self.records[d.object].name for d in depictions)
        self.result.questions.append(
            Asked(
                key=f"regions\n{file.facts.sha256}",
                source="",
                asks=(
                    f"The photograph shows {len(depictions)} pieces ({names}). Where in it is "
                    'each? Write "region": {"x": ..., "y": ..., "width": ..., "height": ..., '
                    '"reference_width": ..., "reference_height": ...} into its depictions.'
                ),
                about=file.found.path,
            )
        )


_NAMED_AS_PICTURES = frozenset(
    f".{name}"
    for name in ("jpg", "jpeg", "jpe", "png", "tif", "tiff", "gif", "webp", "bmp", "heic", "jp2")
)


def _which_piece(count: int, records: Sequence[ObjectRecord]) -> str:
    """The question which of several records photographs show."""
    named = " and ".join(f"{record.name} ({record.title})" for record in records)
    if count == 1:
        return f"Which piece does this photograph show? Its name fits {named}."
    return f"Which piece do these {count} photographs show? Their names fit {named}."


def _taken_back(catalogue: Catalogue, photograph: Photograph) -> bool:
    """Whether a photograph is withdrawn because its intake was undone, not by its owner."""
    return photograph.withdrawn and bool(catalogue.versions(photograph.id)[-1].action.undoes)


def _photograph(described: Probe, file: _File, archive_id: str) -> Photograph:
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


def _title_words(title: str) -> list[str]:
    return [w.strip(".,;:()") for w in title.casefold().split() if len(w) > 3]


def _common(records: dict[str, ObjectRecord], objects: tuple[str, ...]) -> set[str]:
    """Words that the titles of all those records have."""
    titles = [set(_title_words(records[o].title)) for o in objects]
    return set.intersection(*titles)
