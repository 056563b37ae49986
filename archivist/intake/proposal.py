"""A proposal: what old material was taken to be, item by item, for a person to read and edit.

It is a text file of JSON in the archive's `proposals/`. Whoever reads it may turn `accept` to
false, change what a record says, or write an answer to a question; `archivist apply` does what
then stands there.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import msgspec

from archivist.durable import replace, sync
from archivist.errors import SelectionError
from archivist.hooks import Trouble
from archivist.intake.mapping import Column
from archivist.intake.pictures.findings import Doubt, Findings, Group, PictureFile, SamePicture
from archivist.model import (
    Caption,
    Certainty,
    Depiction,
    ObjectRecord,
    Party,
    Photograph,
    Region,
    TakenAt,
    Value,
    View,
)
from archivist.names import slug

SUFFIX = ".json"


class Item(Value, frozen=True, kw_only=True, tag_field="what"):
    """One thing that is proposed.

    `accept` is what `apply` goes by; `key` is the same whenever the same thing is proposed again;
    `source` is the UUID of the source it comes from; `certainty` is the program's own.
    """

    accept: bool
    key: str
    source: str
    certainty: Certainty = Certainty.CERTAIN
    reasons: tuple[str, ...] = ()


class CreateObject(Item, frozen=True, kw_only=True, tag="create object"):
    """A new record, whole, and the words of the cells it is made of, by column.

    `row` is the key of its row. Its statements name column and place only; of which source, row
    and file they are, the item and its source say once for all.
    """

    record: ObjectRecord
    row: str = ""
    cells: dict[str, str] = msgspec.field(default_factory=dict)


class ChangeObject(Item, frozen=True, kw_only=True, tag="change object"):
    """Statements that leave a record and statements that come; all else of it stays.

    `removes` and `adds` hold those statements alone, in the form of a record with the same
    identifier; of fields that are no lists, what `adds` says replaces what `removes` says.
    """

    name: str
    removes: ObjectRecord
    adds: ObjectRecord
    row: str = ""
    cells: dict[str, str] = msgspec.field(default_factory=dict)


class SaveParty(Item, frozen=True, kw_only=True, tag="save party"):
    """A person or firm that is new, or of whom more is known now."""

    party: Party


class FileFacts(Value, frozen=True, kw_only=True):
    """A file as it was found: path below its source, digests, size in bytes, type, time of change.

    `path_bytes` is base64 of the path's bytes where they are no Unicode; `sha512` is empty where
    the file is not in the archive yet.
    """

    path: str
    path_bytes: str = ""
    sha256: str
    sha512: str = ""
    size: int
    extension: str = ""
    media_type: str = ""
    modified: str = ""


class KeepFile(Item, frozen=True, kw_only=True, tag="keep file"):
    """A file that becomes an original, or one more place where an original was found."""

    file: FileFacts


class AddPhotograph(Item, frozen=True, kw_only=True, tag="add photograph"):
    """A photograph and what it shows; its file is kept by an item of its own."""

    path: str
    photograph: Photograph


class LinkPhotograph(Item, frozen=True, kw_only=True, tag="link photograph"):
    """What a photograph that is in the archive already shows besides."""

    path: str
    photograph: str
    depictions: tuple[Depiction, ...]


class DescribeView(Item, frozen=True, kw_only=True, tag="describe view"):
    """What a person says a photograph shows of a piece: which view, and where in the picture."""

    path: str
    photograph: str
    object: str
    view: View
    region: Region | None = None


class TellPhotograph(Item, frozen=True, kw_only=True, tag="tell photograph"):
    """What is known besides of a photograph that is in the archive: what it is a copy of
    (`derived_from`, the SHA-256 of the best original), when it was taken, and words that came to
    lie beside it; a time that is preferred takes the place of the one that was."""

    path: str
    photograph: str
    derived_from: str = ""
    taken: tuple[TakenAt, ...] = ()
    captions: tuple[Caption, ...] = ()


class ReviewPhotograph(Item, frozen=True, kw_only=True, tag="review photograph"):
    """What a person says that a photograph shows; it takes the place of what was held before.

    Each of `depictions` replaces the one of the same object; one that is rejected says that the
    photograph does not show that piece. `taken` is when it was taken; `copy_of` the SHA-256 of the
    picture that it is a copy of, '' that it is none; both None where nothing was said of it.
    `photograph` is empty where the archive has no such photograph yet: the words in `cells` (by
    heading, under the key `row`) then wait for it.
    """

    path: str
    photograph: str = ""
    depictions: tuple[Depiction, ...] = ()
    taken: TakenAt | None = None
    copy_of: str | None = None
    row: str = ""
    cells: dict[str, str] = msgspec.field(default_factory=dict)

    @property
    def says_something(self) -> bool:
        """Whether anything of a photograph that is known would change."""
        return bool(self.depictions or self.taken is not None or self.copy_of is not None)


AnyItem = (
    CreateObject
    | ChangeObject
    | SaveParty
    | KeepFile
    | AddPhotograph
    | LinkPhotograph
    | DescribeView
    | ReviewPhotograph
    | TellPhotograph
)


class SameParty(Value, frozen=True, kw_only=True):
    """That two parties are one: `other` is called `party` from then on."""

    party: str
    other: str
    name: str


class Choice(Value, frozen=True, kw_only=True):
    """One answer to a question, and what is done when it is given."""

    answer: str
    items: tuple[AnyItem, ...] = ()
    same: tuple[SameParty, ...] = ()


class Asked(Value, frozen=True, kw_only=True):
    """A question. `answer` is empty until somebody writes one of the choices' answers there.

    `key` is the same whenever the same is asked again; `about` names the record, row or files;
    `reason` is a word of a fixed list for why it is asked, so that all questions of one class can
    be answered alike.
    """

    key: str
    source: str
    asks: str
    about: str
    choices: tuple[Choice, ...] = ()
    answer: str = ""
    reason: str = ""


class ProposedSource(Value, frozen=True, kw_only=True):
    """A source that was surveyed: its UUID, the reader, where it lies.

    `original` is the SHA-256 of the file that it was then, `mapping` the name of the file that
    says how its columns are read, and `columns` how they were.
    """

    id: str
    reader: str
    location: str
    original: str = ""
    mapping: str = ""
    columns: tuple[Column, ...] = ()


class SourceTrouble(Value, frozen=True, kw_only=True):
    """What could not be read in which source (by its location)."""

    location: str
    trouble: Trouble


class Proposal(Value, frozen=True, kw_only=True):
    """Everything that one survey suggests.

    `superseded_by` names the proposal of a later survey of the same sources, that holds all that
    this one does.
    """

    id: str
    made: str
    program: str
    superseded_by: str = ""
    sources: tuple[ProposedSource, ...]
    questions: tuple[Asked, ...] = ()
    troubles: tuple[SourceTrouble, ...] = ()
    items: tuple[AnyItem, ...] = ()
    found: Findings = Findings()

    @property
    def photographs(self) -> tuple[PictureFile, ...]:
        """Every photograph file of the sources, one a path."""
        return self.found.photographs

    @property
    def duplicates(self) -> tuple[SamePicture, ...]:
        """Files that show one picture."""
        return self.found.duplicates

    @property
    def groups(self) -> tuple[Group, ...]:
        """Photographs that seem to show one piece."""
        return self.found.groups

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What was left undecided about photographs."""
        return self.found.doubts

    @property
    def empty(self) -> bool:
        """Whether there is nothing to do and nothing to ask."""
        return not self.items and not self.questions

    def answered(self) -> Iterator[tuple[Asked, Choice]]:
        """The questions that somebody answered, and the choice that was made.

        Raises:
            SelectionError: where an answer is none of the choices.
        """
        for question in self.questions:
            if not question.answer:
                continue
            choice = next((c for c in question.choices if c.answer == question.answer), None)
            if choice is None:
                answers = ", ".join(f"'{c.answer}'" for c in question.choices)
                raise SelectionError(
                    f"The answer '{question.answer}' to '{question.asks}' ({question.about}) is "
                    f"none of the choices: {answers or 'there are none'}.",
                    "Nothing was changed. Correct it in the proposal and apply it again.",
                )
            yield question, choice


def write_proposal(folder: Path, proposal: Proposal, name: str) -> Path:
    """Writes a new proposal file named by its day and `name`, and gives its path."""
    folder.mkdir(exist_ok=True)
    stem = f"{proposal.made[:10]}-{slug(name, 24) or 'survey'}"
    number = 1
    while True:
        path = folder / f"{stem}-{number}{SUFFIX}"
        try:
            path.open("xb").close()  # another survey may be at work, and take a name now
            break
        except FileExistsError:
            number += 1
    try:
        rewrite_proposal(path, proposal)
    except BaseException:
        path.unlink(missing_ok=True)
        raise
    return path


def rewrite_proposal(path: Path, proposal: Proposal) -> None:
    """Writes a proposal to `path`, indented for reading, whole or not at all.

    It is written piece by piece: of 100,000 photographs it is hundreds of megabytes long.
    """
    beside = path.with_name(f"{path.name}.new")
    try:
        with beside.open("wb") as file:
            file.writelines(_indented(proposal))
            file.write(b"\n")
            file.flush()
            sync(file.fileno())
        replace(beside, path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def _indented(value: Value, depth: int = 0) -> Iterator[bytes]:
    """A value as JSON in lines, as `msgspec.json.format` lays it out, item by item."""
    within, mark = b"\n" + b" " * (depth + 1), b"{"
    for field in msgspec.structs.fields(value):
        held = getattr(value, field.name)
        if field.default is not msgspec.NODEFAULT and held == field.default:
            continue
        yield mark + within + msgspec.json.encode(field.encode_name) + b": "
        mark = b","
        if isinstance(held, Findings):
            yield from _indented(held, depth + 1)
        elif isinstance(held, tuple) and held:
            for number, item in enumerate(held):
                packed = msgspec.json.format(msgspec.json.encode(item), indent=1)
                yield (b"," if number else b"[") + within + b" "
                yield packed.replace(b"\n", within + b" ")
            yield within + b"]"
        else:
            yield msgspec.json.encode(held)
    yield b"{}" if mark == b"{" else b"\n" + b" " * depth + b"}"


def read_proposal(path: Path) -> Proposal:
    """The proposal in the file at `path`.

    Raises:
        SelectionError: where there is none, or it was edited into something else; names the place.
    """
    try:
        data = path.read_bytes()
    except OSError as problem:
        raise SelectionError(
            f"The proposal {path} cannot be read: {problem.strerror}.",
            "'archivist review' lists the proposals there are.",
        ) from problem
    try:
        return msgspec.json.decode(data.removeprefix(b"\xef\xbb\xbf"), type=Proposal)
    except msgspec.ValidationError as problem:
        raise SelectionError(
            f"The proposal {path.name} was edited into something that does not fit: {problem}.",
            "Nothing was changed. Correct that place, or survey again for a fresh one.",
        ) from problem
    except (msgspec.DecodeError, UnicodeDecodeError) as problem:
        raise SelectionError(
            f"The proposal {path.name} is no longer proper JSON: {problem}{_line(data, problem)}.",
            "Nothing was changed. Often a comma or a quotation mark is missing there.",
        ) from problem


def _line(data: bytes, problem: Exception) -> str:
    """The line of the byte that a message names."""
    byte = re.search(r"byte (\d+)", str(problem))
    return f", line {data.count(10, 0, int(byte[1])) + 1}" if byte else ""


def proposal_files(folder: Path) -> tuple[Path, ...]:
    """The proposals in a folder, the oldest first; one that is empty is none yet."""
    written = (path for path in folder.glob(f"*{SUFFIX}") if path.stat().st_size)
    return tuple(sorted(written, key=_age))


def _age(path: Path) -> tuple[str, int, int, str]:
    day, _, rest = path.stem[:10], "", path.stem[10:]
    number = rest.rpartition("-")[2]
    return day, path.stat().st_mtime_ns, int(number) if number.isdigit() else 0, path.name
