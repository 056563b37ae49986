"""Runs exporters over pieces, one at a time, each piece's work whole or not there at all."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Protocol

from archivist.containment import PluginFailure, contained
from archivist.errors import PackageError
from archivist.hooks import Exporter, Piece, Selection, WrittenFile
from archivist.model import canonical_json
from archivist.plugins import Origin, Plugins
from archivist.program import code_digest, core_digest
from archivist.release.package import Companions, FolderPackage, Settled
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


@dataclass(frozen=True)
class Subject:
    """A piece to release: what is known of it beforehand, and the piece once it is needed.

    `record` is its UUID, `name` what failures call it, `digest` of everything in it that an
    exporter could make use of. What was written of a piece that is `trusted` is taken to be there.
    """

    slug: str
    record: str
    name: str
    digest: str
    piece: Callable[[], Piece]
    trusted: bool = False


Subjects = Callable[[], Iterable[Subject]]
"""The pieces of a release, afresh for each exporter."""


class Destination(Protocol):
    """Where the work of units goes: a fresh package or a publication that is kept up to date."""

    def settled(self, unit: Unit, *, trusted: bool = False) -> Settled | None:
        """The unit as it is there already, if nothing that it depends on changed.

        The files of one that is `trusted` need not be looked at.
        """

    def workplace(self, unit: Unit) -> Path:
        """The folder that the unit writes into."""

    def settle(self, unit: Unit, files: tuple[WrittenFile, ...], note: str = "") -> Settled:
        """Puts the unit's finished files where they belong; gives them as they lie then."""


@dataclass
class Tally:
    """What a run did: files written and left as they were, and everything that failed.

    `complete` names the exporters that were asked for every piece, whether or not each succeeded;
    `omitted` are files that an exporter had to leave out, with the reason.
    """

    written: int = 0
    unchanged: int = 0
    bytes_written: int = 0
    failures: list[PluginFailure] = field(default_factory=list)
    complete: set[str] = field(default_factory=set)
    omitted: list[str] = field(default_factory=list)


def run(
    chosen: Iterable[Chosen],
    plugins: Plugins,
    selection: Selection,
    destination: Destination,
    advance: Callable[[int], None],
    tally: Tally | None = None,
    subjects: Subjects | None = None,
) -> Tally:
    """Runs each exporter over all pieces and then over the selection.

    `advance` is told 1 for each piece an exporter is done with. Companions of a piece are what
    earlier exporters wrote of it; those of the selection, everything written so far. What is done
    is told in `tally` as it is done, so that it is known also of a run that is stopped. `subjects`
    are the pieces of `selection`, where more is known of them than the selection tells.

    Raises:
        ArchivistError: where a piece cannot be read from the archive; that is no plugin's doing.
    """
    tally = Tally() if tally is None else tally
    all_of_them = subjects or partial(subjects_of, selection)
    by_subject: dict[str, list[Settled]] = {}
    for choice in chosen:
        origin = plugins.origin("exporter", choice.description.name)
        exporter: Exporter | None = None
        with contained(origin, "", tally.failures):
            exporter = choice.description.make(choice.options)
        if exporter is not None:
            one = _One(exporter, choice, origin, selection, destination, by_subject, tally)
            one.run(all_of_them(), advance)
            tally.complete.add(choice.description.name)
    return tally


def subjects_of(selection: Selection) -> Iterator[Subject]:
    """The pieces of a selection, each read from it."""
    return map(subject_of, selection.pieces())


def subject_of(piece: Piece) -> Subject:
    """A piece that has been read."""
    return Subject(
        piece.slug, piece.record.id, piece.record.name, piece_digest(piece), lambda: piece
    )


@dataclass(frozen=True)
class _One:
    """One exporter over all pieces and then over the selection."""

    exporter: Exporter
    choice: Chosen
    origin: Origin
    selection: Selection
    destination: Destination
    by_subject: dict[str, list[Settled]]
    tally: Tally

    def run(self, subjects: Iterable[Subject], advance: Callable[[int], None]) -> None:
        """Does what is not done yet."""
        name = self.choice.description.name
        base = self._base()
        fingerprints: list[str] = []
        notes: list[str] = []
        slugs: dict[str, str] = {}
        for subject in subjects:
            companions = self.by_subject.get(subject.slug, [])
            digests = (settled.digest for settled in companions)
            unit = Unit(name, subject.slug, _digest(base, subject.digest, *digests))
            there = self.destination.settled(unit, trusted=subject.trusted)
            piece = subject.piece() if there is None else None
            with contained(self.origin, subject.name, self.tally.failures):
                _refuse_twin(slugs, subject)
                fingerprints.append(unit.fingerprint)
                if piece is None:
                    settled = self._kept(there)
                else:
                    work = partial(self.exporter.export_piece, piece, self.selection)
                    known = {photo.path: photo.sha256 for photo in piece.photographs}
                    settled = self._done(unit, work, companions, known=known)
                self.by_subject.setdefault(subject.slug, []).append(settled)
                notes += [settled.note] if settled.note else []
            advance(1)
        self._whole_selection(_digest(base, *fingerprints), notes)

    def _whole_selection(self, base: str, notes: list[str]) -> None:
        """What is written once for all pieces."""
        name = self.choice.description.name
        everything = [settled for units in self.by_subject.values() for settled in units]
        digests = (settled.digest for settled in everything)
        unit = Unit(name, COLLECTION, _digest(base, *digests, self.selection.title))
        there = self.destination.settled(unit)
        with contained(self.origin, "the whole selection", self.tally.failures):
            if there is not None:
                settled = self._kept(there)
            else:
                work = partial(self.exporter.export_selection, self.selection)
                settled = self._done(unit, work, everything, notes)
            self.by_subject.setdefault(COLLECTION, []).append(settled)

    def _base(self) -> str:
        """A digest of what all units of the exporter depend on, the program itself among it."""
        make = self.choice.description.make
        return _digest(
            canonical_json(self.choice.options),
            f"{self.origin}",
            f"{self.selection.archive}",
            self.selection.audience,
            core_digest(),
            code_digest(getattr(make, "__module__", "")),
        )

    def _kept(self, there: Settled | None) -> Settled:
        """What is there already, counted."""
        assert there is not None
        self.tally.unchanged += there.count
        return there

    def _done(
        self,
        unit: Unit,
        work: Callable[[FolderPackage], None],
        companions: Sequence[Settled],
        notes: Iterable[str] = (),
        known: Mapping[Path, str] | None = None,
    ) -> Settled:
        """Does one unit's work; removes what it half wrote if it raises."""
        folder = self.destination.workplace(unit)
        package = FolderPackage(folder, Companions(companions), notes, known)
        try:
            work(package)
            written = tuple(
                WrittenFile(f"{unit.exporter}/{f.path}", f.location, f.size, f.sha256, f.sha512)
                for f in package.written
            )
            settled = self.destination.settle(unit, written, package.noted)
        except BaseException:
            package.discard()
            raise
        self.tally.omitted += package.omitted
        self.tally.written += settled.count
        self.tally.bytes_written += sum(size for _, size, _, _ in settled.facts)
        return settled


def _refuse_twin(slugs: dict[str, str], subject: Subject) -> None:
    """Two pieces of one name would be written over each other."""
    other = slugs.setdefault(subject.slug, subject.record)
    if other != subject.record:
        raise PackageError(
            f"The records {other} and {subject.record} would both be called '{subject.slug}'.",
            "Give one of them another stock number; the other was released.",
        )


def piece_digest(piece: Piece) -> str:
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


def _digest(*parts: str | bytes) -> str:
    """A digest of parts in order, each told apart from the next."""
    whole = hashlib.sha256()
    for part in parts:
        data = part.encode("utf-8", "surrogatepass") if isinstance(part, str) else part
        whole.update(len(data).to_bytes(8, "big"))
        whole.update(data)
    return whole.hexdigest()
