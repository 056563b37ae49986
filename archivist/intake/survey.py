"""Surveys old material: reads every source, compares it with the catalogue, writes a proposal."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import msgspec

from archivist import __version__
from archivist.catalogue.archive import Archive
from archivist.catalogue.erased import ErasedNames, erased_names
from archivist.catalogue.originals import remove_tree, write_whole
from archivist.catalogue.sources import imported
from archivist.errors import SourceError
from archivist.hooks import FoundFile, FoundRow, Trouble
from archivist.intake.again import NAME, read_again
from archivist.intake.alike import gathered_alike
from archivist.intake.bands import left_aside, tables_without_pieces
from archivist.intake.captions import CaptionIntake
from archivist.intake.cells import CellReader
from archivist.intake.contact_sheet.handing_back import FoundList, with_lists
from archivist.intake.contact_sheet.reading import is_photograph_list
from archivist.intake.earlier import Earlier
from archivist.intake.erased import without_erased
from archivist.intake.files import location_of
from archivist.intake.mapping import recast_columns
from archivist.intake.parties import Parties
from archivist.intake.pause import without_garbage_search
from archivist.intake.photographs import FileIntake
from archivist.intake.pictures.findings import Findings
from archivist.intake.proposal import (
    AnyItem,
    Asked,
    CreateObject,
    Proposal,
    ProposedSource,
    SaveParty,
    SourceTrouble,
    write_proposal,
)
from archivist.intake.rows import RowIntake, by_row
from archivist.intake.same_party import party_questions
from archivist.intake.sheet import SheetIntake, is_own_sheet
from archivist.intake.sheet_files import columns_of, sheet_kept
from archivist.intake.source_identity import source_of, source_of_same_words
from archivist.intake.source_readers import SourceReaders
from archivist.intake.superseded import supersede
from archivist.intake.vocabulary import tables_of
from archivist.model import ObjectRecord, Party
from archivist.plugins import Plugins

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


def survey_again(archive: Archive, plugins: Plugins) -> Told:
    """Reads the kept words of every table once more and proposes corrections of what an older
    reading made and nobody touched. The catalogue stays as it is."""
    with without_garbage_search():
        return Survey(archive, plugins, lambda amount: None).again()


class Survey:
    """One survey of one or more sources."""

    def __init__(self, archive: Archive, plugins: Plugins, progress: Progress) -> None:
        self.archive = archive
        self.catalogue = archive.catalogue
        self.readers = SourceReaders(plugins)
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
        chosen = [(path, self.readers.chosen(path, reader)) for path in paths]
        folders = []
        for path, by in chosen:
            read = self.readers.read(path, by)
            source = source_of(self.archive, path, by.name, source_id)
            if not source_id:
                source = self._by_content(source, read.rows)
            self._trouble(source, read.troubles)
            if read.rows or not read.files:
                self._table(source, path, read.rows, mapping)
            if read.files:
                folders.append((source, path, read.files))
        for source, path, files in folders:
            self._folder(source, path, files, mapping)
        self._lists()
        self._captions()
        return self._told(paths[0].stem)

    def again(self) -> Told:
        """Cells that are read otherwise now."""
        found = read_again(self.archive, CellReader(self.tables, self.parties), self.earlier)
        self._take(found.items, found.questions)
        self.gathered.sources.extend(found.sources)
        self.gathered.unchanged += found.untouched
        return self._told(NAME)

    # Tables

    def _by_content(self, source: ProposedSource, rows: list[FoundRow]) -> ProposedSource:
        """The source that a table at a new place was before, where it says the same; where the
        file that it was still lies at its old place that is only said."""
        like = source_of_same_words(self.catalogue, source, rows)
        if like is None:
            return source
        if not Path(like.location).exists():
            return msgspec.structs.replace(source, id=like.id)
        trouble = Trouble(
            place=Path(source.location).name,
            reason=f"it says much of what was taken in from {like.location}",
            remedy=(
                "Where it is the same list at another place, refuse what is proposed and survey it "
                f"with --source-id {like.id}."
            ),
            harmless=True,
        )
        self._trouble(source, [trouble])
        return source

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
        columns, file, written = columns_of(self.archive, source, path, rows, mapping, self.tables)
        self.gathered.mappings.extend([file] if written else [])
        intake = RowIntake(
            self.catalogue,
            source.id,
            columns.columns(),
            reader,
            by_row(imported(self.catalogue, source.id)),
            [*self.known, *self.gathered.records],
            recast_columns(columns, file),
            tables_without_pieces(columns.column),
        )
        result = intake.take(rows)
        self._trouble(source, left_aside(result.headings))
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
        try:
            facts, item = sheet_kept(self.catalogue, source, path)
        except SourceError as problem:
            trouble = Trouble(place=path.name, reason=problem.message, remedy=problem.remedy)
            self._trouble(source, [trouble])
            return ""
        self.gathered.items.extend([item] if item is not None else [])
        self.progress(facts.size)
        return facts.sha256

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
            if path.is_dir() and self.readers.is_table(within):
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

    def _table_within(self, path: Path, mapping: Path | None) -> None:
        if any(s.location == str(path.resolve()) for s in self.gathered.sources):
            return
        by = self.readers.chosen(path)
        read = self.readers.read(path, by)
        source = self._by_content(source_of(self.archive, path, by.name), read.rows)
        self._trouble(source, read.troubles)
        self._table(source, path, read.rows, mapping)

    # Gathering

    def _take(self, items: Iterable[AnyItem], questions: Iterable[Asked]) -> None:
        """Takes what is new; what a person has refused or was asked before is not said again."""
        self.gathered.items.extend(i for i in items if not self.earlier.refused(i))
        self.gathered.questions.extend(q for q in questions if not self.earlier.asked(q))

    def _trouble(self, source: ProposedSource, troubles: Iterable[Trouble]) -> None:
        self.gathered.troubles.extend(
            SourceTrouble(location=source.location, trouble=trouble) for trouble in troubles
        )

    def _told(self, name: str) -> Told:
        """Writes the proposal, unless there is nothing new."""
        gathered = self.gathered
        named = _named(gathered.items, gathered.questions) if self.parties.changed else set()
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
        erased = erased_names(self.catalogue.connection)
        if erased is not None:
            proposal, found = without_erased(proposal, erased)
            name = erased.replaced(name)
            self._forget(erased, found)
        if not proposal.empty:
            path = write_proposal(self.archive.proposals, proposal, name)
            if name != NAME:
                supersede(self.archive, path, proposal)
        return Told(proposal, path, gathered.unchanged, tuple(gathered.mappings))

    def _forget(self, erased: ErasedNames, found: int) -> None:
        """Takes the names of those who were erased out of what this survey wrote besides."""
        for file in self.gathered.mappings:
            words = file.read_text(encoding="utf-8")
            if (cleaned := erased.replaced(words)) != words:
                write_whole(file, cleaned)
        if found:
            remove_tree(self.archive.derivatives)
            self.archive.derivatives.mkdir(exist_ok=True)


def _named(items: Iterable[AnyItem], questions: Iterable[Asked]) -> set[str]:
    """Every UUID that items and the choices of questions hold, to know which parties they name."""
    import re

    packed = msgspec.json.encode((list(items), list(questions)))
    found = re.finditer(rb'"([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})"', packed)
    return {match[1].decode("ascii") for match in found}
