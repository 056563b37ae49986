"""Sets the sheets: pictures and words of all pieces into a scratch folder, then typst over them."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import msgspec

from archivist.finding.order import in_order
from archivist.finding.query import Order
from archivist.hooks import Exporter, Package, Piece, Selection
from archivist_plugins.comparison import ComparisonOptions, Form
from archivist_plugins.comparison.figures import Figure, figures
from archivist_plugins.comparison.layout import (
    GUTTER,
    MARGIN,
    common_scale,
    printed,
    ratio_words,
    scale_bar,
    sheet,
)
from archivist_plugins.typesetting.fonts import installed_fonts
from archivist_plugins.typesetting.glyphs import Typesetter
from archivist_plugins.typesetting.pages import bring, replaced_told, typeset

DOTS = 300
"""Pixels of a picture to the inch of its frame."""

PNG_DOTS = 200
"""Pixels of a page to the inch, as a PNG."""

TEMPLATE = "sheet.typ"

NAMED_LEFT_OUT = 30
"""Pieces without a picture that are named before the rest is only counted."""


class Comparison(Exporter):
    """Writes `comparison.pdf`, or `page-001.png` and so on, of the whole selection."""

    def __init__(self, options: ComparisonOptions) -> None:
        self._options = options
        self._sheet = sheet(options)
        self._folder = tempfile.TemporaryDirectory(prefix="comparison-")
        self._figures: list[Figure] = []
        self._without: list[str] = []

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        """Makes ready the pictures of one piece."""
        pixels = round(max(self._sheet.frame) / 25.4 * DOTS)
        made = list(figures(piece, selection, self._options.view, Path(self._folder.name), pixels))
        self._figures += made
        if not made:
            self._without.append(piece.record.name)

    def export_selection(self, selection: Selection, package: Package) -> None:
        """Writes the sheets; nothing where no piece has a photograph of that view.

        Raises:
            PluginError: where the fonts of the text are not installed.
            PackageError: where no font has a glyph for words that it seemed to have.
        """
        with self._folder as name:
            if not self._figures:
                return
            folder = Path(name)
            typesetter = Typesetter(installed_fonts())
            printable = typesetter.content(self._content(selection))
            printable["replaced"] = replaced_told(typesetter)
            (folder / "sheet.json").write_bytes(msgspec.json.encode(printable))
            bring(folder, "archivist_plugins.comparison", TEMPLATE)
            pages = typeset(
                folder / TEMPLATE,
                typesetter.fonts,
                selection.made,
                "The comparison",
                **self._form(),
            )
        if self._options.form is Form.PDF:
            package.write("comparison.pdf", pages[0])
            return
        for number, page in enumerate(pages, start=1):
            package.write(f"page-{number:03d}.png", page)

    def _content(self, selection: Selection) -> dict[str, Any]:
        """Everything the template reads."""
        options, page = self._options, self._sheet
        by_place = dict(enumerate(self._figures))
        ordered = in_order({place: f.order for place, f in by_place.items()}, Order.DATE)
        extents = [figure.extent for figure in self._figures]
        scale = common_scale(extents, page.frame) if options.scaled else None
        bar = scale_bar(scale) if scale else None
        pieces = len({figure.order.id for figure in self._figures})
        left_out = len(self._without)
        return {
            "page": [page.width, page.height],
            "margin": MARGIN,
            "gutter": GUTTER,
            "columns": page.columns,
            "frame": list(page.frame),
            "view": options.view.value,
            "heading": f"{options.view.value.capitalize()}, side by side",
            "asked": "" if selection.title == selection.archive.name else selection.title,
            "count": f"{pieces} piece{'' if pieces == 1 else 's'} in order of date",
            "audience": selection.audience,
            "archive": selection.archive.name,
            "owner": selection.archive.owner,
            "credit": selection.archive.credit,
            "made": selection.made[:10],
            "scaled": options.scaled,
            "bar": {"length": bar.length, "words": bar.words, "ratio": ratio_words(bar.ratio)}
            if bar
            else {},
            "left-out": {
                "count": left_out,
                "names": self._without[:NAMED_LEFT_OUT],
                "more": max(0, left_out - NAMED_LEFT_OUT),
            },
            "figures": [
                _told(by_place[place], printed(by_place[place].extent, page.frame, scale))
                for place in ordered
            ],
        }

    def _form(self) -> dict[str, Any]:
        """What typst is told to make."""
        if self._options.form is Form.PDF:
            return {"format": "pdf", "pdf_standards": ["a-2a", "ua-1"]}
        return {"format": "png", "ppi": PNG_DOTS}


def _told(figure: Figure, size: tuple[float, float]) -> dict[str, Any]:
    """A figure as the template reads it."""
    return {
        "file": figure.file,
        "alt": f"{figure.number}: {figure.title}".strip(": "),
        "size": [round(length, 3) for length in size],
        "number": figure.number,
        "title": figure.title,
        "date": figure.date,
        "holder": figure.holder,
        "marks": list(figure.marks),
        "scale": f"scale by {figure.scaled_by}" if figure.scaled_by else "",
        "trouble": figure.trouble,
    }
