"""Runs exporters over pieces, one at a time, each piece's work whole or not there at all."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Protocol

from archivist.containment import PluginFailure, contained
from archivist.errors import PackageError
from archivist.hooks import Exporter, Piece, Selection, WrittenFile
from archivist.model import canonical_json
from archivist.plugins import Origin, Plugins
from archivist.release.package import FolderPackage
from archivist.release.request import Chosen

COLLECTION = "collection"
"""The unit of what an exporter writes once for the whole selection."""


@dataclass(frozen=True)
class Unit:
    """One exporter's work on one piece (or on the selection), and what it depends on."""

    exporter: str
    subject: str
    fingerprint: str

    @property
    def key(self) -> str:
        return f"{self.exporter}/{self.subject}"


class Destination(Protocol):
    """Where the work of units goes: a fresh package or a publication that is kept up to date."""

    def settled(self, unit: Unit) -> tuple[WrittenFile, ...] | None:
        """The unit's files, if they are there already and nothing they depend on changed."""

    def workplace(self, unit: Unit) -> Path:
        """The folder that the unit writes into."""

    def settle(self, unit: Unit, files: tuple[WrittenFile, ...]) -> tuple[WrittenFile, ...]:
        """Puts the unit's finished files where they belong; gives them as they lie then."""


@dataclass
class Tally:
    """What a run did: files written and left as they were, and everything that failed.

    `complete` names the exporters that were asked for every piece, whether or not each succeeded.
    """

    written: int = 0
    unchanged: int = 0
    bytes_written: int = 0
    failures: list[PluginFailure] = field(default_factory=list)
    complete: set[str] = field(default_factory=set)


def run(
    chosen: Iterable[Chosen],
    plugins: Plugins,
    selection: Selection,
    destination: Destination,
    advance: Callable[[int], None],
    tally: Tally | None = None,
) -> Tally:
    """Runs each exporter over all pieces and then over the selection.

    `advance` is told 1 for each piece an exporter is done with. Companions of a piece are what
    earlier exporters wrote of it; those of the selection, everything written so far. What is done
    is told in `tally` as it is done, so that it is known also of a run that is stopped.

    Raises:
        ArchivistError: where a piece cannot be read from the archive; that is no plugin's doing.
    """
    tally = Tally() if tally is None else tally
    by_subject: dict[str, list[WrittenFile]] = {}
    for choice in chosen:
        origin = plugins.origin("exporter", choice.description.name)
        exporter: Exporter | None = None
        with contained(origin, "", tally.failures):
            exporter = choice.description.make(choice.options)
        if exporter is not None:
            _run_one(exporter, choice, origin, selection, destination, by_subject, tally, advance)
            tally.complete.add(choice.description.name)
    return tally


def _run_one(
    exporter: Exporter,
    choice: Chosen,
    origin: Origin,
    selection: Selection,
    destination: Destination,
    by_subject: dict[str, list[WrittenFile]],
    tally: Tally,
    advance: Callable[[int], None],
) -> None:
    """One exporter over all pieces and then over the selection."""
    name = choice.description.name
    base = _digest(
        canonical_json(choice.options), f"{origin}", f"{selection.archive}", selection.audience
    )
    pieces: list[str] = []
    slugs: dict[str, str] = {}
    for piece in selection.pieces():
        with contained(origin, piece.record.name, tally.failures):
            _refuse_twin(slugs, piece)
            companions = by_subject.get(piece.slug, [])
            unit = Unit(name, piece.slug, _digest(base, _piece(piece), _digests(companions)))
            pieces.append(unit.fingerprint)
            work = partial(exporter.export_piece, piece, selection)
            files = _unit(unit, work, companions, destination, tally)
            by_subject.setdefault(piece.slug, []).extend(files)
        advance(1)
    everything = [file for files in by_subject.values() for file in files]
    fingerprint = _digest(base, *pieces, _digests(everything), selection.title)
    unit = Unit(name, COLLECTION, fingerprint)
    with contained(origin, "the whole selection", tally.failures):
        work = partial(exporter.export_selection, selection)
        files = _unit(unit, work, everything, destination, tally)
        by_subject.setdefault(COLLECTION, []).extend(files)


def _refuse_twin(slugs: dict[str, str], piece: Piece) -> None:
    """Two pieces of one name would be written over each other."""
    other = slugs.setdefault(piece.slug, piece.record.id)
    if other != piece.record.id:
        raise PackageError(
            f"The records {other} and {piece.record.id} would both be called '{piece.slug}'.",
            "Give one of them another stock number; the other was released.",
        )


def _unit(
    unit: Unit,
    work: Callable[[FolderPackage], None],
    companions: list[WrittenFile],
    destination: Destination,
    tally: Tally,
) -> tuple[WrittenFile, ...]:
    """Does one unit's work unless it is done already; removes what it half wrote if it raises."""
    there = destination.settled(unit)
    if there is not None:
        tally.unchanged += len(there)
        return there
    package = FolderPackage(destination.workplace(unit), companions)
    try:
        work(package)
        written = tuple(
            WrittenFile(f"{unit.exporter}/{f.path}", f.location, f.size, f.sha256, f.sha512)
            for f in package.written
        )
        settled = destination.settle(unit, written)
    except BaseException:
        package.discard()
        raise
    tally.written += len(settled)
    tally.bytes_written += sum(file.size for file in settled)
    return settled


def _piece(piece: Piece) -> str:
    """A digest of everything in a piece that an exporter could make use of."""
    return _digest(
        canonical_json(piece.record),
        *(canonical_json(party) for party in piece.parties),
        *(
            part
            for p in piece.photographs
            for part in (p.sha256, p.name, p.label, canonical_json(p.photograph), f"{p.region}")
        ),
        *(file.sha256 or file.content for file in piece.preserved),
        piece.uri,
    )


def _digests(files: Iterable[WrittenFile]) -> str:
    return _digest(*(f"{file.path} {file.sha256}" for file in files))


def _digest(*parts: str | bytes) -> str:
    """A digest of parts in order, each told apart from the next."""
    whole = hashlib.sha256()
    for part in parts:
        data = part.encode("utf-8", "surrogatepass") if isinstance(part, str) else part
        whole.update(len(data).to_bytes(8, "big"))
        whole.update(data)
    return whole.hexdigest()
