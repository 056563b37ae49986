"""The register of what was handed out: a package or document seen again is found in it."""

from __future__ import annotations

from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import ReleaseFacts, releases
from archivist.digests import digest_file
from archivist.errors import SelectionError
from archivist.hooks import ExporterDescription
from archivist.plugins import Plugins


def recognised(archive: Archive, plugins: Plugins, path: Path) -> tuple[str, list[ReleaseFacts]]:
    """The digest by which the package (a folder or a zip) or document is known; its releases.

    Raises:
        SelectionError: where there is neither a package nor a file.
        PackageError: where what seals the package cannot be read.
    """
    digest = _digest(plugins, path)
    return digest, [facts for facts in releases(archive.catalogue) if digest in facts.digests]


def _digest(plugins: Plugins, path: Path) -> str:
    for described in plugins.of("exporter", ExporterDescription):
        if described.opens is not None and described.opens.recognises(path):
            digest = described.opens.seal(path).digest
            if digest:
                return digest
    if not path.is_file():
        raise SelectionError(
            f"{path} is neither a package with a seal nor a file.",
            "Name the package's own folder, its zip, or a document that was in it.",
        )
    return digest_file(path).sha256
