"""The audiences that a photograph may be let to, by the names that people write."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection
from dataclasses import dataclass

from archivist.catalogue.archive import Archive
from archivist.hooks import AudienceDescription
from archivist.plugins import Plugins
from archivist.release.disclosure import OWNER, disclosures

_OWNER_ALONE = frozenset({OWNER, "only me", "me", "nobody", "no one", "none"})
_EVERYBODY = frozenset({"everybody", "everyone", "all", "anybody"})
PUBLIC = "public"


@dataclass(frozen=True)
class LetTo:
    """Who may see a photograph beyond what its view allows: audiences, or the owner alone."""

    audiences: tuple[str, ...] = ()
    owner_alone: bool = False


class Audiences:
    """The audiences of an archive."""

    def __init__(self, names: Collection[str] = ()) -> None:
        self._names = {name.casefold(): name for name in names}

    def named(self, words: str) -> LetTo | str:
        """Whom the words name, parted by commas; else what is wrong with them, in plain words,
        with the audiences that there are."""
        said = [name for name in (p.strip().casefold() for p in re.split(r"[,/&;]", words)) if name]
        if any(name in _OWNER_ALONE for name in said):
            return LetTo(owner_alone=True)
        said = [PUBLIC if name in _EVERYBODY else name for name in said]
        unknown = [name for name in said if name not in self._names]
        if unknown:
            there = ", ".join(sorted(self._names.values()))
            near = difflib.get_close_matches(unknown[0], self._names, 1)
            meant = f" (is '{self._names[near[0]]}' meant?)" if near else ""
            return f"there is no audience '{unknown[0]}'{meant}; there are {there}"
        return LetTo(tuple(dict.fromkeys(self._names[name] for name in said)))


def audiences_of(archive: Archive, plugins: Plugins) -> Audiences:
    """The audiences of an archive: those of the table, of plugins and of its settings.

    Raises:
        PluginError, SettingsError: where one of these is described wrongly.
    """
    described = plugins.of("audience", AudienceDescription)
    return Audiences(tuple(disclosures(described, archive.settings.audiences)))
