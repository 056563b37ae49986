"""What a record says a piece is made of: ceramic or not, and what of it may be protected.

A material is a question for whoever knows it, and never a finding. In free text its name is taken
for a material only right before a thing ('rosewood stand'), and nowhere for one where it names a
colour, a glaze or an imitation ('ivory glaze', 'imitation ivory').
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from archivist.model import Certainty, FeatureAspect, ObjectRecord, Statement, Value
from archivist_plugins.dossier.caution_tables import Material, ProtectedMaterials


class Flag(Value, frozen=True, kw_only=True):
    """A material that may be protected: the words of the record, and what the table says."""

    words: str
    material: Material

    @property
    def told(self) -> str:
        """What the table says: 'rosewood: Dalbergia species; CITES appendix II'."""
        material = self.material
        return f"{material.name}: {material.species}; CITES appendix {material.appendix}"


def is_ceramic(record: ObjectRecord, words: Sequence[str]) -> bool:
    """Whether the record names a ware, a glaze, or a ceramic material by one of `words`."""
    for feature in filter(_stands, record.features):
        if feature.aspect in (FeatureAspect.WARE, FeatureAspect.GLAZE):
            return True
        if feature.aspect in (FeatureAspect.MATERIAL, FeatureAspect.TECHNIQUE) and any(
            _found(word, f"{feature.term.label} {feature.as_stated}") for word in words
        ):
            return True
    said = " ".join(title.value for title in record.titles if _stands(title))
    return any(_found(word, said) for word in words)


@dataclass(frozen=True)
class _Spelling:
    """One word for a material: how it stands alone, and how before a thing of that material."""

    word: str
    anywhere: re.Pattern[str]
    alone: re.Pattern[str]
    as_thing: re.Pattern[str]
    imitated: re.Pattern[str]

    def material_in(self, text: str) -> str:
        """The word where `text` names the material by it, '' where it does not."""
        return self._first(self.alone, text)

    def thing_in(self, text: str) -> str:
        """The thing of that material that `text` names, '' where it names none."""
        return self._first(self.as_thing, text)

    def _first(self, pattern: re.Pattern[str], text: str) -> str:
        matches = pattern.finditer(text)
        found = (m.group() for m in matches if not self.imitated.search(text[: m.start()]))
        return next(found, "")


def protected(record: ObjectRecord, table: ProtectedMaterials) -> tuple[Flag, ...]:
    """The materials on `record` that may be protected, each once; the longest name counts."""
    named, told = tuple(_named(record)), tuple(_told(record))
    flags: list[Flag] = []
    seen: set[str] = set()
    for spelling, material in _longest_first(table):
        found = [
            (text, spelling.material_in(text))
            for text in named
            if not (_is(spelling.word, text) and _only_likened(spelling, told))
        ]
        found += [(text, spelling.thing_in(text)) for text in told]
        for text, match in found:
            if not match or any(match.casefold() in words for words in seen):
                continue
            words = " ".join(text.split()) if text in named else match
            seen.add(words.casefold())
            flags.append(Flag(words=words, material=material))
    return tuple(flags)


def _is(word: str, text: str) -> bool:
    return text.strip().casefold() == word.casefold()


def _only_likened(spelling: _Spelling, told: Sequence[str]) -> bool:
    """Whether free text has the name, and only ever as a likeness ('tortoiseshell glaze').

    A bare 'tortoiseshell' among the materials of such a record is that glaze.
    """
    has_it = any(spelling.anywhere.search(text) for text in told)
    return has_it and not any(spelling.material_in(text) for text in told)


def _longest_first(table: ProtectedMaterials) -> Iterator[tuple[_Spelling, Material]]:
    pairs = [(word, material) for material in table.material for word in material.words]
    things = _any_of(table.things)
    likeness = rf"(?![\s-]+{_any_of(table.likenesses)})" if table.likenesses else ""
    before = rf"(?<!\w){_any_of(table.imitations)}[\s-]+$" if table.imitations else r"(?!)"
    imitated = re.compile(before, re.IGNORECASE)
    for word, material in sorted(pairs, key=lambda pair: -len(pair[0])):
        name = rf"(?<!\w){re.escape(word)}"
        spelling = _Spelling(
            word,
            anywhere=re.compile(rf"{name}(?!\w)", re.IGNORECASE),
            alone=re.compile(rf"{name}(?!\w){likeness}", re.IGNORECASE),
            as_thing=re.compile(rf"{name}[\s-]+{things}", re.IGNORECASE),
            imitated=imitated,
        )
        yield spelling, material


def _any_of(words: Iterable[str]) -> str:
    return rf"(?:{'|'.join(map(re.escape, words))})(?!\w)"


def _named(record: ObjectRecord) -> Iterator[str]:
    """Words that stand where materials and parts are named."""
    for feature in filter(_stands, record.features):
        if feature.aspect in (FeatureAspect.MATERIAL, FeatureAspect.TECHNIQUE):
            yield feature.as_stated or feature.term.label
    for part in record.composition.parts if record.composition else ():
        yield part.as_stated or part.name
    for measurement in filter(_stands, record.measurements):
        yield from measurement.includes


def _told(record: ObjectRecord) -> Iterator[str]:
    """Free text, in which the name of a material may be a colour."""
    for title in filter(_stands, record.titles):
        yield title.value
    for note in filter(_stands, record.descriptions):
        yield note.as_stated


def _found(word: str, text: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text, re.IGNORECASE) is not None


def _stands(statement: Statement) -> bool:
    return statement.certainty is not Certainty.REJECTED
