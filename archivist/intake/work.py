"""The changes of the catalogue that a proposal comes to, all within one action."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import msgspec

from archivist.catalogue.action import Action
from archivist.catalogue.archive import Archive
from archivist.catalogue.erased import ErasedNames
from archivist.catalogue.holdings import (
    Occurrence,
    add_occurrence,
    add_original,
    original,
)
from archivist.catalogue.sources import ImportedCell, add_imported, add_source, imported
from archivist.digests import Digests
from archivist.intake.changed import changed_record
from archivist.intake.contact_sheet.remembered import settle
from archivist.intake.contact_sheet.reviewing import is_spoken_of, with_review
from archivist.intake.drafts import completed
from archivist.intake.proposal import (
    AddPhotograph,
    AnyItem,
    ChangeObject,
    CreateObject,
    DescribeView,
    KeepFile,
    LinkPhotograph,
    Proposal,
    ReviewPhotograph,
    SaveParty,
    TellPhotograph,
)
from archivist.model import Certainty, ObjectRecord, Party, Photograph, from_json


@dataclass
class Applied:
    """What was done, counted, and what could not be, by name."""

    files: int = 0
    records: int = 0
    changed: int = 0
    photographs: int = 0
    parties: int = 0
    open_questions: int = 0
    failures: list[str] = field(default_factory=list)
    action: int | None = None

    @property
    def nothing(self) -> bool:
        """Whether everything was there already."""
        return self.action is None


class Work:
    """The changes of the catalogue, all within one action."""

    def __init__(
        self,
        archive: Archive,
        action: Action,
        proposal: Proposal,
        held: dict[str, Digests],
        done: Applied,
        erased: ErasedNames | None = None,
    ) -> None:
        self.archive = archive
        self.catalogue = archive.catalogue
        self.action = action
        self.proposal = proposal
        self.held = held
        self.done = done
        self.erased = erased
        self.renamed: dict[str, str] = {}
        self.fresh: set[str] = set()
        self.originals = {source.id: source.original for source in proposal.sources}
        self.known_sources = {
            row["id"]: row["location"]
            for row in self.catalogue.connection.execute("SELECT id, location FROM source")
        }
        self.imported = {
            source.id: imported(self.catalogue, source.id) for source in proposal.sources
        }

    def run(self, items: Iterable[AnyItem]) -> None:
        """Every item in turn: parties, files, records, photographs."""
        for source in self.proposal.sources:
            if self.known_sources.get(source.id) != source.location:
                add_source(self.action, source.id, source.reader, self._told(source.location))
        for _, choice in self.proposal.answered():
            for same in choice.same:
                self.renamed[same.other] = same.party
        for item in items:
            match item:
                case SaveParty():
                    self._party(item)
                case KeepFile():
                    self._file(item)
                case CreateObject():
                    self._create(item)
                case ChangeObject():
                    self._change(item)
                case AddPhotograph():
                    self._photograph(item)
                case LinkPhotograph():
                    self._link(item)
                case DescribeView():
                    self._describe(item)
                case TellPhotograph():
                    self._tell(item)
                case ReviewPhotograph():
                    self._review(item)
        self.done.changed += settle(self.archive, self.action, self.fresh)
        self._join_parties()

    def _told(self, place: str) -> str:
        """A place as the catalogue tells of it: without the names of those who were erased."""
        return self.erased.replaced(place) if self.erased else place

    def _party(self, item: SaveParty) -> None:
        """A party; one of the same name that came meanwhile is that party."""
        party = item.party
        if party.id in self.renamed or (self.erased and party.id in self.erased.finders):
            return
        if self.catalogue.get(party.id, Party) is None:
            twins = self.catalogue.keyed(Party, party.name)
            if twins:
                self.renamed[party.id] = twins[0].id
                return
        self.done.parties += self.action.save(party)

    def _file(self, item: KeepFile) -> None:
        facts = item.file
        digests = self.held.get(facts.sha256)
        if digests is None:
            return
        if original(self.catalogue, facts.sha256) is None:
            add_original(self.action, digests, facts.extension, facts.media_type)
            self.done.files += 1
        path = self._told(facts.path)
        path_bytes = facts.path_bytes if path == facts.path else ""
        known = self.catalogue.connection.execute(
            "SELECT 1 FROM occurrence WHERE source = ? AND path = ? AND path_bytes = ? "
            "AND sha256 = ?",
            (item.source, path, path_bytes, facts.sha256),
        ).fetchone()
        if not known:
            add_occurrence(
                self.action,
                Occurrence(facts.sha256, item.source, path, path_bytes, facts.modified),
            )

    def _create(self, item: CreateObject) -> None:
        """A record; one that is there already stays as it is, one that was undone comes again."""
        record = self._completed(item, item.record)
        current = self.catalogue.get(record.id, ObjectRecord)
        if current is None or (current.withdrawn and self._was_undone(record.id)):
            self.done.records += self.action.save(record)
        self._cells(item, record.id)

    def _was_undone(self, entity: str) -> bool:
        return bool(self.catalogue.versions(entity)[-1].action.undoes)

    def _change(self, item: ChangeObject) -> None:
        removes = self._completed(item, item.removes)
        adds = self._completed(item, item.adds)
        current = self.catalogue.get(removes.id, ObjectRecord)
        if current is None:
            self.done.failures.append(f"The record {item.name} is not there; nothing was changed.")
            return
        changed = changed_record(current, removes, adds)
        if changed is None:
            self.done.failures.append(
                f"{item.name}: what should be replaced was changed meanwhile; it was left as it "
                "is. Survey the source again."
            )
            return
        self.done.changed += self.action.save(changed)
        self._cells(item, current.id)

    def _completed(self, item: CreateObject | ChangeObject, record: ObjectRecord) -> ObjectRecord:
        """The record with lasting parties and the full origin of its statements."""
        renamed = self._renamed(record, ObjectRecord)
        return completed(renamed, item.source, item.row, self.originals.get(item.source, ""))

    def _cells(self, item: CreateObject | ChangeObject | ReviewPhotograph, entity: str) -> None:
        """Remembers the words of cells as taken in."""
        known = self.imported.get(item.source, {})
        for column, text in item.cells.items():
            cell = ImportedCell(item.row, column, text, entity)
            if known.get((item.row, column)) != cell:
                add_imported(self.action, item.source, cell)

    def _photograph(self, item: AddPhotograph) -> None:
        """A photograph; of one that is there only depictions are added."""
        photograph = item.photograph
        if original(self.catalogue, photograph.sha256) is None:
            return
        known = self.catalogue.keyed(Photograph, photograph.sha256)
        if known and not known[0].withdrawn:
            self._depict(known[0], photograph)
            return
        if known and not self._was_undone(known[0].id):
            return
        shown = tuple(d for d in photograph.depictions if self._is_record(d.object))
        photograph = msgspec.structs.replace(
            photograph, id=known[0].id if known else photograph.id, depictions=shown
        )
        self.done.photographs += self.action.save(photograph)
        self.fresh.add(photograph.id)

    def _link(self, item: LinkPhotograph) -> None:
        known = self.catalogue.get(item.photograph, Photograph)
        if known is None:
            self.done.failures.append(f"The photograph {item.path} is not in the archive.")
            return
        self._depict(known, msgspec.structs.replace(known, depictions=item.depictions))

    def _depict(self, known: Photograph, other: Photograph) -> None:
        """Adds what `other` shows besides what `known` is known to show.

        A photograph of which a person has spoken shows what they said, and no later guess.
        """
        if is_spoken_of(known) and not is_spoken_of(other):
            return
        shown = {d.object for d in known.depictions}
        new = tuple(
            d for d in other.depictions if d.object not in shown and self._is_record(d.object)
        )
        if new:
            depictions = (*known.depictions, *new)
            self.action.save(msgspec.structs.replace(known, depictions=depictions))
            self.done.changed += 1

    def _describe(self, item: DescribeView) -> None:
        """A view that a person named, or a region: where a piece is says nothing of its view, and
        is no review of it. A view reviewed since stays as it is."""
        known = self.catalogue.get(item.photograph, Photograph)
        if known is None:
            return
        described = tuple(
            msgspec.structs.replace(
                d,
                view=item.view,
                region=item.region or d.region,
                certainty=Certainty.CERTAIN,
                reviewed=item.region is None,
            )
            if d.object == item.object and not d.reviewed
            else d
            for d in known.depictions
        )
        self.done.changed += self.action.save(msgspec.structs.replace(known, depictions=described))

    def _review(self, item: ReviewPhotograph) -> None:
        """What a person said of a photograph; of one that is not there yet the words are kept."""
        known = self.catalogue.get(item.photograph, Photograph) if item.photograph else None
        if known is not None and not known.withdrawn:
            said = tuple(d for d in item.depictions if self._is_record(d.object))
            changed = with_review(known, said, item.taken, item.copy_of)
            self.done.changed += self.action.save(changed)
        self._cells(item, known.id if known else "")

    def _tell(self, item: TellPhotograph) -> None:
        """What a photograph is a copy of, unless that is known, and when it was taken."""
        known = self.catalogue.get(item.photograph, Photograph)
        if known is None or known.withdrawn:
            return
        taken = known.taken
        new = tuple(t for t in item.taken if t not in taken)
        if any(t.preferred for t in new):
            taken = tuple(msgspec.structs.replace(t, preferred=False) for t in taken)
        derived = known.derived_from or item.derived_from
        captions = (*known.captions, *(c for c in item.captions if c not in known.captions))
        changed = msgspec.structs.replace(
            known, taken=(*new, *taken), derived_from=derived, captions=captions
        )
        if changed != known:
            self.done.changed += self.action.save(changed)

    def _is_record(self, object_id: str) -> bool:
        record = self.catalogue.get(object_id, ObjectRecord)
        return record is not None and not record.withdrawn

    def _renamed(self, value: Any, type_: type[Any]) -> Any:
        """The value with parties called by the identifiers that they came to have."""
        if not self.renamed:
            return value
        packed = msgspec.json.encode(value).decode("utf-8")
        changed = packed
        for old, new in self.renamed.items():
            if old in changed:
                changed = changed.replace(f'"{old}"', f'"{new}"')
        return value if changed is packed else from_json(changed, type_)

    def _join_parties(self) -> None:
        """Two names that a person said are one: the other name is kept, records follow."""
        for _, choice in self.proposal.answered():
            for same in choice.same:
                party = self.catalogue.get(self.renamed.get(same.party, same.party), Party)
                if party is None:
                    continue
                names = tuple(dict.fromkeys((*party.also_known_as, same.name)))
                self.action.save(msgspec.structs.replace(party, also_known_as=names))
                rows = self.catalogue.connection.execute(
                    "SELECT entity FROM current JOIN version USING (entity, number) "
                    "WHERE current.kind = 'object' AND instr(json, ?)",
                    (f'"{same.other}"',),
                ).fetchall()
                for row in rows:
                    record = self.catalogue.get(row["entity"], ObjectRecord)
                    if record is not None:
                        self.action.save(self._renamed(record, ObjectRecord))
