"""Provenance in the published convention, with what bears each event out, and its gaps as gaps."""

from __future__ import annotations

from typing import Any

from archivist import wording
from archivist.hooks import Piece, Selection
from archivist.model import Passage, ProvenanceEvent, not_rejected, only_reported
from archivist.reading.provenance import print_provenance
from archivist_plugins.dossier.not_given import more_shown, none_shown
from archivist_plugins.dossier.opinions import holder

CONVENTION = (
    "From the earliest owner known to the latest. Life dates stand in square brackets, dealers, "
    "auctioneers and agents in round ones. A semicolon: the piece passed directly to the next. A "
    "full stop: it did not, there is a gap. A new line: nobody has said how it passed. “Probably”, "
    "“possibly” and “doubtfully” are said of the event that follows them. After the American "
    "Association of Museums, Guide to Provenance Research (2001)."
)

OTHERS_BELOW = (
    "What somebody else says, and what is not asserted, stands below alone and says so there."
)

FIELDS = ("provenance",)

PASSAGES = {
    Passage.GAP: "a gap comes before this",
    Passage.UNKNOWN: "how it came here from the one before is not known",
}

NONE_RECORDED = (
    "No provenance is recorded. That is a gap, and says nothing for or against the piece."
)


def provenance(piece: Piece, selection: Selection) -> dict[str, Any]:
    """The `lines` in the convention, and the `events` one by one with what is behind them."""
    events = not_rejected(piece.record.provenance)
    own = [event for event in events if not (event.who or only_reported(event))]
    printed, _ = print_provenance(own, piece.parties)
    return {
        "lines": printed.split("\n") if printed else [],
        "convention": CONVENTION if len(own) == len(events) else f"{CONVENTION} {OTHERS_BELOW}",
        "none": "" if events else none_shown(piece, "provenance", FIELDS, NONE_RECORDED),
        "more": more_shown(piece, FIELDS) if events else "",
        "events": [
            _event(piece, selection, event, first=not number) for number, event in enumerate(events)
        ],
    }


def _event(
    piece: Piece, selection: Selection, event: ProvenanceEvent, *, first: bool
) -> dict[str, str]:
    papers = len(event.evidence)
    documents = f"{papers} document{'' if papers == 1 else 's'} with the owner" if papers else ""
    said = f"said by {holder(piece, selection, event)}"
    return {
        "text": wording.event_shown(piece, _without_passage(event)),
        "gap": "" if first else PASSAGES.get(event.passage, ""),
        "certainty": wording.listed([event.certainty.value, wording.how_said(event)], ", "),
        "evidence": wording.listed([event.ground, documents], "; ") or "no evidence is named here",
        "who": wording.listed([said, event.said]),
    }


def _without_passage(event: ProvenanceEvent) -> ProvenanceEvent:
    """The event alone: that a gap comes before it is said in a place of its own."""
    from msgspec.structs import replace

    return replace(event, passage=Passage.DIRECT)
