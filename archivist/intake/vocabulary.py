"""The tables by which an archive reads words: those that ship, plugins' own, the owner's."""

from __future__ import annotations

from archivist.catalogue.archive import Archive
from archivist.hooks import VocabularyDescription
from archivist.plugins import Plugins
from archivist.reading.tables import Tables, load_tables


def tables_of(archive: Archive, plugins: Plugins) -> Tables:
    """The tables that ship, those that plugins bring, and the owner's conventions."""
    extra = [t for d in plugins.of("vocabulary", VocabularyDescription) for t in d.tables]
    tables = load_tables(extra)
    if archive.settings.conventions:
        tables = tables.with_conventions(archive.settings.conventions)
    return tables
