"""An archive with pictures, and plugins made for the test."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from archivist.catalogue.archive import Archive
from archivist.hooks import Exporter, ExporterDescription, Piece
from archivist.plugins import Offer, Origin, Plugins
from archivist.release.release import release
from archivist.release.report import Report
from archivist.release.request import Request
from tests.archives import add_photograph, jpeg, new_archive, piece, save

WORDS = Origin("words", "words-for-archivist", "1.0")


class Words(Exporter):
    """A file of words for each piece, and a list of all."""

    def __init__(self, title: str = "") -> None:
        self.title = title

    def export_piece(self, piece: Piece, selection: object, package: object) -> None:
        package.write(f"{piece.slug}.txt", f"{self.title}{piece.record.title}\n")  # type: ignore[attr-defined]

    def export_selection(self, selection: object, package: object) -> None:
        titles = sorted(p.record.title for p in selection.pieces())  # type: ignore[attr-defined]
        package.write("all.txt", "\n".join(titles))  # type: ignore[attr-defined]


def exporter(
    name: str, make: Callable[[], Exporter] = Words, **more: object
) -> ExporterDescription:
    return ExporterDescription(name, name, lambda options: make(), **more)  # type: ignore[arg-type]


def plugins_of(*descriptions: ExporterDescription) -> Plugins:
    return Plugins(tuple(Offer("exporter", d, WORDS) for d in descriptions))


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    """Three pieces, each with a picture of the whole."""
    with new_archive(tmp_path / "archive") as made:
        for number, title in enumerate(("Bowl", "Jar", "Vase")):
            record = piece(f"T {number}", title, (1700 + number, 1750))
            save(made.catalogue, record)
            add_photograph(made, jpeg(tmp_path / "old" / f"{number}.jpg", tone=number), (record,))
        yield made


def everything(archive: Archive) -> tuple[str, ...]:
    from archivist.catalogue.search import Query, select

    return select(archive.catalogue, Query())


def released(
    archive: Archive,
    plugins: Plugins,
    to: Path,
    *exporters: str,
    audience: str = "public",
    objects: tuple[str, ...] | None = None,
    **more: object,
) -> Report:
    chosen = everything(archive) if objects is None else objects
    return release(archive, plugins, Request(exporters, audience, to, chosen, **more))  # type: ignore[arg-type]


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below a folder with its bytes, without the journal of releases."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != "release-journal.jsonl"
    }
