"""An archive for each test."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import Catalogue
from tests.archives import new_archive


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    with new_archive(tmp_path / "an archive, Größe 1") as made:
        yield made


@pytest.fixture
def catalogue(archive: Archive) -> Catalogue:
    return archive.catalogue
