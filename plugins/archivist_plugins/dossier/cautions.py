"""Which cautions a piece calls for, in the words of the tables that the owner can edit.

A caution is chosen by what the record says, in `archivist_schemas/tables/cautions.toml`; materials
that may be protected are known by `protected_materials.toml`. Nothing here is advice.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Sequence
from enum import StrEnum
from importlib.resources.abc import Traversable
from itertools import zip_longest
from pathlib import Path
from string import Template
from typing import TypeVar

import msgspec

from archivist.errors import SettingsError
from archivist.hooks import Piece
from archivist.model import (
    Certainty,
    FeatureAspect,
    ObjectRecord,
    Passage,
    ProvenanceEvent,
    Statement,
    Value,
)
from archivist_schemas import schema_file

Table = TypeVar("Table", bound=Value)


class Applies(StrEnum):
    ALWAYS = "always"
    PHOTOGRAPHS = "photographs"
    CERAMIC = "ceramic"
    PROTECTED_MATERIALS = "protected-materials"
    SILENT_BETWEEN = "silent-between"
    SILENT_SINCE = "silent-since"


class Caution(Value, frozen=True, kw_only=True):
    """One caution of the table: its words, when it is said, where it is from, and as of when."""

    code: str
    heading: str
    text: str
    applies: Applies
    source: str
    as_at: str
    first: int = 0
    last: int = 0


class Cautions(Value, frozen=True, kw_only=True):
    """The table `cautions.toml`."""

    caution: tuple[Caution, ...] = ()
    ceramic_words: tuple[str, ...] = ()


class Material(Value, frozen=True, kw_only=True):
    """A material that may be protected: the words that name it, the species, the appendix."""

    name: str
    words: tuple[str, ...]
    species: str = ""
    appendix: str = ""


class ProtectedMaterials(Value, frozen=True, kw_only=True):
    """The table `protected_materials.toml`."""

    source: str
    as_at: str
    things: tuple[str, ...] = ()
    likenesses: tuple[str, ...] = ()
    material: tuple[Material, ...] = ()


class Said(Value, frozen=True, kw_only=True):
    """A caution as it is said of one piece; `lines` say more of what it speaks of."""

    heading: str
    text: str
    lines: tuple[str, ...] = ()
    source: str
    as_at: str


class Flag(Value, frozen=True, kw_only=True):
    """A material that may be protected: the words of the record, and what the table says."""

    words: str
    material: Material


def read_cautions(file: Traversable | Path | None = None) -> Cautions:
    """The table of cautions, that which ships where no `file` is given.

    Raises:
        SettingsError: where it cannot be read or an entry does not fit.
    """
    return _read(file or schema_file("tables", "cautions.toml"), Cautions)


def read_protected_materials(file: Traversable | Path | None = None) -> ProtectedMaterials:
    """The table of protected materials, that which ships where no `file` is given.

    Raises:
        SettingsError: where it cannot be read or an entry does not fit.
    """
    return _read(file or schema_file("tables", "protected_materials.toml"), ProtectedMaterials)


def _read(file: Traversable | Path, kind: type[Table]) -> Table:
    try:
        return msgspec.convert(tomllib.loads(file.read_text(encoding="utf-8")), kind)
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        reason = str(error)
    except msgspec.ValidationError as error:
        reason = str(error)
    raise SettingsError(
        f"The table {file.name} cannot be used: {reason}.",
        "Nothing was written. Correct that entry; the comments in the table say what it may hold.",
    )


def cautions_for(piece: Piece, table: Cautions, materials: ProtectedMaterials) -> tuple[Said, ...]:
    """The cautions that `piece` calls for, in the order of the table."""
    said = (_said(caution, piece, table, materials) for caution in table.caution)
    return tuple(caution for caution in said if caution is not None)


def _said(
    caution: Caution, piece: Piece, table: Cautions, materials: ProtectedMaterials
) -> Said | None:
    record = piece.record
    what, years = "", ""
    lines: tuple[str, ...] = ()
    match caution.applies:
        case Applies.ALWAYS:
            applies = True
        case Applies.PHOTOGRAPHS:
            applies = bool(piece.photographs)
        case Applies.CERAMIC:
            applies = is_ceramic(record, table.ceramic_words)
        case Applies.PROTECTED_MATERIALS:
            flags = protected(record, materials)
            applies = bool(flags)
            what = _joined([f"“{flag.words}”" for flag in flags])
            lines = tuple(map(_of_material, flags))
        case Applies.SILENT_BETWEEN:
            silent = silent_years(record, caution.first, caution.last)
            applies = bool(silent)
            years = _years(silent)
        case Applies.SILENT_SINCE:
            applies = not _made_after(record, caution.last) and not _reaches(record, caution.last)
    if not applies:
        return None
    text = Template(caution.text).safe_substitute(what=what, years=years)
    return Said(
        heading=caution.heading,
        text=text,
        lines=lines,
        source=caution.source,
        as_at=caution.as_at,
    )


# Materials ----------------------------------------------------------------------------------------


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


def protected(record: ObjectRecord, table: ProtectedMaterials) -> tuple[Flag, ...]:
    """The materials on `record` that may be protected, each once; the longest name counts."""
    named, told = tuple(_named(record)), tuple(_told(record))
    things = _any_of(table.things)
    likeness = rf"(?![\s-]+{_any_of(table.likenesses)})" if table.likenesses else ""
    flags: list[Flag] = []
    seen: set[str] = set()
    for word, material in _longest_first(table.material):
        name = rf"(?<!\w){re.escape(word)}"
        alone = re.compile(rf"{name}(?!\w){likeness}", re.IGNORECASE)
        as_thing = re.compile(rf"{name}[\s-]+{things}", re.IGNORECASE)
        found = [
            (text, alone.search(text))
            for text in named
            if not (_is(word, text) and _only_likened(name, alone, told))
        ]
        found += [(text, as_thing.search(text)) for text in told]
        for text, match in found:
            if match is None or any(match.group().casefold() in words for words in seen):
                continue
            words = " ".join(text.split()) if text in named else match.group()
            seen.add(words.casefold())
            flags.append(Flag(words=words, material=material))
    return tuple(flags)


def _is(word: str, text: str) -> bool:
    return text.strip().casefold() == word.casefold()


def _only_likened(name: str, alone: re.Pattern[str], told: Sequence[str]) -> bool:
    """Whether free text has the name, and only ever as a likeness ('tortoiseshell glaze').

    A bare 'tortoiseshell' among the materials of such a record is that glaze.
    """
    has_it = any(re.search(rf"{name}(?!\w)", text, re.IGNORECASE) for text in told)
    return has_it and not any(alone.search(text) for text in told)


def _of_material(flag: Flag) -> str:
    """What the table says of a material: 'rosewood: Dalbergia species; CITES appendix II'."""
    material = flag.material
    return f"{material.name}: {material.species}; CITES appendix {material.appendix}"


def _longest_first(materials: Iterable[Material]) -> list[tuple[str, Material]]:
    pairs = [(word, material) for material in materials for word in material.words]
    return sorted(pairs, key=lambda pair: -len(pair[0]))


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


# Years --------------------------------------------------------------------------------------------


def silent_years(record: ObjectRecord, first: int, last: int) -> tuple[int, ...]:
    """The years from `first` to `last` for which the provenance says nothing.

    An event speaks for its own years, up to its `until`; and for those up to the next event where
    that followed directly. Nothing is asked of years before the piece was made.
    """
    if _made_after(record, last):
        return ()
    made = record.date.earliest if record.date and record.date.earliest is not None else first
    covered: set[int] = set()
    events = [event for event in record.provenance if _stands(event)]
    for event, following in zip_longest(events, events[1:]):
        covered.update(_spoken_for(event, following, first, last))
    return tuple(year for year in range(max(first, made), last + 1) if year not in covered)


def _spoken_for(
    event: ProvenanceEvent, following: ProvenanceEvent | None, first: int, last: int
) -> Iterable[int]:
    start = event.date.latest if event.date else None
    ends = [
        event.date.latest if event.date else None,
        event.until.earliest if event.until else None,
    ]
    if following is not None and following.passage is Passage.DIRECT and following.date:
        ends.append(following.date.earliest)
    known = [end for end in ends if end is not None]
    if not known:
        return ()
    begin = start if start is not None else min(known)
    return range(max(begin, first), min(max(known), last) + 1)


def _made_after(record: ObjectRecord, year: int) -> bool:
    return record.date is not None and (record.date.earliest or year) > year


def _reaches(record: ObjectRecord, year: int) -> bool:
    """Whether an event of the provenance is certainly no later than `year`."""
    ends = (
        date.latest
        for event in filter(_stands, record.provenance)
        for date in (event.date, event.until)
        if date is not None
    )
    return any(end is not None and end <= year for end in ends)


def _years(years: Sequence[int]) -> str:
    """Years as spans: '1933–1936 and 1941'."""
    spans: list[list[int]] = []
    for year in years:
        if spans and year == spans[-1][1] + 1:
            spans[-1][1] = year
        else:
            spans.append([year, year])
    return _joined([str(a) if a == b else f"{a}–{b}" for a, b in spans])


def _joined(words: Sequence[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)
