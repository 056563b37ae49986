"""Persons and firms named in old material, matched by name with those the catalogue knows."""

from __future__ import annotations

import functools
import re
import uuid
from collections.abc import Iterable
from dataclasses import dataclass

import msgspec

from archivist.catalogue.entities import folded
from archivist.model import Party, PartyKind
from archivist.reading.tables import Tables

_LOT = re.compile(r",?\s*\blot\s+\w+\s*$", re.IGNORECASE)
_WORDS = re.compile(r"[^\W_]+|&")
_TITLES = re.compile(
    r"^(?:(?:mr|mrs|ms|miss|dr|prof|professor|sir|lady|lord|col|capt|major|rev|mme|mlle|m|monsieur"
    r"|madame|herr|frau|signora?|sig|sra?|don|doña|the late|estate of|estate)\.?\s+)+",
    re.IGNORECASE,
)


@functools.lru_cache(maxsize=1)
def _kinds(tables: Tables) -> dict[str, PartyKind]:
    return {
        name.casefold().rstrip("."): PartyKind(row.label)
        for row in tables.terms("party kind")
        for name in row.names
    }


@functools.lru_cache(maxsize=1)
def _nobodies(tables: Tables) -> frozenset[str]:
    return frozenset(folded(n) for row in tables.terms("nobody") for n in row.names)


@functools.lru_cache(maxsize=1)
def _no_dealings(tables: Tables) -> frozenset[str]:
    return frozenset(folded(n) for row in tables.terms("no dealing") for n in row.names)


@functools.lru_cache(maxsize=1)
def _no_names(tables: Tables) -> frozenset[str]:
    return frozenset(folded(n) for row in tables.terms("no name") for n in row.names)


def tells_no_dealing(text: str, tables: Tables) -> bool:
    """Whether a cell only says that nothing was sold or bought: 'stock', 'NFS', 'n/a', '-'."""
    plain = folded(text.strip(" .()[]-–—"))
    return not plain or plain in _no_dealings(tables)


@dataclass(frozen=True)
class Named:
    """The name in a cell: without a lot number, parted from the place after it."""

    name: str
    place: str


def name_in(text: str, tables: Tables) -> Named | None:
    """The person or firm that `text` names; None for 'with 0434', '?', 'a Dutchman', 'Yes'.

    A name begins with a capital or is in a script without capitals. What follows the last comma
    is a place if it begins with a capital and holds no number. Private sources without a name
    keep their place in their name, as they are told apart by nothing else.
    """
    plain = _LOT.sub("", " ".join(text.split())).strip(" ,;?")
    if not plain or not plain[0].isalpha() or plain[0].islower():
        return None
    if folded(plain.strip(".!()")) in _no_names(tables):
        return None
    head, comma, tail = plain.rpartition(",")
    tail = tail.strip()
    if comma and tail and tail[0].isupper() and not re.search(r"\d", tail) and len(tail) < 40:
        if folded(head) in _nobodies(tables):
            return Named(plain, tail)
        return Named(head.strip(), tail)
    return Named(plain, "")


def kind_of_name(name: str, tables: Tables) -> PartyKind:
    """Person, firm, museum or household by the words in a name; unknown where none tells."""
    known = _kinds(tables)
    found = {known[w] for w in (m.group().casefold() for m in _WORDS.finditer(name)) if w in known}
    for kind in (PartyKind.MUSEUM, PartyKind.HOUSEHOLD, PartyKind.FIRM, PartyKind.PERSON):
        if kind in found:
            return kind
    return PartyKind.UNKNOWN


class Parties:
    """The parties known while a source is read: those of the catalogue, and the new ones."""

    def __init__(self, known: Iterable[Party], tables: Tables) -> None:
        self.tables = tables
        self.known = {party.id: party for party in known}
        self.changed: dict[str, Party] = {}
        self._by_name: dict[str, str] = {}
        for party in self.known.values():
            for name in (party.name, *party.also_known_as):
                self._by_name.setdefault(folded(name), party.id)

    def __getitem__(self, id_: str) -> Party:
        return self.changed.get(id_) or self.known[id_]

    def named(self, name: str, place: str = "", kind: PartyKind = PartyKind.UNKNOWN) -> Party:
        """The party of that name (case and spaces do not count), made where there is none."""
        id_ = self._by_name.get(folded(name))
        if id_ is not None:
            return self[id_]
        if kind is PartyKind.UNKNOWN:
            kind = kind_of_name(name, self.tables)
        party = Party(id=str(uuid.uuid4()), name=name, kind=kind, place=place)
        self.changed[party.id] = party
        self._by_name[folded(name)] = party.id
        return party

    def speaking(self, name: str) -> Party:
        """The party of that name who holds an opinion: a person, unless the name says otherwise."""
        kind = kind_of_name(name, self.tables)
        return self.named(name, kind=PartyKind.PERSON if kind is PartyKind.UNKNOWN else kind)

    def in_words(self, text: str) -> Party | None:
        """The party that a cell names, or None."""
        found = name_in(text, self.tables)
        return self.named(found.name, found.place) if found else None

    def tell(self, id_: str, field: str, words: str) -> None:
        """Adds an address or contact to a party that has none."""
        party = self[id_]
        if not getattr(party, field):
            self.changed[id_] = msgspec.structs.replace(party, **{field: words})

    def alike(self) -> list[tuple[Party, Party]]:
        """New parties whose name may be another way to name one that is known: 'Dr Brunnick'."""
        everyone = {**self.known, **self.changed}
        by_surname: dict[str, list[Party]] = {}
        for party in everyone.values():
            core = _core(party.name)
            if core:
                by_surname.setdefault(core[-1], []).append(party)
        pairs = []
        for party in self.changed.values():
            core = _core(party.name)
            if not core or party.id in self.known:
                continue
            for other in by_surname.get(core[-1], ()):
                longer = _core(other.name)
                if other.id != party.id and len(core) < len(longer) and core[-1] == longer[-1]:
                    pairs.append((party, other))
        return pairs


def _core(name: str) -> list[str]:
    """The words of a name without titles, folded."""
    plain = _TITLES.sub("", folded(name))
    return re.findall(r"[^\W_]+(?:-[^\W_]+)*", plain)
