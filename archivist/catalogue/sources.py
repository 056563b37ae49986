"""Where old material comes from, and the words of its cells as they were last taken in."""

from __future__ import annotations

from dataclasses import dataclass

from archivist.catalogue.action import Action
from archivist.catalogue.catalogue import STANDS, Catalogue


@dataclass(frozen=True)
class SourceFacts:
    """A spreadsheet or folder that was surveyed: its UUID, reader, and where it lay last."""

    id: str
    reader: str
    location: str
    first_seen: str


@dataclass(frozen=True)
class ImportedCell:
    """The words of a cell as last taken in, and the object they went to."""

    row: str
    column: str
    text: str
    object: str


def source_at(catalogue: Catalogue, location: str) -> SourceFacts | None:
    """The source that lay at `location`, or None."""
    row = catalogue.connection.execute(
        "SELECT * FROM source WHERE location = ? ORDER BY first_seen LIMIT 1", (location,)
    ).fetchone()
    return SourceFacts(**dict(row)) if row else None


def sources(catalogue: Catalogue) -> tuple[SourceFacts, ...]:
    """Every source, the first seen first."""
    rows = catalogue.connection.execute("SELECT * FROM source ORDER BY first_seen, id")
    return tuple(SourceFacts(**dict(row)) for row in rows)


def add_source(action: Action, source_id: str, reader: str, location: str) -> None:
    """Records a source, or that a known one lies elsewhere now."""
    action.fact("source", source_id)
    action.run(
        "INSERT INTO source (id, reader, location, first_seen) VALUES (?, ?, ?, ?) "
        "ON CONFLICT (id) DO UPDATE SET location = excluded.location "
        "WHERE location != excluded.location",
        (source_id, reader, location, action.at),
    )


def add_imported(action: Action, source_id: str, cell: ImportedCell) -> None:
    """Records the words of a cell as taken in by this action."""
    action.run(
        'INSERT INTO imported (source, row, "column", text, object, action) '
        "VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING",
        (source_id, cell.row, cell.column, cell.text, cell.object, action.id),
    )


def imported(catalogue: Catalogue, source_id: str) -> dict[tuple[str, str], ImportedCell]:
    """The cells of a source as last taken in, by row key and column; what was undone is not."""
    rows = catalogue.connection.execute(
        'SELECT row, "column", text, object FROM imported '
        "JOIN action ON action.id = imported.action WHERE source = ? "
        f"AND {STANDS} ORDER BY action.number",
        (source_id,),
    )
    return {(row["row"], row["column"]): ImportedCell(**dict(row)) for row in rows}
