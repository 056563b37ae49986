"""The fonts that packages brought along: where they lie, and which characters they can show.

No font of the system is used, so that a dossier looks the same wherever it is made. The families
are meant for each other: Noto Serif CJK holds the Latin of Source Serif. Any further package that
names its fonts under the entry point `fontpkg.family` is taken in as well, which is how a script
that is not here is added.
"""

from __future__ import annotations

import functools
import importlib.metadata
import importlib.util
from dataclasses import dataclass
from pathlib import Path

from archivist.errors import PluginError

SERIF, SANS, MONOSPACED = "Source Serif 4", "Source Sans 3", "Source Code Pro"

TEXT_FONTS = {
    "fontpkg_source_serif_4": "fontpkg-source-serif-4",
    "fontpkg_source_sans_3": "fontpkg-source-sans-3",
    "fontpkg_source_code_pro": "fontpkg-source-code-pro",
}
"""Modules of fonts without which nothing can be set, and the packages that bring them."""

SCRIPT_FONTS = {
    "fontpkg_noto_serif": "fontpkg-noto-serif",
    "fontpkg_amiri": "fontpkg-amiri",
    "fontpkg_frank_ruhl_libre": "fontpkg-frank-ruhl-libre",
    "pylopdf_fonts_zh_tw": "pylopdf-fonts-zh-tw",
    "pylopdf_fonts_jp": "pylopdf-fonts-jp",
    "pylopdf_fonts_ko": "pylopdf-fonts-ko",
    "pylopdf_fonts_zh_cn": "pylopdf-fonts-zh-cn",
}
"""Modules of fonts for further scripts: Greek and rare Latin, Arabic, Hebrew, Chinese ..."""

_ENTRY_POINTS = "fontpkg.family"
_ENDINGS = {".ttf", ".otf", ".ttc", ".otc"}


@dataclass(frozen=True)
class Fonts:
    """Font files that are installed, those of the text first; and the packages that are not."""

    files: tuple[Path, ...]
    missing: tuple[str, ...] = ()

    @property
    def folders(self) -> list[str]:
        """The folders that hold them, in a fixed order."""
        return sorted({str(file.parent) for file in self.files})

    def show(self, cluster: str) -> bool:
        """Whether one of the fonts has every character of `cluster`."""
        wanted = set(map(ord, cluster))
        return any(wanted <= characters(file) for file in self.files)


def installed_fonts() -> Fonts:
    """What is installed.

    Raises:
        PluginError: where a font of the text itself is missing.
    """
    missing = [package for module, package in TEXT_FONTS.items() if not _files(module)]
    if missing:
        raise PluginError(
            f"The pages cannot be set: their fonts are missing ({', '.join(missing)}).",
            f"Nothing was written. Install them with: pip install {' '.join(missing)}",
        )
    further = sorted(
        entry.value.partition(":")[0]
        for entry in importlib.metadata.entry_points(group=_ENTRY_POINTS)
    )
    modules = dict.fromkeys([*TEXT_FONTS, *SCRIPT_FONTS, *further])
    return Fonts(
        tuple(file for module in modules for file in _files(module)),
        tuple(package for module, package in SCRIPT_FONTS.items() if not _files(module)),
    )


def _files(module: str) -> list[Path]:
    """The font files of a package, without importing it."""
    spec = importlib.util.find_spec(module) if "." not in module else None
    folders = spec.submodule_search_locations if spec else None
    return sorted(
        path
        for folder in folders or ()
        for path in Path(folder).rglob("*")
        if path.suffix.lower() in _ENDINGS
    )


@functools.cache
def characters(file: Path) -> frozenset[int]:
    """The code points that a font has a glyph for, of its first face."""
    from fontTools.ttLib import TTFont

    with TTFont(file, lazy=True, fontNumber=0) as font:
        return frozenset(font.getBestCmap())
