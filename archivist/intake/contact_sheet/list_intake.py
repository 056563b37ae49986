"""A list of photographs that is handed in becomes what is proposed to be held of them."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field

import msgspec

from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.sources import imported
from archivist.hooks import FoundRow, Trouble
from archivist.intake.audiences import Audiences
from archivist.intake.contact_sheet.alike import Alike, of_folders
from archivist.intake.contact_sheet.clocks import with_clocks
from archivist.intake.contact_sheet.deciding import Decider, Decision
from archivist.intake.contact_sheet.layout import (
    EDITABLE,
    HEADINGS,
    WRITTEN,
    Line,
    Part,
    ShownPiece,
    cells_of,
    seal,
)
from archivist.intake.contact_sheet.pieces import Pieces
from archivist.intake.contact_sheet.places import KnownPhotograph, Photographs
from archivist.intake.contact_sheet.reading import RowSaid, said_in
from archivist.intake.contact_sheet.reviewing import (
    is_reviewed,
    is_said,
    is_spoken_of,
    says_the_same,
)
from archivist.intake.proposal import Asked, Choice, ReviewPhotograph
from archivist.intake.rows import by_row
from archivist.model import Certainty
from archivist.reading.tables import Tables

_NOT_OF_PIECES = (Part.SHOWS, Part.LIKE, Part.TAKEN, Part.CLOCK, Part.COPY)
"""Columns in which a person's word is never at odds with what the archive holds of pieces."""

NAMED = 3
"""Files that are named where many are meant."""


@dataclass
class Handed:
    """What a list comes to."""

    items: list[ReviewPhotograph] = field(default_factory=list)
    questions: list[Asked] = field(default_factory=list)
    troubles: list[Trouble] = field(default_factory=list)
    unchanged: int = 0


class ListIntake:
    """Compares the rows of one list with the photographs that are known."""

    def __init__(
        self,
        catalogue: Catalogue,
        source: str,
        name: str,
        known: Photographs,
        pieces: Pieces,
        tables: Tables,
        audiences: Audiences,
    ) -> None:
        """`source` is the UUID of the list, `name` that of its file."""
        self.source = source
        self.name = name
        self.known = known
        self.pieces = pieces
        self.tables = tables
        self.decider = Decider(pieces, tables, audiences, known)
        self.alike = Alike(known, self.decider, source, name)
        self.imported = by_row(imported(catalogue, source))
        self.result = Handed()
        self._waiting: list[RowSaid] = []
        self._without_piece: list[RowSaid] = []

    def take(self, rows: Sequence[FoundRow]) -> Handed:
        """Goes through all rows, then through what is said of folders that are alike."""
        said, unclear = with_clocks(of_folders(said_in(rows, self.tables)))
        self.result.unchanged += len(rows) - len(said)
        for row, doubt in unclear:
            self._trouble(row, doubt, "Correct it and hand the list back.")
        spoken: set[str] = set()
        alike: list[tuple[RowSaid, KnownPhotograph, Decision]] = []
        for row in said:
            found = self.known.named(row.path, row.sha256)
            if len(found) == 1:
                self.alike.rows[found[0].photograph.id] = row
            if row.says_nothing:
                self.result.unchanged += 1
                continue
            if not found:
                self._wait(row)
                continue
            if len(found) > 1:
                self._several(row, found)
                continue
            spoken.add(found[0].photograph.id)
            decision = self._row(row, found[0])
            if row.like:
                alike.append((row, found[0], decision))
        for row, known, decision in alike:
            for item in self.alike.items(row, known, decision, spoken):
                self.result.items.append(item)
        self._tell_waiting()
        return self.result

    def _row(self, row: RowSaid, known: KnownPhotograph) -> Decision:
        decision = self.decider.decide(row, known, self.source)
        before = self._taken(row)
        news = decision.says_something
        if news and row.put_right is not None and decision.taken is not None:
            before = None
        if before or (before is not None and not news):
            self.result.unchanged += 1
            return decision
        if not news and not decision.doubts and not decision.open and not row.is_of_pieces:
            self.result.unchanged += 1
            return decision
        settled = not news and is_spoken_of(known.photograph)
        for doubt in decision.doubts:
            self._trouble(row, doubt, "The rest of the row was used. Correct it and hand it back.")
        if decision.open:
            self._which(row, known, decision)
        elif settled and not decision.doubts:
            self.result.unchanged += 1
        elif self._conflicts(row, known, decision):
            self._ask(row, known, decision)
        else:
            if not news and not decision.doubts:
                self._without_piece.append(row)
            self.result.items.append(self._item(row, known, decision))
            self._original_of(row, known, decision)
        return decision

    def _original_of(self, row: RowSaid, known: KnownPhotograph, decision: Decision) -> None:
        """What was held to be a copy of a picture is none once that is said to be a copy of it."""
        original = self.known.by_digest.get(decision.copy_of or "")
        if original is None or original.photograph.derived_from != known.photograph.sha256:
            return
        because = f"{row.path or known.photograph.sha256[:12]} is a copy of it, as {self.name} says"
        self.result.items.append(
            ReviewPhotograph(
                accept=True,
                key=f"{row.key}\noriginal\n{original.photograph.sha256}",
                source=self.source,
                reasons=(f"{because}, {row.place}",),
                path=original.paths[0] if original.paths else "",
                photograph=original.photograph.id,
                copy_of="",
            )
        )

    def _taken(self, row: RowSaid) -> str | None:
        """The photograph that a row with these very words went to; None where it is new."""
        before = self.imported.get(row.key)
        if before is None or {c: b.text for c, b in before.items() if b.text} != row.cells:
            return None
        return next(iter(before.values())).object

    def _item(
        self,
        row: RowSaid,
        known: KnownPhotograph | None,
        decision: Decision,
        reason: str = "",
    ) -> ReviewPhotograph:
        digest = hashlib.sha256(msgspec.json.encode(sorted(row.cells.items()))).hexdigest()[:16]
        path = known.paths[0] if known and known.paths else row.path
        return ReviewPhotograph(
            accept=True,
            key=f"{row.key}\n{known.photograph.sha256 if known else ''}\n{digest}",
            source=self.source,
            reasons=(reason or f"as {self.name} says, {row.place}",),
            path=path,
            photograph=known.photograph.id if known else "",
            depictions=decision.depictions,
            taken=decision.taken,
            copy_of=decision.copy_of,
            row=row.key,
            cells={**dict.fromkeys(self.imported.get(row.key, ()), ""), **row.cells},
        )

    def _wait(self, row: RowSaid) -> None:
        """A row of a photograph that is not known: its words wait for it."""
        if self._taken(row) is not None:
            self.result.unchanged += 1
            return
        let = self.decider.audiences.named(row.audience or "")
        if isinstance(let, str):
            self._trouble(row, let, "Correct it and hand the list back before they are taken in.")
        self._waiting.append(row)
        self.result.items.append(
            self._item(
                row, None, Decision(), f"{row.place}: its photograph is not in the archive yet"
            )
        )

    def _several(self, row: RowSaid, found: Sequence[KnownPhotograph]) -> None:
        paths = ", ".join(path for known in found[:NAMED] for path in known.paths[:1])
        self._trouble(
            row,
            f"'{row.path}' is the name of {len(found)} photographs: {paths}",
            "Write the folder before the name; nothing was done with this row.",
        )

    def _trouble(self, row: RowSaid, reason: str, remedy: str) -> None:
        self.result.troubles.append(Trouble(place=row.place, reason=reason, remedy=remedy))

    def _tell_waiting(self) -> None:
        for rows, what, remedy in (
            (
                self._waiting,
                "name photographs that are not in the archive",
                "Their words are kept, and hold as soon as the photographs are taken in.",
            ),
            (
                self._without_piece,
                "are of photographs of no known piece",
                "Their words are kept. Say of which piece they are in a column 'Piece'.",
            ),
        ):
            if rows:
                paths = ", ".join(row.path or row.sha256[:8] for row in rows[:NAMED])
                more = f" and {len(rows) - NAMED} more" if len(rows) > NAMED else ""
                place = rows[0].place if len(rows) == 1 else f"{len(rows)} rows"
                reason = f"{what} ({paths}{more})"
                if len(rows) == 1:
                    reason = reason.replace("name photographs", "names a photograph", 1)
                    reason = reason.replace("are not", "is not", 1).replace("are of", "is of", 1)
                self.result.troubles.append(
                    Trouble(place=place, reason=reason, remedy=remedy, harmless=True)
                )

    # What a person has to decide

    def _conflicts(self, row: RowSaid, known: KnownPhotograph, decision: Decision) -> bool:
        """Whether the archive holds, by a person's word since, something else than the row says."""
        if not known.held or not is_spoken_of(known.photograph):
            return False
        if not row.own:
            held = {d.object: d for d in reversed(known.depictions) if is_said(d)}
            return any(
                (old := held.get(new.object)) is not None
                and not says_the_same(old, new)
                and (old.source is None or old.source.source != self.source)
                for new in decision.depictions
            )
        now = cells_of(held_line(known, self.pieces))
        written = dict(zip(EDITABLE, row.cells.get(WRITTEN, "").split(), strict=False))
        for part in EDITABLE:
            if part in _NOT_OF_PIECES or part not in written:
                continue
            said, current = row.cells.get(HEADINGS[part], ""), now[HEADINGS[part]]
            edited = seal(said) != written[part]
            if edited and seal(current) not in (written[part], seal(said)):
                return True
        return False

    def _ask(self, row: RowSaid, known: KnownPhotograph, decision: Decision) -> None:
        """The list says one thing, a person said another in the archive."""
        item = self._item(row, known, decision)
        now = cells_of(held_line(known, self.pieces))
        says = row.view or row.piece or row.region or row.caption or row.audience or ""
        part = next(
            (p for p, w in ((Part.VIEW, row.view), (Part.PIECE, row.piece)) if w is not None),
            Part.REGION if row.region is not None else Part.CAPTION,
        )
        self.result.questions.append(
            Asked(
                key=f"{item.key}\nconflict",
                source=self.source,
                asks=(
                    f"The list says '{says}', and the archive, by a person's word, "
                    f"'{now[HEADINGS[part]]}'. Which holds?"
                ),
                about=f"{item.path}, {row.place}",
                choices=(
                    Choice(
                        answer="the archive",
                        items=(msgspec.structs.replace(item, depictions=()),),
                    ),
                    Choice(answer="the list", items=(item,)),
                ),
            )
        )

    def _which(self, row: RowSaid, known: KnownPhotograph, decision: Decision) -> None:
        """One number, several records: which piece does the row mean?"""
        objects = decision.open[0]
        choices = []
        for object_id in objects:
            called = self.pieces.called(object_id)
            clear = msgspec.structs.replace(row, piece=called)
            decided = self.decider.decide(clear, known, self.source)
            if not decided.open and decided.depictions:
                choices.append(Choice(answer=called, items=(self._item(row, known, decided),)))
        self.result.questions.append(
            Asked(
                key=f"{row.key}\nwhich of\n{','.join(objects)}",
                source=self.source,
                asks=f"'{row.piece}' is the number of {len(objects)} pieces. Which is meant?",
                about=f"{row.path or known.paths[:1]}, {row.place}",
                choices=tuple(choices),
            )
        )


def held_line(known: KnownPhotograph, pieces: Pieces) -> Line:
    """What is held of a photograph now, as a line of the sheet."""
    shown = tuple(
        ShownPiece(name=pieces.called(d.object), title=pieces.title(d.object), depiction=d)
        for d in known.depictions
        if d.certainty is not Certainty.REJECTED
    )
    return Line(
        path=known.paths[0] if known.paths else "",
        sha256=known.photograph.sha256,
        pieces=shown,
        known=known.held,
        reviewed=is_reviewed(known.photograph),
    )
