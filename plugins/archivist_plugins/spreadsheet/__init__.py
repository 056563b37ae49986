"""Spreadsheets: read as old material, and written so that they can be edited and handed back."""

from __future__ import annotations

from collections.abc import Sequence

from archivist.hooks import ExporterDescription, ReaderDescription, Standard, hookimpl


@hookimpl
def archivist_readers() -> Sequence[ReaderDescription]:
    """The reader `spreadsheet`."""
    from archivist_plugins.spreadsheet.reader import SpreadsheetReader

    return [
        ReaderDescription(
            name="spreadsheet",
            title="Spreadsheets: xlsx, xls, ods, csv, tsv",
            make=lambda options: SpreadsheetReader(),
            standard=Standard(
                "Office Open XML; OpenDocument; comma-separated values",
                "ISO/IEC 29500; ISO/IEC 26300; RFC 4180",
                "https://www.rfc-editor.org/rfc/rfc4180",
            ),
        )
    ]
