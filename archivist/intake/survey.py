"""Surveys old material: reads every source, compares it with the catalogue, writes a proposal."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import msgspec

from archivist import __version__
from archivist.catalogue.archive import Archive
from archivist.catalogue.holdings import occurrences
from archivist.catalogue.sources import imported, source_at, sources
from archivist.digests import digest_file
from archivist.errors import SelectionError, SourceError
from archivist.hooks import FoundFile, FoundRow, Reader, ReaderDescription, Trouble
from archivist.intake.alike import gathered_alike
from archivist.intake.captions import CaptionIntake
from archivist.intake.cells import CellReader
from archivist.intake.contact_sheet.handing_back import FoundList, with_lists
from archivist.intake.contact_sheet.reading import is_photograph_list
from archivist.intake.earlier import Earlier
from archivist.intake.files import KnownFiles, location_of
from archivist.intake.headings import propose, samples
from archivist.intake.mapping import (
    Column,
    Mapping,
    read_mapping,
    recast_columns,
    write_mapping,
)
from archivist.intake.parties import Parties
from archivist.intake.pause import without_garbage_search
from archivist.intake.photographs import FileIntake
from archivist.intake.pictures.findings import Findings
from archivist.intake.proposal import (
    AnyItem,
    Asked,
    CreateObject,
    KeepFile,
    Proposal,
    ProposedSource,
    SaveParty,
    SourceTrouble,
    write_proposal,
)
from archivist.intake.rows import RowIntake, by_row
from archivist.intake.same_party import party_questions
from archivist.intake.sheet import SheetIntake, is_own_sheet
from archivist.intake.vocabulary import tables_of
from archivist.model import ObjectRecord, Party
from archivist.names import slug
from archivist.plugins import Plugins

SURE_ENOUGH = 0.25
"""What a reader must say of itself to be asked to read a source."""

TABLE_WITHIN = 0.55
"""How sure a reader must be of a file within a folder for the file to be read as a source."""

Progress = Callable[[int], None]


@dataclass(frozen=True)
class Told:
    """What a survey came to: the proposal, its file (None where nothing is new), and how much of
    the sources was known already."""

    proposal: Proposal
    path: Path | None
    unchanged: int
    mappings: tuple[Path, ...] = ()


@dataclass
class _Gathered:
    """What has been made of the sources so far."""

    items: list[AnyItem] = field(default_factory=list)
    questions: list[Asked] = field(default_factory=list)
    troubles: list[SourceTrouble] = field(default_factory=list)
    sources: list[ProposedSource] = field(default_factory=list)
    records: list[ObjectRecord] = field(default_factory=list)
    mappings: list[Path] = field(default_factory=list)
    lists: list[FoundList] = field(default_factory=list)
    found: Findings = field(default_factory=Findings)
    unchanged: int = 0


def survey(
    archive: Archive,
    paths: Sequence[Path],
    plugins: Plugins,
    *,
    reader: str = "",
    source_id: str = "",
    mapping: Path | None = None,
    progress: Progress = lambda amount: None,
) -> Told:
    """Reads `paths` and writes a proposal of what is new in them. The catalogue stays as it is.

    `reader` names the reader to use, `source_id` the source that a moved file or folder was,
    `mapping` a file that says how columns are read. `progress` is told bytes as files are read.

    Raises:
        SelectionError: where a path does not exist or nothing can read it.
    """
    with without_garbage_search():
        return Survey(archive, plugins, progress).run(
            paths, reader=reader, source_id=source_id, mapping=mapping
        )


class Survey:
    """One survey of one or more sources."""

    def __init__(self, archive: Archive, plugins: Plugins, progress: Progress) -> None:
        self.archive = archive
        self.catalogue = archive.catalogue
        self.readers = plugins.of("reader", ReaderDescription)
        self.plugins = plugins
        self.progress = progress
        self.tables = tables_of(archive, plugins)
        self.parties = Parties(self.catalogue.all(Party), self.tables)
        self.known = list(self.catalogue.all(ObjectRecord))
        self.earlier = Earlier(archive)
        self.gathered = _Gathered()

    def run(
        self, paths: Sequence[Path], *, reader: str, source_id: str, mapping: Path | None
    ) -> Told:
        """Tables first, so that photographs find the records that tables are about to bring."""
        chosen = [(path, self._reader_for(path, reader)) for path in paths]
        folders = []
        for path, (description, work) in chosen:
            rows, files, troubles = self._read(path, description, work)
            source = self._source(path, description.name, source_id)
            self._trouble(source, troubles)
            if rows or not files:
                self._table(source, path, rows, mapping)
            if files:
                folders.append((source, path, files))
        for source, path, files in folders:
            self._folder(source, path, files, mapping)
        self._lists()
        self._captions()
        return self._told(paths)

    # Reading

    def _reader_for(self, path: Path, name: str) -> tuple[ReaderDescription, Reader]:
        """The reader that is surest of a source."""
        if not path.exists():
            raise SelectionError(
                f"There is no file or folder {path}.", "Nothing was surveyed. Check its name."
            )
        if name:
            description = self.plugins.named("reader", name, ReaderDescription)
            return description, description.make(description.options())
        best = self._surest(path)
        if best is None:
            names = ", ".join(d.name for d in self.readers) or "none"
            raise SelectionError(
                f"Nothing here can read {path}. The readers are: {names}.",
                "If one of them should, name it with --reader.",
            )
        return best[1], best[2]

    def _surest(self, path: Path) -> tuple[float, ReaderDescription, Reader] | None:
        best: tuple[float, ReaderDescription, Reader] | None = None
        for description in self.readers:
            work = description.make(description.options())
            try:
                sure = work.sure(path)
            except Exception:  # noqa: BLE001 - a stranger's reader that fails is not sure
                continue
            if sure > SURE_ENOUGH and (best is None or sure > best[0]):
                best = (sure, description, work)
        return best

    def _read(
        self, path: Path, description: ReaderDescription, work: Reader
    ) -> tuple[list[FoundRow], list[FoundFile], list[Trouble]]:
        """All that a reader finds; where it fails midway what it found before counts."""
        rows: list[FoundRow] = []
        files: list[FoundFile] = []
        troubles: list[Trouble] = []
        try:
            for found in work.read(path):
                if isinstance(found, FoundRow):
                    rows.append(found)
                elif isinstance(found, FoundFile):
                    files.append(found)
                else:
                    troubles.append(found)
        except Exception as problem:  # noqa: BLE001 - whatever a stranger's reader raises
            origin = self.plugins.origin("reader", description.name)
            troubles.append(
                Trouble(
                    place=path.name,
                    reason=(
                        f"the reader '{description.name}' of {origin} stopped: "
                        f"{type(problem).__name__}: {problem}"
                    ),
                    remedy="What it had found until then was used. Tell its author.",
                )
            )
        return rows, files, troubles

    def _source(self, path: Path, reader: str, source_id: str) -> ProposedSource:
        """The source that lies there: known by its place, else by its bytes, else new.

        The UUID of a new source is made of the archive's and its place, so that a second survey
        before the first is applied speaks of the same source.
        """
        location = str(path.resolve())
        known = source_at(self.catalogue, location)
        if source_id:
            if all(s.id != source_id for s in sources(self.catalogue)):
                raise SelectionError(
                    f"There is no source {source_id} in this archive.",
                    "Nothing was surveyed. 'archivist review --sources' lists them.",
                )
            return ProposedSource(id=source_id, reader=reader, location=location)
        if known is not None:
            return ProposedSource(id=known.id, reader=reader, location=location)
        moved = self._moved(path, reader)
        if moved:
            return ProposedSource(id=moved, reader=reader, location=location)
        id_ = str(uuid.uuid5(uuid.UUID(self.archive.settings.id), f"source\n{location}"))
        return ProposedSource(id=id_, reader=reader, location=location)

    def _moved(self, path: Path, reader: str) -> str:
        """The source whose file has the same bytes and lies elsewhere now, '' if none."""
        if not path.is_file():
            return ""
        try:
            sha256 = digest_file(path).sha256
        except OSError:
            return ""
        by_id = {s.id: s for s in sources(self.catalogue)}
        for place in occurrences(self.catalogue, sha256=sha256):
            source = by_id[place.source]
            gone = not Path(source.location).exists()
            if source.reader == reader and Path(source.location).name == place.path and gone:
                return source.id
        return ""

    # Tables

    def _table(
        self, source: ProposedSource, path: Path, rows: list[FoundRow], mapping: Path | None
    ) -> None:
        """The rows of one spreadsheet, and the spreadsheet itself, which is an original too."""
        kept = self._keep_sheet(source, path)
        reader = CellReader(self.tables, self.parties)
        source = msgspec.structs.replace(source, original=kept)
        if is_own_sheet(rows):
            sheet = SheetIntake(self.catalogue, source.id, reader).take(rows)
            if kept and not sheet.items and not sheet.questions:
                self.gathered.items = [i for i in self.gathered.items if i.source != source.id]
            self._take(sheet.items, sheet.questions)
            self._trouble(source, sheet.troubles)
            self.gathered.unchanged += sheet.unchanged
            self.gathered.sources.append(source)
            return
        if not rows:
            self.gathered.sources.append(source)
            return
        if is_photograph_list(rows, self.tables):
            self.gathered.lists.append(FoundList(source, rows))
            self.gathered.sources.append(source)
            return
        columns, file = self._mapping(source, path, rows, mapping)
        intake = RowIntake(
            self.catalogue,
            source.id,
            columns.columns(),
            reader,
            by_row(imported(self.catalogue, source.id)),
            [*self.known, *self.gathered.records],
            recast_columns(columns, file),
        )
        result = intake.take(rows)
        self._take(result.items, result.questions)
        self.gathered.records.extend(result.records)
        self.gathered.unchanged += result.unchanged
        described = tuple(
            msgspec.structs.replace(column, because="", example="") for column in columns.column
        )
        self.gathered.sources.append(
            msgspec.structs.replace(source, mapping=file.name, columns=described)
        )

    def _keep_sheet(self, source: ProposedSource, path: Path) -> str:
        """Proposes to keep the file itself; gives its SHA-256, '' where it cannot be read."""
        known = KnownFiles(self.catalogue, source.id, path)
        try:
            facts = known.facts(path, FoundFile(path=path.name))
        except SourceError as problem:
            self._trouble(
                source, [Trouble(place=path.name, reason=problem.message, remedy=problem.remedy)]
            )
            return ""
        if not known.holds(path.name, "", facts.sha256):
            facts = msgspec.structs.replace(
                facts, media_type=_MEDIA_TYPES.get(facts.extension, facts.media_type)
            )
            self.gathered.items.append(
                KeepFile(
                    accept=True,
                    key=f"{facts.path}\n{facts.sha256}",
                    source=source.id,
                    reasons=("the spreadsheet itself",),
                    file=facts,
                )
            )
        self.progress(facts.size)
        return facts.sha256

    def _mapping(
        self, source: ProposedSource, path: Path, rows: list[FoundRow], given: Path | None
    ) -> tuple[Mapping, Path]:
        """How the columns are read: as the owner said, and as proposed for columns not yet said."""
        file = self.archive.proposals / f"{slug(path.name) or 'source'}.{source.id[:8]}.toml"
        said: tuple[Column, ...] = ()
        if given is not None:
            said = read_mapping(given).column
        elif file.exists():
            said = read_mapping(file).column
        known = {(c.table, c.heading) for c in said}
        fresh = [
            sample
            for sample in samples(rows)
            if (sample.table, sample.heading) not in known and ("", sample.heading) not in known
        ]
        if not fresh and said:
            return Mapping(source=source.id, column=said), file
        mapping = Mapping(source=source.id, column=(*said, *propose(fresh, self.tables)))
        write_mapping(file, mapping)
        self.gathered.mappings.append(file)
        return mapping, file

    def _lists(self) -> None:
        """Lists of photographs come last: what a person says of them counts more than guesses."""
        gathered = self.gathered
        handed = with_lists(
            self.archive,
            gathered.lists,
            gathered.items,
            gathered.questions,
            gathered.found,
            gathered.sources,
            [*self.known, *gathered.records],
            self.tables,
            self.plugins,
        )
        gathered.items = [i for i in handed.items if not self.earlier.refused(i)]
        gathered.questions = [q for q in handed.questions if not self.earlier.asked(q)]
        gathered.found = handed.found
        gathered.unchanged += handed.unchanged
        for source, troubles in handed.troubles:
            self._trouble(source, troubles)

    def _captions(self) -> None:
        """The words that came with photographs, once it is known which piece each shows."""
        gathered = self.gathered
        created = [i.record for i in gathered.items if isinstance(i, CreateObject)]
        reader = CellReader(self.tables, self.parties)
        intake = CaptionIntake(self.catalogue, reader, [*self.known, *created])
        more, asked = intake.take(gathered.found.photographs, gathered.items, gathered.questions)
        gathered.questions = []
        self._take(more, asked)

    # Folders

    def _folder(
        self, source: ProposedSource, path: Path, files: list[FoundFile], mapping: Path | None
    ) -> None:
        """The files of a folder; spreadsheets among them are surveyed as sources of their own."""
        others = []
        for file in files:
            within = location_of(path, file.path, file.path_bytes)
            if path.is_dir() and self._is_table(within):
                self._table_within(within, mapping)
            else:
                others.append(file)
        intake = FileIntake(
            self.archive,
            source.id,
            path,
            [*self.known, *self.gathered.records],
            self.tables,
            self.progress,
        )
        result = intake.take(others)
        self._take(result.items, result.questions)
        self.gathered.found += result.findings
        self._trouble(source, result.troubles)
        self.gathered.unchanged += result.unchanged
        self.gathered.sources.append(source)

    def _is_table(self, path: Path) -> bool:
        best = self._surest(path)
        return best is not None and best[0] >= TABLE_WITHIN and best[1].name != "photo-folder"

    def _table_within(self, path: Path, mapping: Path | None) -> None:
        description, work = self._reader_for(path, "")
        if any(s.location == str(path.resolve()) for s in self.gathered.sources):
            return
        rows, _, troubles = self._read(path, description, work)
        source = self._source(path, description.name, "")
        self._trouble(source, troubles)
        self._table(source, path, rows, mapping)

    # Gathering

    def _take(self, items: Iterable[AnyItem], questions: Iterable[Asked]) -> None:
        """Takes what is new; what a person has refused or was asked before is not said again."""
        self.gathered.items.extend(i for i in items if not self.earlier.refused(i))
        self.gathered.questions.extend(q for q in questions if not self.earlier.asked(q))

    def _trouble(self, source: ProposedSource, troubles: Iterable[Trouble]) -> None:
        self.gathered.troubles.extend(
            SourceTrouble(location=source.location, trouble=trouble) for trouble in troubles
        )

    def _told(self, paths: Sequence[Path]) -> Told:
        """Writes the proposal, unless there is nothing new."""
        gathered = self.gathered
        named = _named(gathered.items, gathered.questions)
        parties: list[AnyItem] = [
            SaveParty(accept=True, key=party.name, source="", party=party)
            for party in self.parties.changed.values()
            if party.id in named
        ]
        gathered.questions.extend(
            q for q in party_questions(self.parties, named) if not self.earlier.asked(q)
        )
        gathered.questions = gathered_alike(gathered.questions)
        proposal = Proposal(
            id=str(uuid.uuid4()),
            made=self.catalogue.now(),
            program=f"archivist {__version__}",
            sources=tuple(gathered.sources),
            items=(*parties, *gathered.items),
            questions=tuple(gathered.questions),
            troubles=tuple(gathered.troubles),
            found=gathered.found,
        )
        path = None
        if not proposal.empty:
            path = write_proposal(self.archive.proposals, proposal, paths[0].stem)
        return Told(proposal, path, gathered.unchanged, tuple(gathered.mappings))


_MEDIA_TYPES = {
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".xlsm": "application/vnd.ms-excel.sheet.macroEnabled.12",
    ".xls": "application/vnd.ms-excel",
    ".xlsb": "application/vnd.ms-excel.sheet.binary.macroEnabled.12",
    ".ods": "application/vnd.oasis.opendocument.spreadsheet",
    ".csv": "text/csv",
    ".tsv": "text/tab-separated-values",
}
"""Types registered with IANA."""


def _named(items: Iterable[AnyItem], questions: Iterable[Asked]) -> set[str]:
    """Every UUID that items and the choices of questions hold, to know which parties they name."""
    import re

    packed = msgspec.json.encode((list(items), list(questions))).decode("utf-8")
    return set(re.findall(r'"([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})"', packed))
