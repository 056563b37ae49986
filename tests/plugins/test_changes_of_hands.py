"""Who came to own a piece, and when: in LIDO and Linked Art no more than was said."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from lxml import etree
from msgspec.structs import replace

from archivist.model import (
    OWNERSHIP_UNCHANGED,
    Certainty,
    Date,
    EventKind,
    Passage,
    ProvenanceEvent,
)
from archivist.testing import BOWL, FARMHOUSE, export, sample_piece, sample_selection
from archivist_plugins.changes_of_hands import LASTING, PASSES_OWNERSHIP
from archivist_plugins.lido import LIDO
from archivist_plugins.linked_art import LINKED_ART
from archivist_plugins.ro_crate import RO_CRATE

N = {"l": "http://www.lido-schema.org"}
THEN = Date(edtf="1921", earliest=1921, latest=1921)
LATER = Date(edtf="1950", earliest=1950, latest=1950)


class Told:
    """The events of one provenance as the formats tell them."""

    def __init__(self, folder: Path, *events: ProvenanceEvent) -> None:
        record = replace(BOWL, provenance=events, attributions=())
        piece = sample_piece(folder / "in", record)
        files = export(
            (LIDO, LINKED_ART, RO_CRATE), sample_selection(folder, [piece]), folder / "out"
        )
        self.lido = etree.parse(files[f"lido/{piece.slug}.xml"].location)
        art = files[f"linked-art/{piece.slug}.json"].location
        self.linked_art: dict[str, Any] = json.loads(art.read_text("utf-8"))
        crate = files["ro-crate/ro-crate-metadata.json"].location
        self.crate: list[Any] = json.loads(crate.read_text("utf-8"))["@graph"]

    def texts(self, path: str) -> list[str]:
        found = self.lido.xpath(path, namespaces=N)
        assert isinstance(found, list)
        return [e.text or "" for e in found if isinstance(e, etree._Element)]

    @property
    def acquisitions(self) -> list[Any]:
        found = self.linked_art.get("changed_ownership_through", [])
        assert isinstance(found, list)
        return found


@pytest.mark.parametrize("kind", EventKind)
@pytest.mark.parametrize("certainty", Certainty)
def test_only_what_passes_ownership_for_certain_is_an_acquisition(
    kind: EventKind, certainty: Certainty, tmp_path: Path
) -> None:
    event = ProvenanceEvent(kind=kind, giver=FARMHOUSE.id, date=THEN, certainty=certainty)
    told = Told(tmp_path, event)
    passes = kind in PASSES_OWNERSHIP and certainty is Certainty.CERTAIN
    assert bool(told.acquisitions) is passes
    assert ("Acquisition" in told.texts("//l:eventType/l:term")) is passes
    assert not [e for e in told.crate if "Ownership" in str(e["@type"])]
    rejected = certainty is Certainty.REJECTED
    assert (told.texts("//l:eventType/l:term") == []) is rejected


def test_no_kind_both_passes_ownership_and_leaves_it_where_it_was() -> None:
    assert not PASSES_OWNERSHIP & OWNERSHIP_UNCHANGED


@pytest.mark.parametrize("kind", sorted(PASSES_OWNERSHIP))
def test_what_was_bought_in_1921_and_kept_until_1950_was_bought_in_1921(
    kind: EventKind, tmp_path: Path
) -> None:
    told = Told(tmp_path, ProvenanceEvent(kind=kind, date=THEN, until=LATER))
    ends = told.texts("//l:eventDate/l:date/*"), told.texts("//l:eventDate/l:displayDate")
    assert ends == (["1921", "1921"], ["1921"])
    [span] = [one["timespan"] for one in told.acquisitions]
    assert span["begin_of_the_begin"] == "1921-01-01T00:00:00Z"
    assert span["end_of_the_end"] == "1921-12-31T23:59:59Z"
    assert told.texts("//l:eventDescriptionSet[@l:type='until']/*") == [
        "The stay that followed ended: 1950."
    ]


def test_a_purchase_of_no_known_day_before_1950_has_no_date(tmp_path: Path) -> None:
    told = Told(tmp_path, ProvenanceEvent(kind=EventKind.SALE, until=LATER))
    assert told.texts("//l:eventDate") == []
    assert "timespan" not in told.acquisitions[0]


@pytest.mark.parametrize("kind", sorted(LASTING))
def test_what_lasts_goes_from_its_beginning_to_its_end(kind: EventKind, tmp_path: Path) -> None:
    told = Told(tmp_path, ProvenanceEvent(kind=kind, date=THEN, until=LATER))
    assert told.texts("//l:eventDate/l:date/*") == ["1921", "1950"]
    assert told.texts("//l:eventDescriptionSet[@l:type='until']/*") == []


def test_a_gap_is_told_as_one_and_not_bridged(tmp_path: Path) -> None:
    first = ProvenanceEvent(kind=EventKind.SALE, date=THEN)
    told = Told(
        tmp_path,
        first,
        ProvenanceEvent(kind=EventKind.SALE, date=LATER, passage=Passage.GAP),
    )
    assert len(told.texts("//l:eventDescriptionSet[@l:type='gap']")) == 1
    assert told.texts("//l:earliestDate") == ["1921", "1950"]
    assert "after a gap" in told.acquisitions[1]["_label"]
    assert [one["timespan"]["end_of_the_end"][:4] for one in told.acquisitions] == ["1921", "1950"]
