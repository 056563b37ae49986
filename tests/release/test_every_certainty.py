"""What is rejected, doubted or another's word is no plain value in any format.

One record says everything that the model can say, each kind of statement once for every certainty
and for the owner and another alike, and goes through every exporter. The words of each statement
occur nowhere else. Made from the types: a field that is added tomorrow is looked for tomorrow.

Wherever those words stand, what they are stands beside them; where they stand nowhere, the
exporter's description says that they are left out.
"""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import subprocess
import types
import typing
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

import msgspec
import pytest
from lxml import etree, html

from archivist.hooks import ExporterDescription
from archivist.model import (
    STATEMENT_FIELDS,
    Aspect,
    Attribution,
    Certainty,
    CitationKind,
    Composition,
    Date,
    FeatureAspect,
    Measurement,
    ObjectRecord,
    ObservationKind,
    Part,
    Polarity,
    Reading,
    RelationKind,
    Statement,
    Unit,
    Value,
    is_settled,
    only_reported,
)
from archivist.plugins import load_plugins
from archivist.testing import BOWL, FARMHOUSE, export, sample_piece, sample_selection
from archivist.wording.caveats import POLARITY_WORDS

PLUGINS = load_plugins()
EXPORTERS = {d.name: d for d in PLUGINS.of("exporter", ExporterDescription)}

KINDS: dict[type[StrEnum], str] = {
    Aspect: "aspect",
    FeatureAspect: "aspect",
    ObservationKind: "kind",
    CitationKind: "kind",
    RelationKind: "kind",
}
"""Fields by which statements of one type are of several kinds: each is said once for every kind."""

CARRIED = frozenset(Statement.__struct_fields__)


REPORTED = (Polarity.ASKED, Polarity.SUPPOSED, Polarity.CONDITIONAL, Polarity.FORMER)
"""What words may do with a value besides asserting and denying it."""


def read_as(polarity: Polarity) -> Reading:
    return Reading(rule="a test", polarity=polarity)


@dataclass(frozen=True)
class Said:
    """One statement of the record and the words by which it is found again."""

    word: str
    field: str
    statement: Statement

    @property
    def plain(self) -> bool:
        return is_settled(self.statement)

    @property
    def rejected(self) -> bool:
        return self.statement.certainty is Certainty.REJECTED


class Speaker:
    """Makes statements, each with a word of its own in every field that holds words."""

    def __init__(self) -> None:
        self.said: list[Said] = []

    def all_of(self, field: str, type_: type[Statement]) -> tuple[Statement, ...]:
        """Every kind, certainty and holder of statements of a type."""
        return tuple(
            self._one(field, type_, certainty, who, given)
            for given in self._kinds(type_)
            for certainty in Certainty
            for who in ("", FARMHOUSE.id)
        ) + tuple(
            self._one(field, type_, Certainty.CERTAIN, "", {**given, "reading": read_as(polarity)})
            for given in list(self._kinds(type_))[:2]
            for polarity in REPORTED
        )

    def _kinds(self, type_: type[Statement]) -> Iterator[dict[str, Any]]:
        fields = {f.name: f.type for f in msgspec.structs.fields(type_)}
        for kinds, name in KINDS.items():
            if fields.get(name) is kinds:
                yield from ({name: kind} for kind in kinds)
                return
        yield {}

    def _one(
        self,
        field: str,
        type_: type[Statement],
        certainty: Certainty,
        who: str,
        given: dict[str, Any],
    ) -> Statement:
        word = f"qz{len(self.said):03d}x"
        values: dict[str, Any] = {**given, "certainty": certainty, "who": who, "as_stated": word}
        for info in msgspec.structs.fields(type_):
            if info.name not in values and info.name not in CARRIED:
                value = self._value(type_, info.name, info.type, word, values)
                if value is not None:
                    values[info.name] = value
        statement = type_(**values)
        self.said.append(Said(word, field, statement))
        return statement

    def _value(
        self, type_: type[Value], name: str, kind: Any, word: str, values: dict[str, Any]
    ) -> Any:
        if type_ is Attribution and (name == "date") is not (values["aspect"] is Aspect.DATE):
            return None
        if typing.get_origin(kind) in (types.UnionType, typing.Union):
            kind = next(k for k in typing.get_args(kind) if k is not type(None))
        if type_ is Measurement and name in ("low", "high", "unit"):
            return Unit.CENTIMETRE if name == "unit" else "731"
        if kind is str:
            named = ("giver", "receiver", "agent", "written_by", "party", "language", "object")
            return None if name in (*named, "part") and type_ is not Measurement else word
        if isinstance(kind, type) and issubclass(kind, StrEnum):
            info = next(f for f in msgspec.structs.fields(type_) if f.name == name)
            return next(iter(kind)) if info.required else None
        if isinstance(kind, type) and issubclass(kind, Date):
            year = 1200 + len(self.said)
            return Date(edtf=str(year), earliest=year, latest=year)
        if isinstance(kind, type) and issubclass(kind, Value):
            return kind(label=word)  # type: ignore[call-arg]
        return None


def record() -> tuple[ObjectRecord, list[Said]]:
    """A record that says all there is to say, and what it says."""
    speaker = Speaker()
    types_ = {f.name: f.type for f in msgspec.structs.fields(ObjectRecord)}
    fields = {name: typing.get_args(types_[name])[0] for name in STATEMENT_FIELDS}
    values = {name: speaker.all_of(name, type_) for name, type_ in fields.items()}
    parts = typing.cast(tuple[Part, ...], speaker.all_of("parts", Part))
    return (
        msgspec.structs.replace(BOWL, composition=Composition(parts=parts), **values),
        speaker.said,
    )


# Reading what was written


Unit_ = tuple[str, str]
"""A text that stands by itself, and that with what stands right beside it."""


def of_xml(data: bytes) -> Iterator[Unit_]:
    root = etree.fromstring(data)
    for element in root.iter(etree.Element):
        texts = [element.text or "", *map(str, element.attrib.values())]
        around = element.getparent()
        around = around if around is None else _of_its_own(around)
        beside = " ".join(_texts(around if around is not None else element))
        yield from ((text, beside) for text in texts if text.strip())


def _of_its_own(element: etree._Element) -> etree._Element:
    """The element that holds the whole of one statement: at most three levels up."""
    found = element
    for _ in range(2):
        above = found.getparent()
        if above is None or len(set(re.findall(r"qz\d{3}x", " ".join(_texts(above))))) > 1:
            break
        found = above
    return found


def _texts(element: etree._Element) -> Iterator[str]:
    for one in element.iter(etree.Element):
        yield one.text or ""
        yield from map(str, one.attrib.values())


def of_json(data: bytes) -> Iterator[Unit_]:
    def walked(value: Any, beside: str) -> Iterator[Unit_]:
        if isinstance(value, dict):
            whole = json.dumps(value, ensure_ascii=False)
            alone = len(set(re.findall(r"qz\d{3}x", whole))) == 1
            for inner in value.values():
                yield from walked(inner, beside or (whole if alone else ""))
        elif isinstance(value, list):
            for inner in value:
                yield from walked(inner, beside)
        elif isinstance(value, str):
            yield from ((line, f"{line} {beside}") for line in value.split("\n"))

    yield from walked(json.loads(data), "")


def of_csv(data: bytes) -> Iterator[Unit_]:
    for row in csv.reader(io.StringIO(data.decode("utf-8-sig"))):
        yield from ((line, line) for cell in row for line in cell.split("\n"))


def of_html(data: bytes) -> Iterator[Unit_]:
    root = html.fromstring(data.decode("utf-8"))
    for script in root.iter("script"):
        if script.get("type") == "application/ld+json":
            yield from of_json((script.text or "").encode())
        script.text = ""
    for block in root.iter("dd", "li", "p", "tr", "h1", "h2", "title", "text"):
        text, beside = _words(block), ""
        for around in (block, *block.iterancestors("div", "section", "article")):
            if len(set(re.findall(r"qz\d{3}x", _words(around)))) == 1:
                beside = _words(around)
        yield text, beside


def _words(element: Any) -> str:
    return " ".join(" ".join(element.itertext()).split())


def of_pdf(data: bytes, path: Path) -> Iterator[Unit_]:
    tool = shutil.which("pdftotext")
    if tool is None:
        pytest.skip("pdftotext (poppler) is not installed")
    command = [tool, "-enc", "UTF-8", str(path), "-"]
    words = subprocess.run(command, check=True, capture_output=True, encoding="utf-8").stdout
    words = " ".join(words.split())
    marks = list(re.finditer(r"qz\d{3}x", words))
    for number, mark in enumerate(marks):
        word = mark.group()
        others = [m for m in marks[number + 1 :] if m.group() != word]
        before = [m for m in marks[:number] if m.group() != word]
        start = max(before[-1].end() if before else 0, mark.start() - 200)
        end = min(others[0].start() if others else len(words), mark.end() + 200)
        yield words[start:end], words[start:end]


def of_script(data: bytes) -> Iterator[Unit_]:
    """The index of a library: its words and facets stand by themselves."""
    text = data.decode("utf-8")
    yield from ((word, "") for word in re.findall(r"[^\s\"\\,]*qz\d{3}x[^\s\"\\,]*", text))


def units(path: Path) -> Iterator[Unit_]:
    """The texts of a file; pictures are looked into as the XMP that they carry."""
    data = path.read_bytes()
    match path.suffix:
        case ".xml":
            yield from of_xml(data)
        case ".json" | ".jsonld":
            yield from of_json(data)
        case ".csv":
            yield from of_csv(data)
        case ".html":
            yield from of_html(data)
        case ".pdf":
            yield from of_pdf(data, path)
        case ".js":
            yield from of_script(data)
        case ".jpg" | ".png":
            for packet in re.findall(rb"<x:xmpmeta.*?</x:xmpmeta>", data, re.DOTALL):
                root = etree.fromstring(packet)
                for element in root.iter(etree.Element):
                    yield from ((line, line) for line in (element.text or "").split("\n"))


# The test


NOT_HELD = re.compile(r"not held|rejected", re.IGNORECASE)

SALES = "facts of the sale"

LEFT_OUT: dict[str, dict[str, str]] = {
    "dublin-core": {},
    "iiif": {"relations": "statements are lines of text"},
    "lido": {},
    "linked-art": {},
    "ro-crate": {},
    "premis": {"*": "the description of the piece: only its numbers and its title"},
    "iptc": {
        **dict.fromkeys(("provenance", "relations", "citations"), "provenance, other and rejected"),
        **dict.fromkeys(("attributions", "features"), "provenance, other and rejected"),
        **dict.fromkeys(("measurements", "marks", "observations", "parts"), "rejected opinions"),
        "titles": "titles and numbers but the preferred one",
        "descriptions": "rejected opinions",
        "notes": "notes",
    },
    "spreadsheet": {},
    "dossier": {},
    "reference-library": {},
    "comparison": {"*": "everything but number, title, the date held and by whom, marks"},
    "bagit": {},
}
"""By exporter and field (`*`: any), words of the loss that tells of statements that are in none of
its files. What is certain and the owner's own may be left out by no other loss."""


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, list[Path]], list[Said]]:
    """The files of every exporter, and what was said."""
    folder = tmp_path_factory.mktemp("every")
    whole, said = record()
    piece = sample_piece(folder / "in", whole)
    selection = sample_selection(folder, [piece], audience="owner")
    chosen = [d for name, d in EXPORTERS.items() if name != "bagit"]
    files = export(chosen, selection, folder / "out")
    files |= export(EXPORTERS["bagit"], selection, folder / "bag")
    by_exporter: dict[str, list[Path]] = {name: [] for name in EXPORTERS}
    for path, file in files.items():
        by_exporter[path.split("/")[0]].append(file.location)
    return by_exporter, said


def found(paths: Iterable[Path]) -> dict[str, list[tuple[Path, Unit_]]]:
    """Where each word stands."""
    standing: dict[str, list[tuple[Path, Unit_]]] = {}
    for path in paths:
        for unit in units(path):
            for word in set(re.findall(r"qz\d{3}x", unit[0])):
                standing.setdefault(word, []).append((path, unit))
    return standing


def _unique(lines: list[str]) -> list[str]:
    return list(dict.fromkeys(lines))


def trouble(one: Said, unit: Unit_) -> str:
    """Why a text is taken for a plain value; '' where it is none."""
    text, beside = unit
    said = f"{text} {beside}"
    statement = one.statement
    if one.rejected and not NOT_HELD.search(said):
        return "rejected, and does not say so"
    doubted = statement.certainty not in (Certainty.CERTAIN, Certainty.REJECTED)
    if doubted and statement.certainty.value[:-1] not in said.casefold():  # 'possible', 'possibly'
        return f"{statement.certainty.value}, and does not say so"
    if only_reported(statement) and not _says_how(statement, said):
        return "no assertion, and does not say so"
    if statement.who and not one.rejected and not _names_holder(said):
        return "another's word, and does not say so"
    return ""


def _says_how(statement: Statement, said: str) -> bool:
    assert statement.reading is not None
    polarity = statement.reading.polarity
    return POLARITY_WORDS[polarity] in said.lower() or polarity.value in said.lower()


def _names_holder(said: str) -> bool:
    return (
        bool(re.search(r"[Aa]ccording to|private collection, Wales", said)) or FARMHOUSE.id in said
    )


@pytest.mark.parametrize("exporter", sorted(EXPORTERS))
def test_a_value_is_said_as_what_it_is_or_its_loss_is_told(
    exporter: str, written: tuple[dict[str, list[Path]], list[Said]]
) -> None:
    files, said = written
    standing = found(files[exporter])
    losses = " | ".join(EXPORTERS[exporter].losses)
    plainly: list[str] = []
    lost: list[str] = []
    for one in said:
        where = standing.get(one.word, [])
        for path, unit in where:
            # A word of a search index finds; only what is rejected must not be found by it.
            judged = one.rejected if path.suffix == ".js" else not one.plain
            if judged and (why := trouble(one, unit)):
                plainly.append(f"{one.field} {one.word} is {why}: {path.name}: {unit[0][:160]!r}")
        by_field = LEFT_OUT[exporter]
        phrases = {by_field.get(one.field), by_field.get("*")}
        phrases |= {SALES} if one.field == "sales" else set()
        if not where and not any(phrase in losses for phrase in phrases if phrase):
            lost.append(f"{one.field} {one.statement.certainty.value} {one.word}")
    assert _unique(plainly) == []
    assert lost == []


def test_the_record_says_every_kind_of_statement_with_every_certainty() -> None:
    whole, said = record()
    for name in (*STATEMENT_FIELDS, "parts"):
        mine = [one.statement for one in said if one.field == name]
        assert {s.certainty for s in mine} == set(Certainty)
        assert {bool(s.who) for s in mine} == {True, False}
        assert all(one.word in msgspec.json.encode(one.statement).decode() for one in said)
    assert {a.aspect for a in whole.attributions} == set(Aspect)
    assert {f.aspect for f in whole.features} == set(FeatureAspect)


def test_a_plain_value_is_found_where_there_is_one() -> None:
    """The judge judges: what it lets through says what it is, and nothing else."""
    _, said = record()
    one = next(s for s in said if s.rejected and not s.statement.who)
    assert trouble(one, (one.word, one.word))
    assert not trouble(one, (f"not held to be {one.word}", ""))
    other = next(s for s in said if s.statement.certainty is Certainty.CERTAIN and s.statement.who)
    assert trouble(other, (other.word, ""))
    assert not trouble(other, (f"{other.word} (according to private collection, Wales)", ""))
    readers: tuple[tuple[Callable[[bytes], Iterator[Unit_]], bytes], ...] = (
        (of_xml, b"<a><b>qz001x</b></a>"),
        (of_json, b'{"a": ["qz001x"]}'),
        (of_csv, b"a,qz001x\n"),
        (of_html, b"<body><p>qz001x</p></body>"),
        (of_script, b'library.chunk("qz001x other")'),
    )
    for read, data in readers:
        assert any(text == "qz001x" for text, _ in read(data))
