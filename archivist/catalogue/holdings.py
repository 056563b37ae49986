"""What the archive holds of files: each original, where it was found, and the inventory."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass

from archivist.catalogue.action import Action
from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.originals import INVENTORY, MANIFEST, OriginalStore, write_whole
from archivist.catalogue.stored import any_text
from archivist.digests import Digests
from archivist.guard import guarded


@dataclass(frozen=True)
class Original:
    """A file that was taken in: its digests, size in bytes, extension, type, and when."""

    sha256: str
    sha512: str
    size: int
    extension: str
    media_type: str
    taken_in: str


@dataclass(frozen=True)
class Occurrence:
    """One place where an original was found: source UUID, path below it, time of last change.

    `path_bytes` is base64 of the path's bytes where they are no Unicode, else empty.
    """

    sha256: str
    source: str
    path: str
    path_bytes: str = ""
    modified: str = ""


def add_original(action: Action, digests: Digests, extension: str, media_type: str) -> None:
    """Records that a file was taken in; a digest that is known already stays as it is."""
    action.fact("original", digests.sha256)
    action.run(
        "INSERT INTO original (sha256, sha512, size, extension, media_type, taken_in) "
        "VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (sha256) DO NOTHING",
        (digests.sha256, digests.sha512, digests.size, extension, media_type, action.at),
    )


def add_occurrence(action: Action, occurrence: Occurrence) -> None:
    """Records where an original was found; told twice, it is recorded once."""
    action.run(
        "INSERT INTO occurrence (sha256, source, path, path_bytes, modified, action) "
        "VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING",
        (
            occurrence.sha256,
            occurrence.source,
            occurrence.path,
            occurrence.path_bytes,
            occurrence.modified,
            action.id,
        ),
    )


def original(catalogue: Catalogue, sha256: str) -> Original | None:
    """The original of that digest, or None."""
    with any_text(catalogue.connection):
        row = catalogue.connection.execute(
            "SELECT * FROM original WHERE sha256 = ?", (sha256,)
        ).fetchone()
    return Original(**dict(row)) if row else None


def originals(catalogue: Catalogue) -> Iterator[Original]:
    """Every original, by digest."""
    with any_text(catalogue.connection):
        rows = catalogue.connection.execute("SELECT * FROM original ORDER BY sha256").fetchall()
    for row in rows:
        yield Original(**dict(row))


def note_damage(catalogue: Catalogue, sha256: str) -> None:
    """Notes that an original was found damaged or gone, so that the file is taken in again."""
    if catalogue.writable:
        with catalogue.addition():
            catalogue.connection.execute(
                "INSERT INTO compared (sha256, run, sound) VALUES (?, 0, 0) "
                "ON CONFLICT (sha256) DO UPDATE SET sound = 0",
                (sha256,),
            )


def note_sound(catalogue: Catalogue, sha256: str) -> None:
    """Takes back what `note_damage` noted, once the original is mended."""
    if catalogue.writable:
        with catalogue.addition():
            catalogue.connection.execute(
                "UPDATE compared SET sound = 1 WHERE sha256 = ? AND NOT sound", (sha256,)
            )


def damaged_originals(catalogue: Catalogue) -> frozenset[str]:
    """The originals that were found damaged or gone, by digest."""
    rows = catalogue.connection.execute("SELECT sha256 FROM compared WHERE NOT sound")
    return frozenset(row["sha256"] for row in rows)


def occurrences(catalogue: Catalogue, sha256: str = "", source: str = "") -> tuple[Occurrence, ...]:
    """Where originals were found: all places, or those of one digest, or of one source."""
    rows = catalogue.connection.execute(
        "SELECT sha256, source, path, path_bytes, modified FROM occurrence "
        "WHERE ? IN ('', sha256) AND ? IN ('', source) ORDER BY sha256, source, path",
        (sha256, source),
    )
    return tuple(Occurrence(**dict(row)) for row in rows)


def write_inventory(catalogue: Catalogue, store: OriginalStore) -> None:
    """Writes `inventory.csv` and `manifest-sha256.txt` beside the originals."""
    store.folder.mkdir(parents=True, exist_ok=True)
    for name, content in inventory(catalogue).items():
        write_whole(store.folder / name, content)


def inventory(catalogue: Catalogue) -> dict[str, str]:
    """What stands in `inventory.csv` and `manifest-sha256.txt`, by the name of the file.

    The manifest has the lines of `sha256sum`, so that `sha256sum -c manifest-sha256.txt` checks the
    originals without this program; the inventory has a line for each place a file was found in.
    """
    table = io.StringIO()
    writer = csv.writer(table, lineterminator="\r\n")
    writer.writerow(
        ["file", "sha256", "bytes", "type", "taken in", "found in", "at", "changed", "raw name"]
    )
    manifest: list[str] = []
    places: dict[str, list[tuple[Occurrence, str]]] = {}
    with any_text(catalogue.connection):
        found = catalogue.connection.execute(
            "SELECT occurrence.sha256, source, path, path_bytes, modified, source.location "
            "FROM occurrence JOIN source ON source.id = occurrence.source ORDER BY location, path"
        ).fetchall()
    for row in found:
        facts = dict(row)
        location = facts.pop("location")
        places.setdefault(facts["sha256"], []).append((Occurrence(**facts), location))
    for item in originals(catalogue):
        name = f"{item.sha256[:2]}/{item.sha256}{item.extension}"
        manifest.append(f"{item.sha256}  {name}\n")
        for place, location in places.get(item.sha256, [(Occurrence(item.sha256, "", ""), "")]):
            writer.writerow(
                [
                    name,
                    item.sha256,
                    item.size,
                    item.media_type,
                    item.taken_in,
                    guarded(location),
                    guarded(place.path),
                    place.modified,
                    place.path_bytes,
                ]
            )
    lines = "".join(manifest)
    return {INVENTORY: _as_unicode("\ufeff" + table.getvalue()), MANIFEST: _as_unicode(lines)}


def _as_unicode(words: str) -> str:
    """Words of which damaged ones are shown as such (U+FFFD)."""
    return words.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
