"""Photographs by their digest and by where their files lie, as exactly as a list names them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

import msgspec

from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.holdings import occurrences
from archivist.catalogue.sources import sources
from archivist.intake.ordering import Natural, natural
from archivist.intake.proposal import (
    AddPhotograph,
    AnyItem,
    KeepFile,
    LinkPhotograph,
    Proposal,
)
from archivist.model import Depiction, Photograph

SHORTEST_DIGEST = 8
"""Hexadecimal digits that a beginning of a digest must have to be taken for it."""

Segments = tuple[str, ...]

Folders = dict[Segments, dict[str, dict[Segments, str]]]
"""The places of photographs by the folder around their folder, then by folder; their digests."""


@dataclass(frozen=True)
class KnownPhotograph:
    """A photograph, where its files lie, and whether the archive has it already."""

    photograph: Photograph
    places: tuple[Segments, ...] = ()
    held: bool = False
    paths: tuple[str, ...] = ()

    @property
    def depictions(self) -> tuple[Depiction, ...]:
        return self.photograph.depictions


@dataclass
class Photographs:
    """All photographs of the archive and of proposals that are not applied."""

    by_digest: dict[str, KnownPhotograph] = field(default_factory=dict)
    _by_name: dict[str, list[tuple[Segments, str]]] = field(default_factory=dict)
    _digests: dict[str, str] = field(default_factory=dict)
    _by_folder: Folders = field(default_factory=dict)
    _ordered: dict[Segments, list[Segments]] = field(default_factory=dict)

    def add(self, photograph: Photograph, *, held: bool) -> None:
        """A photograph; what the archive holds of it counts more than what is proposed."""
        self._digests[photograph.id] = photograph.sha256
        known = self.by_digest.get(photograph.sha256)
        if known is None:
            self.by_digest[photograph.sha256] = KnownPhotograph(photograph, held=held)
        elif not known.held:
            self.by_digest[photograph.sha256] = replace(known, photograph=photograph, held=held)

    def add_place(self, sha256: str, location: str, path: str) -> None:
        """A file of a photograph: its path below the folder (or the file) at `location`."""
        known = self.by_digest.get(sha256)
        if known is None:
            return
        place = segments(f"{location}/{path}")
        if segments(location)[-1:] == segments(path) and "." in path:
            place = segments(location)
        if place not in known.places:
            self.by_digest[sha256] = replace(
                known, places=(*known.places, place), paths=(*known.paths, path)
            )
            self._by_name.setdefault(place[-1], []).append((place, sha256))
            if len(place) > 1:
                folders = self._by_folder.setdefault(place[:-2], {})
                folders.setdefault(place[-2], {})[place] = sha256
                self._ordered.pop(place[:-1], None)

    def add_depictions(self, photograph_id: str, depictions: Iterable[Depiction]) -> None:
        """More that a photograph is proposed to show."""
        known = self.by_digest.get(self._digests.get(photograph_id, ""))
        if known is None:
            return
        shown = {d.object for d in known.depictions}
        more = tuple(d for d in depictions if d.object not in shown)
        photograph = msgspec.structs.replace(
            known.photograph, depictions=(*known.depictions, *more)
        )
        self.by_digest[photograph.sha256] = replace(known, photograph=photograph)

    def digests(self) -> dict[str, str]:
        """The digest of each photograph by its UUID."""
        return dict(self._digests)

    def named(self, path: str, sha256: str) -> list[KnownPhotograph]:
        """The photographs that a digest (or its beginning) or else a path names."""
        if len(sha256) >= SHORTEST_DIGEST and not re.search(r"[^0-9a-f]", sha256):
            exact = self.by_digest.get(sha256)
            if exact is not None:
                return [exact]
            begun = [k for digest, k in self.by_digest.items() if digest.startswith(sha256)]
            if len(begun) == 1:
                return begun
        return self._at(segments(path))

    def _at(self, wanted: Segments) -> list[KnownPhotograph]:
        """By path: all of it, or without its beginning as long as a folder is left.

        The outer folders of a list are often those of another computer.
        """
        if not wanted:
            return []
        near = self._by_name.get(wanted[-1], [])
        for start in range(max(1, len(wanted) - 1)):
            ending = wanted[start:]
            found = {sha for place, sha in near if place[-len(ending) :] == ending}
            if found:
                return [self.by_digest[sha] for sha in sorted(found)]
        return []

    def siblings(self, known: KnownPhotograph) -> list[tuple[KnownPhotograph, Segments]]:
        """The photographs at the same place in folders, or in series, beside the one it lies in.

        The same place in a folder is the same name, else the same number in a folder of as many
        photographs. Where several pieces lie in one folder, named by their numbers, a series are
        the names that go on alike after the number: '0421 (3)' and '0422 (3)'.
        """
        found: list[tuple[KnownPhotograph, Segments]] = []
        for place in known.places:
            folders = self._by_folder.get(place[:-2], {}) if len(place) > 1 else {}
            here = self._in_order(place[:-1])
            number = next((n for n, p in enumerate(here) if p == place), None)
            for folder, inside in folders.items():
                if folder == place[-2]:
                    found += self._in_series(known, place, inside)
                    continue
                named = (*place[:-2], folder, place[-1])
                twin = named if named in inside else None
                if twin is None and number is not None and len(inside) == len(here):
                    twin = self._in_order((*place[:-2], folder))[number]
                if twin is not None:
                    found.append((self.by_digest[inside[twin]], twin))
        return found

    def _in_order(self, folder: Segments) -> list[Segments]:
        """The places in a folder in the order of their names."""
        if folder not in self._ordered:
            inside = self._by_folder.get(folder[:-1], {}).get(folder[-1], {}) if folder else {}
            self._ordered[folder] = sorted(inside, key=_by_name)
        return self._ordered[folder]

    def beside(self, known: KnownPhotograph) -> list[tuple[KnownPhotograph, Segments]]:
        """The other photographs in the folder of a photograph."""
        found: list[tuple[KnownPhotograph, Segments]] = []
        for place in known.places:
            inside = self._by_folder.get(place[:-2], {}).get(place[-2], {}) if place[1:] else {}
            found += [
                (self.by_digest[sha256], other)
                for other, sha256 in sorted(inside.items(), key=lambda item: _by_name(item[0]))
                if sha256 != known.photograph.sha256
            ]
        return found

    def _in_series(
        self, known: KnownPhotograph, place: Segments, inside: Mapping[Segments, str]
    ) -> list[tuple[KnownPhotograph, Segments]]:
        """The photographs of other pieces in a folder whose names go on like that of `place`."""
        tail = _after_number(place[-1])
        objects = {d.object for d in known.depictions}
        found = []
        for other, sha256 in inside.items():
            twin = self.by_digest[sha256]
            if tail and _after_number(other[-1]) == tail and other != place:
                shown = {d.object for d in twin.depictions}
                if shown and not shown & objects:
                    found.append((twin, other))
        return found


def photographs_known(catalogue: Catalogue, *proposals: Proposal) -> Photographs:
    """The photographs that the catalogue holds and that `proposals` would add."""
    known = Photographs()
    for photograph in catalogue.all(Photograph):
        known.add(photograph, held=True)
    locations = {source.id: source.location for source in sources(catalogue)}
    for place in occurrences(catalogue):
        known.add_place(place.sha256, locations.get(place.source, ""), place.path)
    for proposal in proposals:
        add_proposed(known, proposal.items, {s.id: s.location for s in proposal.sources})
    return known


def add_proposed(
    known: Photographs, items: Iterable[AnyItem], locations: Mapping[str, str]
) -> None:
    """Adds the photographs of a proposal's items; `locations` are its sources' by UUID."""
    listed = list(items)
    for item in listed:
        if isinstance(item, AddPhotograph):
            known.add(item.photograph, held=False)
    for item in listed:
        if isinstance(item, KeepFile):
            location = locations.get(item.source, "")
            known.add_place(item.file.sha256, location, item.file.path)
        elif isinstance(item, LinkPhotograph):
            known.add_depictions(item.photograph, item.depictions)


def segments(path: str) -> Segments:
    """The parts of a path, whichever way its slashes lean, as they are compared."""
    plain = unicodedata.normalize("NFC", path.replace("\\", "/")).casefold()
    return tuple(p for p in plain.split("/") if p not in ("", ".") and not p.endswith(":"))


def _after_number(name: str) -> str:
    """What stands in a file's name after its first number, without its ending."""
    match = re.search(r"\d+(.*?)(\.\w+)?$", name)
    return match[1].strip() if match else ""


def _by_name(place: Segments) -> Natural:
    return natural(place[-1])
