"""Writes each piece as the text of an index card, and a list of all cards."""

from collections.abc import Sequence

from archivist.hooks import Exporter, ExporterDescription, Package, Piece, Selection, hookimpl


class IndexCards(Exporter):
    """What it is handed was disclosed before: it may write everything it sees."""

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        record = piece.record
        lines = [record.stock_number, record.title]
        lines += [statement.as_stated for statement in record.attributions]
        lines += [f"{p.label}: {p.width} by {p.height} pixels" for p in piece.photographs]
        package.write(f"{piece.slug}.txt", "\n".join(line for line in lines if line) + "\n")

    def export_selection(self, selection: Selection, package: Package) -> None:
        titles = sorted(f"{p.record.stock_number}  {p.record.title}" for p in selection.pieces())
        package.write("cards.txt", "\n".join([selection.title, *titles]) + "\n")


@hookimpl
def archivist_exporters() -> Sequence[ExporterDescription]:
    return [
        ExporterDescription(
            name="index-card",
            title="Index cards as plain text",
            make=lambda options: IndexCards(),
            losses=("how sure a statement is",),
        )
    ]
