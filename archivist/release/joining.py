"""Packages of the owner joined to an archive that is there: version by version, never over it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

from archivist.catalogue.action import Action
from archivist.catalogue.archive import Archive
from archivist.catalogue.entities import KINDS
from archivist.catalogue.erased import erased_names
from archivist.catalogue.facts import ACTION
from archivist.catalogue.holdings import add_original, note_sound, original, originals
from archivist.catalogue.index import index
from archivist.catalogue.originals import is_legal_extension, legal_extension
from archivist.digests import Digests, copy_stream
from archivist.errors import PackageError, SelectionError
from archivist.hooks import PayloadFile
from archivist.model import from_json
from archivist.release.mending import mend_facts
from archivist.release.payload import Payload, Row, checked_original, histories, opened, tables

_ORIGINAL = re.compile(r"(?:.*/)?originals/[0-9a-f]{2}/([0-9a-f]{64})(?:\.[a-z0-9]{1,8})?")


@dataclass
class Restored:
    """What came back, and what could not be decided: `questions` name diverging records.

    `mended` are the originals and facts that were damaged and are whole again.
    """

    packages: int = 0
    originals: int = 0
    mended: int = 0
    versions: int = 0
    unchanged: int = 0
    questions: list[str] = field(default_factory=list)


def join(archive: Archive, path: Path, payload: Payload, done: Restored) -> None:
    """Adds the versions of a package's records that the archive lacks; asks where they diverge.

    Raises:
        SelectionError: where the package holds no versions.
        PackageError: where they do not fit together.
    """
    known = histories(payload)
    if not known:
        raise SelectionError(
            f"{path} holds no records with their history.",
            "Packages that can be restored are released by this program --for owner.",
        )
    actions = {str(row.get("id")): row for row in tables(payload, "action")}
    mended, sealed = mend_facts(archive, payload)
    done.mended += mended
    if sealed:
        done.questions.append(
            f"{sealed} facts had lost their digests and stand in no package: look through them "
            "with 'archivist history'; they stay as they lie."
        )
    done.originals += take_originals(archive, payload, done)
    erased = erased_names(archive.catalogue.connection)
    with archive.catalogue.action("restore", archive.settings.owner, path.name) as action:
        for row in tables(payload, "original"):
            _add_original_row(action, row)
        for entity, rows in known.items():
            have = [version.sha256 for version in archive.catalogue.versions(entity)]
            theirs = [row["sha256"] for row in rows]
            shared = min(len(have), len(theirs))
            if have[:shared] != theirs[:shared]:
                done.questions.append(
                    f"{_name(rows[-1])} was changed in the archive and, otherwise, in {path.name}; "
                    "the archive's version stands."
                )
                continue
            if len(theirs) <= len(have):
                done.unchanged += 1
                continue
            if erased and any(erased.party_of(row["json"]) for row in rows[len(have) :]):
                done.questions.append(
                    f"the {rows[-1]['kind']} {entity} names somebody who was erased; what "
                    f"{path.name} has of it was not taken in."
                )
                continue
            for row in rows[len(have) :]:
                _add_version(action, row, actions)
                done.versions += 1
            value = from_json(rows[-1]["json"], KINDS[rows[-1]["kind"]])
            index(archive.catalogue.connection, value, len(theirs))
    done.questions.extend(missing_originals(archive))


def take_originals(
    archive: Archive, payload: Payload, done: Restored, *, fresh: bool = False
) -> int:
    """Takes in the originals of a package that the archive lacks or that are damaged in it, each
    checked as it is copied; those that are whole are not moved.

    Gives how many the package holds.
    """
    taken: dict[str, tuple[Digests, str]] = {}
    recorded = {item.sha256: item.extension for item in originals(archive.catalogue)}
    for path, file in payload.items():
        match = _ORIGINAL.fullmatch(path)
        if match is None or match.group(1) in taken:
            continue
        sha256 = match.group(1)
        extension = recorded.get(sha256, legal_extension(path))
        if not is_legal_extension(extension):
            extension = legal_extension(path)
        place = archive.store.path_of(sha256, extension)
        there = place.exists()
        if there and sha256 in recorded and archive.store.is_whole(sha256, extension):
            taken[sha256] = _recorded_digests(archive, sha256), extension
        else:
            with _on_disk(file) as source:
                digests = archive.store.take_in(source, extension, expected_sha256=sha256)
            taken[sha256] = digests, extension
            done.mended += there or (sha256 in recorded and not fresh)
        note_sound(archive.catalogue, sha256)
    archive.store.sync()
    types = {str(row.get("sha256")): row for row in tables(payload, "original")}
    new = [sha256 for sha256 in taken if sha256 not in recorded and sha256 not in types]
    if new:
        with archive.catalogue.action("restore", archive.settings.owner, "originals") as action:
            for sha256 in new:
                add_original(action, *taken[sha256], "")
    return len(taken)


def _recorded_digests(archive: Archive, sha256: str) -> Digests:
    """The digests of an original that is there and whole."""
    known = original(archive.catalogue, sha256)
    assert known is not None
    return Digests(known.size, known.sha256, known.sha512)


@contextmanager
def _on_disk(file: PayloadFile) -> Iterator[Path]:
    """The file itself; for what lies in a zip, a copy for the while."""
    if file.source is not None:
        yield file.source
        return
    with TemporaryDirectory() as folder:
        copy = Path(folder) / "original"
        with opened(file) as source, copy.open("wb") as target:
            copy_stream(source, target, sha512=False)
        yield copy


def missing_originals(archive: Archive) -> Iterator[str]:
    """A question for every original that is recorded and is not there."""
    for item in originals(archive.catalogue):
        place = archive.store.place_of(item.sha256, item.extension)
        if place is None or not place.is_file():
            yield (
                f"The original {item.sha256}{item.extension} is recorded and was in no package; "
                "put it back from a copy of the archive."
            )


def _add_original_row(action: Action, row: Row) -> None:
    columns = ("sha256", "sha512", "size", "extension", "media_type", "taken_in")
    checked_original(row)
    action.fact("original", str(row["sha256"]))
    action.run(
        f"INSERT INTO original ({', '.join(columns)}) VALUES (?, ?, ?, ?, ?, ?) "
        "ON CONFLICT (sha256) DO NOTHING",
        tuple(row[column] for column in columns),
    )


def _add_version(action: Action, row: Row, actions: dict[str, Row]) -> None:
    """Adds one version with the action that wrote it, under a number of this archive."""
    wrote = actions.get(row["action"])
    columns = ("id", "kind", "at", "who", "why")
    if wrote is None or not set(columns) <= set(wrote):
        raise PackageError(
            f"The package does not say which action wrote version {row['number']} of "
            f"{row['entity']}.",
            "Nothing of it was taken in. Use another copy.",
        )
    action.fact(ACTION, row["action"])
    action.run(
        "INSERT INTO action (id, kind, at, who, why) VALUES (?, ?, ?, ?, ?) "
        "ON CONFLICT (id) DO NOTHING",
        tuple(wrote[column] for column in columns),
    )
    action.run(
        "INSERT INTO version (entity, kind, number, action, json, sha256) "
        "VALUES (?, ?, ?, ?, ?, ?)",
        tuple(row[name] for name in ("entity", "kind", "number", "action", "json", "sha256")),
    )


def _name(row: Row) -> str:
    value = from_json(row["json"], KINDS[row["kind"]])
    return getattr(value, "name", "") or f"the {row['kind']} {value.id}"
