"""The plugin interface, whole, on one page.

A plugin is a module of any distribution that names it under the entry point group `archivist`:

    [project.entry-points.archivist]
    index-card = "my_package.index_card"

The module implements one or more of the five hooks at the end of this page with `@hookimpl`. Each
hook returns descriptions; the work is done by the object that a description makes. What a plugin
is handed has already been through disclosure: it cannot give away what its audience may not see.

    reader       old material in: says whether it can read a source, yields what it found there
    exporter     a format out: writes disclosed pieces into a package
    check        looks at a record, yields findings
    vocabulary   brings tables of terms or periods
    audience     brings a disclosure rule
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from enum import StrEnum
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import IO, BinaryIO, Protocol

import pluggy

from archivist.content import ByteSource, Content, checked_content
from archivist.imaging.colour.values import Reading
from archivist.model import Depiction, ObjectRecord, Party, Photograph, Region, Value, View
from archivist.signing import Seal, Signer

INTERFACE_VERSION = 1
"""Raised when a plugin written for the version before could no longer work."""

PROJECT = "archivist"
hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)


@dataclass(frozen=True)
class Standard:
    """The published standard that a format follows."""

    name: str
    version: str = ""
    uri: str = ""


class NoOptions(Value, frozen=True, kw_only=True):
    """The options of a plugin that has none. Options are a model: typed, with defaults."""


# What an exporter is given


@dataclass(frozen=True)
class ArchiveFacts:
    """What outputs say of the archive they came from. `base_uri` is empty when unpublished."""

    id: str
    name: str
    owner: str
    language: str
    rights_uri: str
    rights_holder: str
    credit: str
    base_uri: str
    program: str


@dataclass(frozen=True)
class FileEvent:
    """Something that befell a file in the archive.

    `type` and `outcome` are terms of the PREMIS vocabularies ('ingestion', 'fixity check';
    'success', 'fail', 'warning'), `at` is when (RFC 3339), `agent` the program that did it, with
    its version.
    """

    type: str
    at: str
    detail: str = ""
    outcome: str = ""
    agent: str = ""


@dataclass(frozen=True)
class DisclosedPhotograph:
    """One picture of a piece, as the audience may see it.

    It is the original for the owner, a clean copy (or the crop of the piece out of a group) for
    others. `content` gives its bytes, and `Package.copy` hands them on, both compared with their
    digest; `path` is where the file lies. `sha256`, `sha512`, `size`, `width`, `height` are of
    that file, `original_sha256` of the original. `name` is a file name that is legal everywhere;
    `how` says what was done to a copy, empty for an original. `region` is the part that shows the
    piece, None where all of it does. `colours_kept` is the file in which its colours are kept once
    they were measured, None for nowhere. `history` is what befell the original since it was taken
    in, oldest first: the owner's alone, and empty for others.
    """

    photograph: Photograph
    depiction: Depiction
    path: Path
    name: str
    media_type: str
    width: int
    height: int
    sha256: str
    sha512: str
    size: int
    original_sha256: str
    label: str
    region: Region | None = None
    how: str = ""
    colours_kept: Path | None = None
    history: tuple[FileEvent, ...] = ()

    def content(self) -> Content:
        """The whole file, read once and compared with its digest: what to decode or to write.

        Raises:
            FixityError: where it is not what was recorded; nothing of it may be given out.
        """
        return checked_content(self.path, self.sha256)

    def colours(self, small: ByteSource | None = None) -> Reading:
        """The colours of the glaze as this picture shows it, or why they cannot be told.

        `small` is a picture of all of this one, if there is one that is decoded more quickly. Of a
        detail the middle is measured, as the piece fills it. Not every view is worth measuring:
        `archivist.finding.colours` chooses.
        """
        from archivist.imaging.colour.kept import reading

        def source() -> ByteSource:
            return self.content() if small is None or self.region is not None else small

        return reading(
            source,
            region=self.region,
            filled=self.depiction.view is View.DETAIL,
            kept=self.colours_kept,
        )


@dataclass(frozen=True)
class PayloadFile:
    """A file of the archive itself, as the owner's packages hold it.

    `path` is relative, with forward slashes; `source` is the file to read, or `content` the bytes
    where there is none; `opens` opens a large one that lies within a package that is one file. The
    digests are known beforehand or empty. `missing` says why there is none of these: the archive's
    own is damaged. What is missing is not written, and listed.
    """

    path: str
    source: Path | None = None
    content: bytes = b""
    sha256: str = ""
    sha512: str = ""
    missing: str = ""
    opens: Callable[[], AbstractContextManager[IO[bytes]]] | None = None


@dataclass(frozen=True)
class Piece:
    """One object record with its photographs and parties, holding only what may be disclosed.

    `slug` is a name for files and folders of this piece, `uri` its identifier on the web,
    `parties` those that the record names, `photographs` in the order in which they are shown.
    `preserved` are files that let the owner's archive take the piece back with its whole history;
    for other audiences there are none. `withheld` names the fields of the record ('observations',
    'provenance') of which something, or everything, is not given to this audience: such a field is
    'not given here' and never 'not recorded'.
    """

    record: ObjectRecord
    photographs: tuple[DisclosedPhotograph, ...]
    parties: tuple[Party, ...]
    slug: str
    uri: str
    preserved: tuple[PayloadFile, ...] = ()
    withheld: frozenset[str] = frozenset()

    def party(self, party_id: str) -> Party | None:
        """The party of that id, or None where it is not disclosed."""
        return next((p for p in self.parties if p.id == party_id), None)


@dataclass(frozen=True)
class Selection:
    """Everything one release gives out. `pieces()` reads them afresh, one at a time.

    `preserved()` yields the files of the whole archive where the owner asked for that, else
    nothing. `made` is the moment of the release (RFC 3339), so that no plugin asks a clock.
    `signer` is there where the owner asked for signatures; a format that can hold one of its own
    signs with it, and whole packages are signed without a plugin's doing. `exporters` names those
    that write this release, in their order.
    """

    archive: ArchiveFacts
    audience: str
    made: str
    title: str
    count: int
    pieces: Callable[[], Iterator[Piece]] = field(repr=False)
    preserved: Callable[[], Iterator[PayloadFile]] = field(repr=False, default=lambda: iter(()))
    whole_archive: bool = False
    signer: Signer | None = field(repr=False, default=None)
    exporters: tuple[str, ...] = ()


@dataclass(frozen=True)
class WrittenFile:
    """A file in a package: its path there, where it lies now, its size and digests."""

    path: str
    location: Path
    size: int
    sha256: str
    sha512: str

    def content(self) -> Content:
        """Its bytes, compared with the digest under which it was written.

        Raises:
            FixityError: where they are others.
        """
        return checked_content(self.location, self.sha256, _WRITTEN_ANEW)


_WRITTEN_ANEW = "It is written again where its folder is deleted and released to once more."


class Package(Protocol):
    """What an exporter writes into. Every byte is digested as it is written.

    Paths are relative, parted by `/`, of segments of `[a-z0-9._,-]`; anything else, and any path
    outside the package, raises `PackageError` and ends this exporter's work on this piece.
    """

    def write(self, path: str, content: bytes | str) -> WrittenFile:
        """Writes `content` (text as UTF-8) to `path`."""

    def copy(self, path: str, source: Path, sha256: str = "") -> WrittenFile:
        """Copies the file `source` to `path`. Threads may do so at once, for different paths.

        A digest that is given is compared as the bytes pass, as is that of every photograph of the
        piece; where it is another, `FixityError` is raised and nothing of the file is written.
        """

    def left_out(self, path: str, reason: str) -> None:
        """Tells the owner of a file that should be there and is not: the run is not whole."""

    def open(self, path: str) -> AbstractContextManager[BinaryIO]:
        """Opens `path` for writing; the file counts once the block ends without an error."""

    def companions(self) -> Iterable[WrittenFile]:
        """What was written so far: of this piece by the exporters before this one, or, for a
        selection, of all pieces also by this one.

        Paths begin with the name of the exporter that wrote them.
        """

    def companion(self, path: str) -> WrittenFile | None:
        """The companion of that path, None where there is none; looks at no other."""

    def note(self, words: str) -> None:
        """Keeps a note on this piece for `export_selection`; one for each piece.

        It stands in the journal of a publication, which its audience can read.
        """

    def notes(self) -> Iterator[str]:
        """For a selection, this exporter's notes on its pieces, in the order of the selection.

        Also on pieces that did not change and were not exported again: whoever needs no more of a
        piece than its note spares reading it anew.
        """


class Exporter:
    """What writes one format. Override one method or both; both are called in turn."""

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        """Writes one piece; called once for each, into a package of its own."""

    def export_selection(self, selection: Selection, package: Package) -> None:
        """Writes what there is once for the whole selection; called after all pieces."""


class FixityState(StrEnum):
    MISSING = "missing"
    CHANGED = "changed"
    EXTRA = "extra"
    UNREADABLE = "unreadable"
    INVALID = "invalid"


@dataclass(frozen=True)
class FixityProblem:
    """One file that is not as recorded, or one rule of the package that is broken."""

    state: FixityState
    path: str
    detail: str = ""


@dataclass(frozen=True)
class FixityReport:
    """What a fixity check found: how much was looked at, and everything that is not right.

    `unlisted` are files that may be there and that no digest covers, so that nothing can be said
    of them. `left_out` is what the package says of itself that it lacks, with the reason, since it
    was damaged when the package was made.
    """

    kind: str
    files: int
    size: int
    problems: tuple[FixityProblem, ...] = ()
    remarks: tuple[str, ...] = ()
    unlisted: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True)
class PackageFacts:
    """What a package says of itself, '' where it does not say. Only `verify` tells if it holds.

    `audience` is who it was made for, `scope` what it covers ('archive', 'selection' or
    'object'), `identifier` the UUID of the archive or record it is of.
    """

    audience: str = ""
    scope: str = ""
    identifier: str = ""
    made: str = ""


class PackageFormat(Protocol):
    """Opens packages that an exporter wrote, or that anybody wrote in the same format."""

    def recognises(self, path: Path) -> bool:
        """Whether `path` is a package of this format, by a look at few bytes."""

    def facts(self, path: Path) -> PackageFacts:
        """What the package says of itself."""

    def verify(
        self, path: Path, *, progress: Callable[[int], None], second_opinion: bool = False
    ) -> FixityReport:
        """Compares every file with its recorded digests; `progress` is told bytes as they pass."""

    def seal(self, path: Path) -> Seal:
        """The bytes that seal the package, with the signature and key that stand beside them."""

    def payload(
        self, path: Path, wanted: Callable[[str], bool] = lambda path: True
    ) -> Iterator[PayloadFile]:
        """The payload's files with decoded relative paths and their recorded digests.

        Only those whose path is `wanted` are read.
        """


@dataclass(frozen=True)
class DocumentSignature:
    """A signature that a document holds within itself.

    `signer` is the name that the certificate gives, which anybody can write into one;
    `fingerprint` the SHA-256 of the certificate; `at` when it was made, as the signer says (RFC
    3339). `trouble` says what is not as it was signed, and is empty where all of it is.
    """

    signer: str = ""
    fingerprint: str = ""
    at: str = ""
    trouble: str = ""


class DocumentFormat(Protocol):
    """Judges documents of a format that can hold signatures of its own."""

    def recognises(self, name: str) -> bool:
        """Whether a file of that name is such a document."""

    def signatures(self, content: bytes) -> tuple[DocumentSignature, ...]:
        """The signatures that the document holds, in the order in which they were made.

        Raises `PluginError` where what checks them is not installed, and `PackageError` where
        `content` is no such document.
        """


@dataclass(frozen=True)
class ExporterDescription:
    """A format that can be written.

    `make` turns options into the object that does the work. `after` names exporters whose output
    this one may take in ('*': all others); such an exporter finds it by `package.companions()`.
    `needs` names exporters that a release with this one runs too, asked for or not. `start` is the
    file, below the exporter's folder, that a person opens first.
    `takes_in` says that what it takes in shall not also stand beside it. `immutable` says that a
    release with it makes a new package each time and never updates one. `opens` reads packages of
    this format back; `judges` tells of documents of this format who signed them, and whether they
    are as they were signed. `losses` lists in plain words what the format has no place for.
    """

    name: str
    title: str
    make: Callable[[Value], Exporter]
    standard: Standard | None = None
    options: type[Value] = NoOptions
    after: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    start: str = ""
    takes_in: bool = False
    immutable: bool = False
    opens: PackageFormat | None = None
    judges: DocumentFormat | None = None
    losses: tuple[str, ...] = ()


# What a reader gives


class Cell(Value, frozen=True, kw_only=True):
    """One cell: the heading over it, its words, and the plain-words place ('row 14, column C')."""

    column: str
    text: str
    place: str = ""


class FoundRow(Value, frozen=True, kw_only=True):
    """A row of a table. `table` names the sheet, `number` is its row number there, from 1.

    Cells without words are left out, but for a table's first row: there they tell that a column is
    in the table at all, so that a column that was emptied is not taken for one that is gone.
    """

    table: str
    number: int
    cells: tuple[Cell, ...]


class FoundFile(Value, frozen=True, kw_only=True):
    """A file that belongs in the archive.

    `path` is relative to the source with forward slashes (base64 of its bytes in `path_bytes`
    where it is not Unicode); `number` is the stock number of the piece that it shows, where the
    source says so; `captions` are words that came with it. What its names say is read by whoever
    compares them with records.
    """

    path: str
    path_bytes: str = ""
    number: str = ""
    captions: tuple[str, ...] = ()


class Trouble(Value, frozen=True, kw_only=True):
    """Something in the source that could not be read: where, why, and what to do about it.

    `harmless` is for what need not trouble anyone: an empty sheet, a file browser's own files.
    """

    place: str
    reason: str
    remedy: str = ""
    harmless: bool = False


Found = FoundRow | FoundFile | Trouble


class Reader(Protocol):
    """Reads one kind of old material. Never writes to the source."""

    def sure(self, source: Path) -> float:
        """How sure it is that it can read `source`: 0 (cannot) to 1. Looks, does not read all."""

    def read(self, source: Path) -> Iterator[Found]:
        """Yields what is there, in order, as it comes."""


@dataclass(frozen=True)
class ReaderDescription:
    """A kind of old material that can be read."""

    name: str
    title: str
    make: Callable[[Value], Reader]
    standard: Standard | None = None
    options: type[Value] = NoOptions


# Checks, vocabularies, audiences


class Level(StrEnum):
    NOTE = "note"
    QUESTION = "question"
    PROBLEM = "problem"


class Finding(Value, frozen=True, kw_only=True):
    """What a check found: a code to search for, how serious, where, and what to do."""

    code: str
    level: Level
    where: str
    message: str
    remedy: str = ""


@dataclass(frozen=True)
class CheckDescription:
    """A look at one record, with the owner's eyes."""

    name: str
    title: str
    check: Callable[[Piece], Iterable[Finding]]
    standard: Standard | None = None


@dataclass(frozen=True)
class VocabularyDescription:
    """Tables of terms or periods, as files in the form of `archivist_schemas/tables`."""

    name: str
    title: str
    tables: tuple[Path | Traversable, ...]
    standard: Standard | None = None


@dataclass(frozen=True)
class AudienceDescription:
    """An audience: what it `sees` beyond what `like` (an audience that exists) already does.

    Both lists name fields as the disclosure table does ('record.sales', 'party.name').
    """

    name: str
    title: str
    like: str = "public"
    sees: tuple[str, ...] = ()
    never_sees: tuple[str, ...] = ()
    standard: Standard | None = None


# The five hooks


class Hooks:
    """What a plugin may implement: any of these, each once."""

    @hookspec
    def archivist_readers(self) -> Sequence[ReaderDescription]:
        """Readers of old material."""
        return ()

    @hookspec
    def archivist_exporters(self) -> Sequence[ExporterDescription]:
        """Exporters of formats."""
        return ()

    @hookspec
    def archivist_checks(self) -> Sequence[CheckDescription]:
        """Checks of records."""
        return ()

    @hookspec
    def archivist_vocabularies(self) -> Sequence[VocabularyDescription]:
        """Tables of terms and periods."""
        return ()

    @hookspec
    def archivist_audiences(self) -> Sequence[AudienceDescription]:
        """Audiences."""
        return ()
