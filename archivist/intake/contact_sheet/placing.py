"""Where in a group photograph each piece is, answered in numbers."""

from __future__ import annotations

from dataclasses import dataclass

from archivist.catalogue.archive import Archive
from archivist.catalogue.holdings import occurrences
from archivist.errors import SelectionError
from archivist.intake.audiences import Audiences
from archivist.intake.contact_sheet.deciding import Decider
from archivist.intake.contact_sheet.pieces import Pieces
from archivist.intake.contact_sheet.places import KnownPhotograph
from archivist.intake.contact_sheet.reading import RowSaid
from archivist.intake.contact_sheet.regions import region_on
from archivist.intake.proposal import (
    AddPhotograph,
    Asked,
    Choice,
    CreateObject,
    Proposal,
    ReviewPhotograph,
)
from archivist.model import Certainty, ObjectRecord, Photograph
from archivist.reading.tables import Tables, load_tables

_KEY = "regions\n"


def asks_for_regions(question: Asked) -> bool:
    """Whether a question is about where pieces are in a picture."""
    return question.key.startswith(_KEY)


@dataclass(frozen=True)
class PlacedPhotograph:
    """A group photograph: where its file was found and the names of its pieces, in their order."""

    photograph: Photograph
    source: str
    path: str
    pieces: tuple[str, ...]


class Placing:
    """Reads places in pictures for the questions of one proposal."""

    def __init__(
        self, photographs: dict[str, PlacedPhotograph], pieces: Pieces, tables: Tables
    ) -> None:
        """`photographs` are by SHA-256."""
        self._photographs = photographs
        self._decider = Decider(pieces, tables, Audiences())

    def about(self, question: Asked) -> PlacedPhotograph | None:
        """The photograph that a question is about, None where it is gone."""
        return self._photographs.get(question.key.removeprefix(_KEY))

    def fits(self, question: Asked, words: str) -> bool:
        """Whether 'x,y,width,height' lies on the picture."""
        about = self.about(question)
        numbers = words.replace(" ", "").split(",")
        if about is None or len(numbers) != 4 or not all(n.isdecimal() for n in numbers):
            return False
        return region_on(about.photograph, [int(n) for n in numbers]) is not None

    def choice(self, question: Asked, words: str) -> Choice:
        """The places as an answer, and what is done when it is given.

        Raises:
            SelectionError: where the words name no piece of the picture, or a place outside it.
        """
        about = self.about(question)
        if about is None:
            raise SelectionError(
                f"The photograph of '{question.about}' is not in this proposal any more.",
                "Nothing was changed. 'archivist edit' takes --region for it.",
            )
        said = RowSaid(key=question.key, place="the answer", region=words)
        decision = self._decider.decide(said, KnownPhotograph(about.photograph))
        if decision.doubts or not decision.depictions:
            why = "; ".join(decision.doubts) or "no piece is placed anew by it"
            raise SelectionError(
                f"'{words}' cannot be taken for places in {about.path}: {why}.",
                "Nothing was changed. Write it as "
                f"'{'; '.join(f'{name}=x,y,width,height' for name in about.pieces)}'.",
            )
        item = ReviewPhotograph(
            accept=True,
            key=f"{question.key}\n{words}",
            source=about.source,
            reasons=("answered in the review",),
            path=about.path,
            photograph=about.photograph.id,
            depictions=decision.depictions,
        )
        return Choice(answer=words.strip(), items=(item,))


def placing_of(archive: Archive, proposal: Proposal) -> Placing:
    """What is needed to read places for the questions of `proposal`."""
    tables = load_tables()
    created = [i.record for i in proposal.items if isinstance(i, CreateObject)]
    pieces = Pieces([*archive.catalogue.all(ObjectRecord), *created], tables)
    added = {i.photograph.sha256: i for i in proposal.items if isinstance(i, AddPhotograph)}
    photographs: dict[str, PlacedPhotograph] = {}
    for question in filter(asks_for_regions, proposal.questions):
        sha256 = question.key.removeprefix(_KEY)
        held = archive.catalogue.keyed(Photograph, sha256)
        item = added.get(sha256)
        photograph = held[0] if held else item.photograph if item else None
        if photograph is None:
            continue
        places = occurrences(archive.catalogue, sha256=sha256)
        source = item.source if item else places[0].source if places else ""
        path = item.path if item else places[0].path if places else question.about
        shown = (d for d in photograph.depictions if d.certainty is not Certainty.REJECTED)
        names = tuple(pieces.called(d.object) for d in shown)
        photographs[sha256] = PlacedPhotograph(photograph, source, path, names)
    return Placing(photographs, pieces, tables)
