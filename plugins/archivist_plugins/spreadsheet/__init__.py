"""Spreadsheets: read as old material, and written so that they can be edited and handed back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from archivist.hooks import ExporterDescription, ReaderDescription, Standard, hookimpl
from archivist.model import Value

_WORKBOOK = Standard(
    "Office Open XML spreadsheet",
    "ISO/IEC 29500-1:2016",
    "https://www.iso.org/standard/71691.html",
)


@hookimpl
def archivist_readers() -> Sequence[ReaderDescription]:
    """The reader `spreadsheet`."""

    def reader(_: Value) -> Any:
        from archivist_plugins.spreadsheet.reader import SpreadsheetReader

        return SpreadsheetReader()

    return [
        ReaderDescription(
            name="spreadsheet",
            title="Spreadsheets: xlsx, xls, ods, csv, tsv",
            make=reader,
            standard=_WORKBOOK,
        )
    ]


@hookimpl
def archivist_exporters() -> Sequence[ExporterDescription]:
    """The exporter `spreadsheet`."""

    def exporter(_: Value) -> Any:
        from archivist_plugins.spreadsheet.exporter import SpreadsheetExporter

        return SpreadsheetExporter()

    return [
        ExporterDescription(
            name="spreadsheet",
            title="A spreadsheet to edit and survey again (xlsx, csv)",
            make=exporter,
            standard=_WORKBOOK,
            losses=(
                "regions of photographs and the photographs themselves",
                "rights, and the evidence and the ground of statements",
                "of marks, sizes and observations the fields: each is one line in its own words",
                "what is longer than a cell of a workbook holds: cut there, and said to be; the "
                "text file beside it holds all of it",
            ),
        )
    ]
