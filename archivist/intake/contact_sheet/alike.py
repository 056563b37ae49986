"""What a person said of one photograph, held for others on their request: for those at the same
place in folders like its own, or for all of its folder."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import PurePosixPath

import msgspec

from archivist.intake.contact_sheet.deciding import Decider, Decision
from archivist.intake.contact_sheet.places import KnownPhotograph, Photographs, Segments
from archivist.intake.contact_sheet.reading import RowSaid, is_no
from archivist.intake.contact_sheet.reviewing import is_spoken_of
from archivist.intake.proposal import ReviewPhotograph
from archivist.model import Certainty, Depiction, View


class Alike:
    """Carries what rows of one list say over to other photographs."""

    def __init__(self, known: Photographs, decider: Decider, source: str, name: str) -> None:
        """`source` is the UUID of the list, `name` that of its file; `rows` come to hold the row of
        each photograph, by UUID."""
        self.known = known
        self.decider = decider
        self.source = source
        self.name = name
        self.rows: dict[str, RowSaid] = {}

    def items(
        self, row: RowSaid, known: KnownPhotograph, decision: Decision, spoken: set[str]
    ) -> Iterator[ReviewPhotograph]:
        """What holds for others as well, unless a person spoke of them (`spoken`, by UUID)."""
        if row.like == "folder":
            yield from self._of_folder(row, known, decision, spoken)
            return
        refused = row.shows is not None and is_no(row.shows)
        view = View.UNKNOWN if refused else decision.view or _one_view(known)
        if view is None:
            return
        because = (
            f"as in {known.paths[0]}, which holds for folders like it as {self.name} says, "
            f"{row.place}"
        )
        for twin, place in self._open(self.known.siblings(known), spoken):
            said = tuple(
                msgspec.structs.replace(
                    depiction,
                    view=depiction.view if refused else view,
                    certainty=Certainty.REJECTED if refused else Certainty.PROBABLE,
                    reviewed=True,
                    ground=because,
                )
                for depiction in twin.depictions
                if depiction.certainty is not Certainty.REJECTED
            )
            key = f"{row.key}\nalike\n{twin.photograph.sha256}\n{'none' if refused else view.value}"
            if said:
                yield self._item(key, because, twin, place, said)

    def _of_folder(
        self, row: RowSaid, known: KnownPhotograph, decision: Decision, spoken: set[str]
    ) -> Iterator[ReviewPhotograph]:
        """The piece of one photograph for all in its folder."""
        shown = [d for d in known.depictions if d.certainty is not Certainty.REJECTED]
        pieces = row.piece or "; ".join(self.decider.pieces.called(d.object) for d in shown)
        if not pieces or decision.open:
            return
        because = f"the piece of its folder as {self.name} says, {row.place}"
        for twin, place in self._open(self.known.beside(known), spoken):
            own = self.rows.get(twin.photograph.id, row)
            only = RowSaid(
                key=row.key,
                place=row.place,
                own=own.own and own is not row,
                piece=pieces,
                cells=own.cells,
            )
            decided = self.decider.decide(only, twin, self.source)
            said = tuple(
                msgspec.structs.replace(
                    depiction,
                    certainty=Certainty.PROBABLE
                    if depiction.certainty is Certainty.CERTAIN
                    else depiction.certainty,
                    ground=because,
                )
                for depiction in decided.depictions
            )
            if said:
                key = f"{row.key}\nfolder\n{twin.photograph.sha256}\n{pieces}"
                yield self._item(key, because, twin, place, said)

    def _open(
        self, twins: list[tuple[KnownPhotograph, Segments]], spoken: set[str]
    ) -> Iterator[tuple[KnownPhotograph, Segments]]:
        """Those of whom nobody has spoken; each once."""
        for twin, place in twins:
            if twin.photograph.id not in spoken and not is_spoken_of(twin.photograph):
                spoken.add(twin.photograph.id)
                yield twin, place

    def _item(
        self,
        key: str,
        because: str,
        twin: KnownPhotograph,
        place: Segments,
        said: tuple[Depiction, ...],
    ) -> ReviewPhotograph:
        path = next((p for p in twin.paths if place[-1] in p.casefold()), twin.paths[0])
        return ReviewPhotograph(
            accept=True,
            key=key,
            source=self.source,
            certainty=Certainty.PROBABLE,
            reasons=(because,),
            path=path,
            photograph=twin.photograph.id,
            depictions=said,
        )


def of_folders(rows: Sequence[RowSaid]) -> list[RowSaid]:
    """The rows; those that speak of a photograph and leave the piece to the word for its folder
    have that piece."""
    pieces = {_folder(row): row.piece for row in rows if row.like == "folder" and row.piece}
    return [
        msgspec.structs.replace(row, piece=pieces[folder])
        if row.piece is None and row.is_of_pieces and (folder := _folder(row)) in pieces
        else row
        for row in rows
    ]


def _folder(row: RowSaid) -> PurePosixPath:
    return PurePosixPath(row.path).parent


def _one_view(known: KnownPhotograph) -> View | None:
    """The view that all pieces on a photograph are shown in, None where it is unknown or mixed."""
    views = {d.view for d in known.depictions if d.certainty is not Certainty.REJECTED}
    return views.pop() if len(views) == 1 and View.UNKNOWN not in views else None
