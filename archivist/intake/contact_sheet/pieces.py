"""Which pieces the words of a list name: by stock number, and by words of their titles."""

from __future__ import annotations

import re
from collections.abc import Iterable

from archivist.catalogue.numbers import number_key
from archivist.intake.stock_numbers import NumberIndex
from archivist.model import ObjectRecord
from archivist.reading.tables import Tables

Meant = tuple[str, ...]
"""Records of which one is meant; more than one where the words do not say which."""


class Pieces:
    """The records of the archive, to be named by people."""

    def __init__(self, records: Iterable[ObjectRecord], tables: Tables) -> None:
        self.records = {record.id: record for record in records if not record.withdrawn}
        self._index = NumberIndex(self.records.values(), tables)
        self._numbers: dict[tuple[str, ...], list[str]] = {}
        for record in self.records.values():
            for number in (record.stock_number, *record.other_numbers):
                if key := number_key(number):
                    self._numbers.setdefault(key, []).append(record.id)

    def called(self, object_id: str) -> str:
        """The stock number of a record; with its title where others bear that number too."""
        record = self.records.get(object_id)
        if record is None:
            return object_id
        alike = self._numbers.get(number_key(record.stock_number), [])
        if len(set(alike)) > 1:
            return f"{record.name} {record.title.replace(';', ',')}".strip()
        return record.name

    def title(self, object_id: str) -> str:
        """The title of a record, '' where it is not known."""
        record = self.records.get(object_id)
        return record.title if record else ""

    def named(self, words: str, shown: Iterable[str] = ()) -> tuple[list[Meant], list[str]]:
        """The pieces that `words` name, parted by semicolons or lines, and the words that do not.

        Of several records with one number the one meant is the one that the photograph is held to
        show already (`shown`), else the one whose title stands beside the number.
        """
        already = set(shown)
        found: list[Meant] = []
        unknown: list[str] = []
        for part in (p.strip() for p in re.split(r"[;\n]", words)):
            if not part:
                continue
            claims = self._claims(part)
            if not claims:
                unknown.append(part)
            for objects in claims:
                meant = self._narrowed(objects, part, already)
                if meant not in found:
                    found.append(meant)
        return found, unknown

    def among(self, words: str, objects: Iterable[str]) -> str:
        """The one of `objects` that `words` name, '' where they name none or several of them."""
        wanted = set(objects)
        meant = {o for claim in self._claims(words) for o in claim if o in wanted}
        if len(meant) > 1:
            exact = {o for o in meant if self.called(o).casefold() == words.strip().casefold()}
            meant = exact or meant
        return meant.pop() if len(meant) == 1 else ""

    def _claims(self, words: str) -> list[Meant]:
        whole = self._numbers.get(number_key(words))
        if whole:
            return [tuple(dict.fromkeys(whole))]
        claims = [claim.objects for claim in self._index.claims(words)]
        if claims:
            return list(dict.fromkeys(claims))
        titled = [
            r.id for r in self.records.values() if r.title.casefold() == words.strip().casefold()
        ]
        return [tuple(titled)] if titled else []

    def _narrowed(self, objects: Meant, words: str, already: set[str]) -> Meant:
        if len(objects) == 1:
            return objects
        spoken = _words(words)
        titles = {o: _words(self.records[o].title) for o in objects}
        common = set.intersection(*titles.values())
        scores = {o: len(spoken & (titles[o] - common)) for o in objects}
        best = max(scores.values())
        if best:
            objects = tuple(o for o in objects if scores[o] == best)
        held = tuple(o for o in objects if o in already)
        return held if len(held) == 1 else objects


def _words(text: str) -> set[str]:
    return {word for word in re.findall(r"[^\W\d_]+", text.casefold()) if len(word) > 3}
