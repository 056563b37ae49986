"""Sets a dossier: pictures and words into a scratch folder, the template over them, one PDF out."""

from __future__ import annotations

import tempfile
from datetime import datetime
from functools import cached_property
from importlib.resources import files
from pathlib import Path
from typing import Any

import msgspec

from archivist.errors import PackageError
from archivist.hooks import Exporter, Package, Piece, Selection
from archivist_plugins.dossier import DossierOptions, checking
from archivist_plugins.dossier.caution_tables import read_cautions, read_protected_materials
from archivist_plugins.dossier.cautions import Said, cautions_for
from archivist_plugins.dossier.content import content
from archivist_plugins.dossier.fonts import Fonts, installed_fonts
from archivist_plugins.dossier.glyphs import Typesetter
from archivist_plugins.dossier.pictures import MANY, PagePicture, page_picture
from archivist_plugins.dossier.signature import signed

TEMPLATES = ("dossier.typ", "style.typ", "pages.typ")
NO_GLYPH = "could not be displayed"
"""What typst says of words for which no font has a glyph."""


class Dossier(Exporter):
    """Writes `SLUG.pdf` a piece."""

    def __init__(self, options: DossierOptions) -> None:
        self._options = options

    @cached_property
    def _fonts(self) -> Fonts:
        return installed_fonts()

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        """Writes one dossier.

        Raises:
            PluginError: where the fonts of the text are not installed.
            SettingsError: where a table of cautions cannot be used.
            PackageError: where no font has a glyph for words that it seemed to have.
            PluginError: where the dossier is to be signed and pyHanko is not installed.
        """
        cautions = self._cautions(piece)
        with tempfile.TemporaryDirectory(prefix="dossier-") as scratch:
            folder = Path(scratch)
            pictures = self._pictures(piece, folder)
            said = content(piece, selection, pictures, cautions, self._options.paper.value)
            typesetter = Typesetter(self._fonts)
            printable = typesetter.content(said)
            printable["replaced"] = replaced_told(typesetter)
            _fill(folder, piece, printable)
            pdf = self._typeset(folder, piece, selection.made)
        if selection.signer is not None and selection.signer.document is not None:
            pdf = signed(pdf, selection.signer.document, selection.made)
        package.write(f"{piece.slug}.pdf", pdf)

    def _cautions(self, piece: Piece) -> tuple[Said, ...]:
        cautions, materials = (
            Path(name) if name else None
            for name in (self._options.cautions, self._options.materials)
        )
        return cautions_for(piece, read_cautions(cautions), read_protected_materials(materials))

    def _pictures(self, piece: Piece, folder: Path) -> list[PagePicture]:
        many = len(piece.photographs) > MANY
        return [
            page_picture(photo, folder, number, many)
            for number, photo in enumerate(piece.photographs)
        ]

    def _typeset(self, folder: Path, piece: Piece, made: str) -> bytes:
        import typst

        fonts = typst.Fonts(
            include_system_fonts=False,
            include_embedded_fonts=False,
            font_paths=list(self._fonts.folders),
        )
        try:
            return typst.compile(
                folder / TEMPLATES[0],
                root=folder,
                font_paths=fonts,
                format="pdf",
                pdf_standards=["a-3a", "ua-1"],
                timestamp=datetime.fromisoformat(made),
            )
        except typst.TypstError as error:
            if NO_GLYPH not in error.message:
                raise
            raise PackageError(
                f"The dossier of '{piece.record.name}' could not be set: {error.message}.",
                "The record is safe, and no dossier of it was written. Install a font for that "
                "script (a package 'fontpkg-...'), or tell the makers of this program.",
            ) from error


def _fill(folder: Path, piece: Piece, said: dict[str, Any]) -> None:
    """Puts everything the template reads into `folder`."""
    for name in TEMPLATES:
        text = files(__package__).joinpath(name).read_text(encoding="utf-8")
        (folder / name).write_text(text, encoding="utf-8", newline="\n")
    for name, data in checking.attachments(piece).items():
        (folder / name).write_bytes(data)
    (folder / "code.svg").write_bytes(checking.code_drawing(checking.code_words(piece)))
    (folder / "dossier.json").write_bytes(msgspec.json.encode(said))


def replaced_told(typesetter: Typesetter) -> str:
    """What the pages say of characters that stand as numbers; '' where there are none."""
    count = sum(typesetter.replaced.values())
    if not count:
        return ""
    many = "1 character has" if count == 1 else f"{count} characters have"
    words = (
        f"{many} no font on the computer on which these pages were made, and stand there as "
        "Unicode numbers between ‹ and ›. The attached record holds every word as it was written."
    )
    missing = ", ".join(typesetter.fonts.missing)
    return f"{words} Fonts that were not there: {missing}." if missing else words
