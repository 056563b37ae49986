"""A proposal's photographs, one a line, gathered into groups: what page and sheet are made of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

import msgspec

from archivist.catalogue.archive import Archive
from archivist.errors import SelectionError
from archivist.intake.choose import waiting_proposals
from archivist.intake.contact_sheet.found import findings_of
from archivist.intake.contact_sheet.layout import Line, ShownPiece
from archivist.intake.contact_sheet.pieces import Pieces
from archivist.intake.contact_sheet.placing import asks_for_regions
from archivist.intake.contact_sheet.reviewing import (
    is_reviewed,
    time_is_reviewed,
    with_review,
)
from archivist.intake.contact_sheet.testimony import SAID
from archivist.intake.files import location_of
from archivist.intake.ordering import began_again, in_series, natural
from archivist.intake.pictures.findings import (
    Copy,
    Doubt,
    Group,
    PictureFile,
)
from archivist.intake.pictures.taken import CAMERA
from archivist.intake.proposal import (
    AddPhotograph,
    Asked,
    CreateObject,
    DescribeView,
    LinkPhotograph,
    Proposal,
    ReviewPhotograph,
    TellPhotograph,
    read_proposal,
)
from archivist.model import Certainty, Depiction, ObjectRecord, Photograph, least_sure
from archivist.reading.tables import load_tables

NO_PIECE = "no piece"
NO_RECORD = "A piece without a record"


@dataclass(frozen=True)
class LineGroup:
    """Photographs that belong together: of one piece, of several at once, or of none known.

    `name` is the stock number, `title` what the piece is, `why` the reasons they were put together.
    """

    key: str
    name: str
    title: str = ""
    certainty: Certainty = Certainty.CERTAIN
    why: tuple[str, ...] = ()
    lines: tuple[Line, ...] = ()


@dataclass(frozen=True)
class Sheet:
    """All photographs of a proposal, or of the archive, in the order of their groups."""

    title: str
    made: str
    groups: tuple[LineGroup, ...] = ()
    doubts: tuple[str, ...] = ()
    of_archive: bool = False

    @property
    def lines(self) -> tuple[Line, ...]:
        """Every photograph once."""
        return tuple(line for group in self.groups for line in group.lines)


@dataclass
class _Held:
    """What is held of one photograph, from the archive and the proposal together."""

    photograph: Photograph | None = None
    certainty: Certainty = Certainty.CERTAIN
    why: list[str] = field(default_factory=list)
    in_archive: bool = False


def sheet_of(archive: Archive, proposal: Proposal, name: str, *, of_archive: bool = False) -> Sheet:
    """The photographs of `proposal`, as they are held now; `name` is the proposal's.

    `of_archive` says that it proposes nothing, and `name` what of the archive it shows.
    """
    found = findings_of(proposal)
    held = _held(archive, proposal, {file.sha256 for file in found.photographs})
    pieces = Pieces(_records(archive, proposal), load_tables())
    copies = {c.sha256: (s.keeper, c) for s in found.duplicates for c in s.others}
    keepers = {same.sha256 for same in found.duplicates}
    locations = {source.id: Path(source.location) for source in proposal.sources}
    grouped = _group_of_paths(found.groups)
    gathered: dict[str, list[Line]] = {}
    described: dict[str, Group | None] = {}
    places: dict[str, list[PictureFile]] = {}
    for file in found.photographs:
        places.setdefault(file.sha256, []).append(file)
    for sha256, files in places.items():
        copy = None if sha256 in keepers else copies.get(sha256)
        there = held.get(sha256, _Held())
        if there.in_archive and there.photograph and not there.photograph.derived_from:
            copy = None  # a person has said that it is none
        line = _line(files, there, pieces, copy, locations)
        if of_archive:  # which remembers of what a picture is a copy, and not of which kind
            line = msgspec.structs.replace(line, relation="")
        group = next((grouped[k] for f in files if (k := (f.source, f.path)) in grouped), None)
        key = "; ".join(p.depiction.object for p in line.pieces)
        if not key and group is not None:
            key = group.object or group.key
        gathered.setdefault(key or NO_PIECE, []).append(line)
        if described.get(key or NO_PIECE) is None:
            described[key or NO_PIECE] = group
    groups = [_group(k, lines, described[k], pieces) for k, lines in gathered.items()]
    groups.sort(key=_order)
    doubts = [_told(doubt) for doubt in found.doubts]
    asked = [q for q in proposal.questions if not q.answer and _is_of_photographs(q)]
    doubts += [f"{q.asks} {q.about}" for q in asked]
    return Sheet(name, proposal.made, tuple(groups), tuple(doubts), of_archive)


def _order(group: LineGroup) -> tuple[object, ...]:
    """Pieces by their numbers, then those shown together, those without a record, and the rest."""
    unnamed = group.name == NO_RECORD
    first = group.lines[0].path if unnamed else ""
    return group.key == NO_PIECE, unnamed, len(group.key) > 36, natural(group.name), natural(first)


def _told(doubt: Doubt) -> str:
    """A doubt in a line: what it is, of which files, and why of the first of them."""
    words = ": ".join(w for w in (doubt.says, ", ".join(doubt.paths[:4])) if w)
    return f"{words} ({doubt.reasons[0]})" if doubt.reasons else words


def _is_of_photographs(question: Asked) -> bool:
    """Whether a question is about photographs, rather than the words of a record."""
    items = [item for choice in question.choices for item in choice.items]
    return asks_for_regions(question) or any(isinstance(item, _OF_PHOTOGRAPHS) for item in items)


_OF_PHOTOGRAPHS = (AddPhotograph, DescribeView, LinkPhotograph, ReviewPhotograph, TellPhotograph)


def _held(archive: Archive, proposal: Proposal, digests: set[str]) -> dict[str, _Held]:
    """What is held of each photograph: the archive's own, else the proposed, reviews over it."""
    held: dict[str, _Held] = {}
    by_id: dict[str, str] = {}
    for item in proposal.items:
        if isinstance(item, AddPhotograph):
            held[item.photograph.sha256] = _Held(
                item.photograph, item.certainty, list(item.reasons)
            )
            by_id[item.photograph.id] = item.photograph.sha256
    for sha256 in digests:
        for known in archive.catalogue.keyed(Photograph, sha256):
            if not known.withdrawn:
                there = held.setdefault(sha256, _Held(certainty=_certainty(known)))
                there.photograph, there.in_archive = known, True
                by_id[known.id] = sha256
    for item in proposal.items:
        if isinstance(item, LinkPhotograph | ReviewPhotograph | TellPhotograph):
            there = held.get(by_id.get(item.photograph, ""), _Held())
            if there.photograph is not None:
                there.photograph = _with_item(there.photograph, item)
                there.why.extend(reason for reason in item.reasons if reason not in there.why)
    return held


def _certainty(photograph: Photograph) -> Certainty:
    """How sure it is which pieces a photograph shows."""
    shown = (d.certainty for d in photograph.depictions if d.certainty is not Certainty.REJECTED)
    return least_sure(Certainty.CERTAIN, *shown)


def _with_item(
    photograph: Photograph, item: LinkPhotograph | ReviewPhotograph | TellPhotograph
) -> Photograph:
    """A photograph as it would be held once an item is applied."""
    match item:
        case ReviewPhotograph():
            return with_review(photograph, item.depictions, item.taken, item.copy_of)
        case TellPhotograph():
            derived = photograph.derived_from or item.derived_from
            return msgspec.structs.replace(photograph, derived_from=derived)
        case _:
            if is_reviewed(photograph):
                return photograph
            return with_review(photograph, item.depictions)


def _records(archive: Archive, proposal: Proposal) -> list[ObjectRecord]:
    """The records of the archive and those that waiting proposals bring."""
    records = list(archive.catalogue.all(ObjectRecord))
    have = {record.id for record in records}
    for waiting in (proposal, *_waiting(archive)):
        for item in waiting.items:
            if isinstance(item, CreateObject) and item.record.id not in have:
                have.add(item.record.id)
                records.append(item.record)
    return records


def _waiting(archive: Archive) -> Iterator[Proposal]:
    """The proposals that wait; one that cannot be read says so where it is used itself."""
    for path in waiting_proposals(archive):
        with suppress(SelectionError):
            yield read_proposal(path)


def _line(
    files: list[PictureFile],
    held: _Held,
    pieces: Pieces,
    copy: tuple[str, Copy] | None,
    locations: dict[str, Path],
) -> Line:
    file = files[0]
    shown: tuple[Depiction, ...] = held.photograph.depictions if held.photograph else ()
    view = [f"view: {file.view_ground}"] if file.view_ground else []
    also = [f"the same file also as {other.path}" for other in files[1:]]
    reasons = copy[1].reasons if copy else ()
    taken, note = _taken(file, held.photograph)
    clock = _camera_clock(held.photograph)
    source = locations.get(file.source)
    return Line(
        path=file.path,
        sha256=file.sha256,
        source=file.source,
        location=str(location_of(source, file.path, file.path_bytes)) if source else "",
        width=file.width or (held.photograph.width if held.photograph else 0),
        height=file.height or (held.photograph.height if held.photograph else 0),
        pieces=tuple(
            ShownPiece(name=pieces.called(d.object), title=pieces.title(d.object), depiction=d)
            for d in shown
            if d.certainty is not Certainty.REJECTED
        ),
        view=file.view,
        certainty=held.certainty,
        taken=taken,
        taken_note=note,
        camera=file.camera,
        clock=clock,
        why=tuple(dict.fromkeys((*held.why, *view, *reasons, *also))),
        copy_of=copy[0] if copy else "",
        relation=copy[1].relation.value if copy else "",
        known=file.known,
        reviewed=held.photograph is not None and is_reviewed(held.photograph),
    )


def _taken(file: PictureFile, photograph: Photograph | None) -> tuple[str, str]:
    """When a picture was taken, and how sure and on what ground; a person's word goes before."""
    if photograph is not None and time_is_reviewed(photograph):
        said = next(t for t in photograph.taken if t.preferred)
        return said.date.edtf, f"{said.certainty.value}, {SAID}: {said.witness}"
    ground = ", ".join(w for w in (file.taken_certainty.value, file.taken_ground) if w)
    return file.taken, "; ".join((ground, *file.taken_others)) if file.taken else ""


def _camera_clock(photograph: Photograph | None) -> str:
    """What the camera's clock said, '' where no camera speaks."""
    taken = photograph.taken if photograph is not None else ()
    return next((t.date.edtf for t in taken if t.witness in CAMERA and "T" in t.date.edtf), "")


def _group(key: str, lines: list[Line], found: Group | None, pieces: Pieces) -> LineGroup:
    again = began_again([line.path for line in lines])
    ordered = tuple(
        sorted(lines, key=lambda line: (bool(line.copy_of), in_series(line.path, again)))
    )
    objects = [] if key == NO_PIECE else key.split("; ")
    named = [o for o in objects if o in pieces.records]
    why = found.reasons if found is not None and key != NO_PIECE else ()
    sure = found.certainty if found is not None else least_sure(*(x.certainty for x in lines))
    if all(line.reviewed for line in lines):
        sure = Certainty.CERTAIN
    if key == NO_PIECE:
        return LineGroup(key, "Of no piece yet", lines=ordered)
    if not named:
        parent = PurePosixPath(lines[0].path).parent
        folder = str(parent) if parent.parts else ""
        name = found.name if found is not None and found.name else NO_RECORD
        return LineGroup(key, name, folder, sure, why, ordered)
    title = pieces.title(named[0]) if len(named) == 1 else "shown together"
    name = " · ".join(pieces.records[o].name for o in named)
    return LineGroup(key, name, title, sure, why, ordered)


def _group_of_paths(groups: Iterable[Group]) -> dict[tuple[str, str], Group]:
    """The group that a file (source, path) stands in; the first where there are several."""
    found: dict[tuple[str, str], Group] = {}
    for group in groups:
        for path in group.paths:
            found.setdefault((group.source, path), group)
    return found
