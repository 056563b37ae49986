"""What is remembered of pieces, so that those that did not change need not be disclosed again.

For every audience but the owner a file among the archive's derivatives says, as of a moment in the
catalogue's history, what each record disclosed to: the name of its piece and a digest of all that
an exporter is handed. It may be deleted at any time. It counts for nothing once the rule of the
audience, the settings or the program are others.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from contextlib import suppress
from functools import partial

import msgspec

from archivist.catalogue.archive import Archive
from archivist.catalogue.originals import write_whole
from archivist.catalogue.since import Moment, changed_since, moment
from archivist.errors import ArchiveError
from archivist.hooks import Piece
from archivist.kept import kept_bytes, read_kept
from archivist.model import ObjectRecord
from archivist.program import core_digest
from archivist.release.disclosure import Disclosure
from archivist.release.pieces import Discloser, Stays, Withheld
from archivist.release.running import Subject, subject_of


class Remembered(msgspec.Struct, frozen=True, array_like=True):
    """What is known of a piece without looking: as `Subject` has it, and who of it stayed.

    `withheld` are the photographs that the audience may not see, by UUID, and why.
    """

    slug: str
    record: str
    name: str
    digest: str
    withheld: dict[str, Stays] = msgspec.field(default_factory=dict)


class _Kept(msgspec.Struct, frozen=True):
    """The file: by which rule and program and as of which moment it was made; the pieces."""

    key: str
    moment: Moment
    pieces: dict[str, Remembered]


class Memory:
    """What is remembered of an archive's pieces as one audience is given them."""

    def __init__(self, archive: Archive, discloser: Discloser, base_uri: str = "") -> None:
        self._archive = archive
        self._discloser = discloser
        self._now = moment(archive.catalogue)
        self._key = f"{core_digest()} {sight_key(archive, discloser.disclosure, base_uri)}"
        named = hashlib.sha256(f"{discloser.disclosure.audience} {base_uri}".encode()).hexdigest()
        self._path = archive.of_records / f"seen-{named[:16]}.json"
        self._pieces = self._still_true()
        self._trusting: bool | None = None

    def subjects(self, ids: Sequence[str]) -> Iterator[Subject]:
        """The pieces of those UUIDs; disclosed are those of which nothing is remembered.

        Where some changed, what was written of the others is trusted to be there, so that a few
        changes cost little. Where nothing changed every file is looked at: releasing once more
        mends what somebody removed.
        """
        if self._trusting is None:
            self._trusting = any(object_id not in self._pieces for object_id in ids)
        for object_id in ids:
            known = self._pieces.get(object_id)
            if known is not None:
                self._discloser.withheld.add_all(known.withheld)
                piece = partial(self._piece, object_id)
                yield Subject(
                    known.slug, known.record, known.name, known.digest, piece, self._trusting
                )
                continue
            record = self._archive.catalogue.sound(object_id, ObjectRecord)
            if record is not None:
                yield self._look(object_id, record)

    def keep(self) -> None:
        """Writes down what is remembered, for the next time; where it cannot, that is no harm."""
        kept = _Kept(self._key, self._now, self._pieces)
        with suppress(OSError):
            self._path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(self._path, kept_bytes(self._path.stem, kept).decode("utf-8"))

    def _look(self, object_id: str, record: ObjectRecord) -> Subject:
        """Discloses a piece and remembers it, unless something of it could not be read."""
        withheld = Withheld()
        subject = subject_of(self._discloser.piece(record, withheld))
        self._discloser.withheld.add_all(withheld.photographs)
        self._discloser.withheld.problems.extend(withheld.problems)
        if not withheld.problems:
            self._pieces[object_id] = Remembered(
                subject.slug,
                subject.record,
                subject.name,
                subject.digest,
                withheld.photographs,
            )
        return subject

    def _piece(self, object_id: str) -> Piece:
        for piece in self._discloser.pieces((object_id,)):
            return piece
        raise ArchiveError(
            f"The record {object_id} went while it was being released.",
            "What was written before is whole. Run the same command again.",
        )

    def _still_true(self) -> dict[str, Remembered]:
        """What was written down and holds still."""
        kept = read_kept(self._path, self._path.stem, _Kept)
        if kept is None or kept.key != self._key:
            return {}
        changed = changed_since(self._archive.catalogue, kept.moment)
        if changed is None:
            return {}
        return {key: known for key, known in kept.pieces.items() if key not in changed}


def sight_key(archive: Archive, rule: Disclosure, base_uri: str = "") -> str:
    """A digest of everything besides the records that decides what is seen of a piece."""
    seen = {
        "audience": rule.audience,
        "sees": {section: sorted(fields) for section, fields in sorted(rule.sees.items())},
        "hides": {section: sorted(fields) for section, fields in sorted(rule.hides.items())},
        "withheld": sorted(rule.withheld_views),
        "stand_ins": dict(rule.stand_ins),
        "settings": archive.settings,
        "base_uri": base_uri,
    }
    return hashlib.sha256(msgspec.json.encode(seen, order="sorted", enc_hook=str)).hexdigest()
