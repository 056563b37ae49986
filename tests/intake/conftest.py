"""An empty archive, the first-party readers, and small sheets and pictures to take in."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from importlib.metadata import EntryPoint
from pathlib import Path

import pytest

from archivist.catalogue.archive import Archive
from archivist.intake.apply import apply
from archivist.intake.proposal import read_proposal
from archivist.intake.survey import Told, survey
from archivist.intake.work import Applied
from archivist.plugins import Plugins, load_plugins


@pytest.fixture(scope="session")
def plugins() -> Plugins:
    """The first-party readers and exporter, loaded by name so that no installation is needed."""
    return load_plugins(
        [
            EntryPoint("photo-folder", "archivist_plugins.photo_folder", "archivist"),
            EntryPoint("spreadsheet", "archivist_plugins.spreadsheet", "archivist"),
        ]
    )


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    """An empty archive."""
    with Archive.create(tmp_path / "archive", owner="Ines Tidewell") as opened:
        yield opened


Write = Callable[..., Path]


@pytest.fixture
def sheet(tmp_path: Path) -> Write:
    """Writes rows to a workbook (or, by the ending of the name, to a text file)."""

    def write(rows: Sequence[Sequence[object]], name: str = "stock.xlsx") -> Path:
        path = tmp_path / name
        if path.suffix == ".csv":
            lines = [";".join(str(cell) for cell in row) for row in rows]
            path.write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")
            return path
        import xlsxwriter

        book = xlsxwriter.Workbook(path, {"strings_to_formulas": False})
        page = book.add_worksheet("Stock")
        for number, row in enumerate(rows):
            for column, cell in enumerate(row):
                if cell not in ("", None):
                    page.write(number, column, cell)
        book.close()
        return path

    return write


@pytest.fixture
def picture() -> Write:
    """Makes a small JPEG whose bytes no other call makes."""
    made = 0

    def write(path: Path) -> Path:
        nonlocal made
        from PIL import Image

        made += 1
        path.parent.mkdir(parents=True, exist_ok=True)
        image = Image.new("RGB", (40, 30), (made * 37 % 256, made * 101 % 256, made % 256))
        image.putpixel((made % 40, made // 40 % 30), (255, 255, 255))
        image.save(path, "JPEG", comment=f"picture {made}".encode())
        return path

    return write


Take = Callable[..., Told]


@pytest.fixture
def look(archive: Archive, plugins: Plugins) -> Take:
    """Surveys sources."""
    return lambda *paths, **options: survey(archive, paths, plugins, **options)


@pytest.fixture
def take_in(archive: Archive, look: Take) -> Callable[..., Applied]:
    """Surveys sources and applies what came of it, as it is written in the file."""

    def take(*paths: Path, **options: object) -> Applied:
        told = look(*paths, **options)
        assert told.path is not None, "there was nothing new"
        return apply(archive, read_proposal(told.path), told.path.name, "Ines Tidewell")

    return take
