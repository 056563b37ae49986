"""Sets a dossier: pictures and words into a scratch folder, the template over them, one PDF out."""

from __future__ import annotations

import tempfile
from functools import cached_property
from pathlib import Path
from typing import Any

import msgspec

from archivist.hooks import Exporter, Package, Piece, Selection
from archivist_plugins.dossier import DossierOptions, checking
from archivist_plugins.dossier.caution_tables import read_cautions, read_protected_materials
from archivist_plugins.dossier.cautions import Said, cautions_for
from archivist_plugins.dossier.content import content
from archivist_plugins.dossier.pictures import MANY, PagePicture, page_picture
from archivist_plugins.dossier.signature import signed
from archivist_plugins.typesetting.fonts import Fonts, installed_fonts
from archivist_plugins.typesetting.glyphs import Typesetter
from archivist_plugins.typesetting.pages import bring, replaced_told, typeset

TEMPLATES = ("dossier.typ", "pages.typ")


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
            paper = self._options.paper.value
            said = content(piece, selection, pictures, cautions, paper, package.companion)
            typesetter = Typesetter(self._fonts)
            printable = typesetter.content(said)
            printable["replaced"] = replaced_told(typesetter)
            _fill(folder, piece, printable)
            (pdf,) = typeset(
                folder / TEMPLATES[0],
                self._fonts,
                selection.made,
                f"The dossier of '{piece.record.name}'",
                format="pdf",
                pdf_standards=["a-3a", "ua-1"],
            )
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


def _fill(folder: Path, piece: Piece, said: dict[str, Any]) -> None:
    """Puts everything the template reads into `folder`."""
    bring(folder, "archivist_plugins.dossier", *TEMPLATES)
    for name, data in checking.attachments(piece).items():
        (folder / name).write_bytes(data)
    (folder / "code.svg").write_bytes(checking.code_drawing(checking.code_words(piece)))
    (folder / "dossier.json").write_bytes(msgspec.json.encode(said))
