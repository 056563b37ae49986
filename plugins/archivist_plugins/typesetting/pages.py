"""Sets pages by typst from templates in a scratch folder, with the fonts of packages alone."""

from __future__ import annotations

from datetime import datetime
from importlib.resources import files
from pathlib import Path
from typing import Any

from archivist.errors import PackageError
from archivist_plugins.typesetting.fonts import Fonts
from archivist_plugins.typesetting.glyphs import Typesetter

STYLE = "style.typ"
"""The template of this package that the others import."""

_NO_GLYPH = "could not be displayed"
"""What typst says of words for which no font has a glyph."""


def bring(folder: Path, package: str, *names: str) -> None:
    """Puts templates of `package`, and the style they share, into the scratch folder."""
    for home, name in ((__package__, STYLE), *((package, name) for name in names)):
        text = files(home).joinpath(name).read_text(encoding="utf-8")
        (folder / name).write_text(text, encoding="utf-8", newline="\n")


def typeset(template: Path, fonts: Fonts, made: str, called: str, **form: Any) -> list[bytes]:
    """The pages of `template`: one PDF, or a picture each.

    `made` is the moment (ISO 8601) that stands in them, `called` what messages call them ('The
    dossier of HW 0417'), `form` what else typst is told (`format`, `pdf_standards`, `ppi`).

    Raises:
        PackageError: where no font has a glyph for words that it seemed to have.
    """
    import typst

    only_ours = typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=list(fonts.folders),
    )
    try:
        done = typst.compile(
            template,
            root=template.parent,
            font_paths=only_ours,
            timestamp=datetime.fromisoformat(made),
            **form,
        )
    except typst.TypstError as error:
        if _NO_GLYPH not in error.message:
            raise
        raise PackageError(
            f"{called} could not be set: {error.message}.",
            "The records are safe, and nothing of it was written. Install a font for that script "
            "(a package 'fontpkg-...'), or tell the makers of this program.",
        ) from error
    return done if isinstance(done, list) else [done]


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
